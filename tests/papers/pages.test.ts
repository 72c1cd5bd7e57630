import { createHash } from 'node:crypto';
import { rm } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { answerQuery, askQuery, dropJob, holdJob } from '../../src/jobs/index.ts';
import { readPartLabels } from '../../src/papers/part-labels.ts';
import type { Browser } from '../support/app.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aReleasedPart } from '../support/drawings.ts';
import { aClaim, anOfferedJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';
import { textOfPdf } from '../support/pdf.ts';
import { aPostedParcel } from '../support/receiving.ts';
import { filesOf } from '../support/zip.ts';

/** A download whole, as bytes. */
function download(browser: Browser, path: string) {
  return browser
    .get(path)
    .buffer(true)
    .parse((response, done) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () => done(null, Buffer.concat(chunks)));
      response.on('error', (fault) => done(fault, null));
    });
}

async function addressOf(app: TestApp, address: string, contact: string): Promise<void> {
  await asPerson(app, 'lead', async (act) => {
    await act.tx.build.update({ where: { id: 1 }, data: { postAddress: address, postContact: contact } });
    await act.log({ kind: 'change-settings' });
  });
}

const ADDRESS = 'Observatory workshop\nZgornja pot 12';

async function aClaimedJob(app: TestApp) {
  await addressOf(app, ADDRESS, 'ring twice');
  const job = await anOfferedJob(app, {
    quantity: 4,
    part: {
      number: 'T-77',
      name: 'Čep, grün <b>',
      characteristics: [{ text: '25.4 H7', label: 'bore', isKey: true }, '40 ±0.2'],
    },
  });
  return { ...job, ...(await aClaim(app, { jobId: job.jobId, quantity: 3 })) };
}

describe('the pack', () => {
  it('has the card, exactly the files of the revision, and their sums', async () => {
    const app = await startApp();
    const { jobId, revisionId } = await aClaimedJob(app);
    const imre = await app.as('imre');
    const sent = await download(imre, `/jobs/${jobId}/pack.zip`);
    expect(sent.status).toBe(200);
    expect(sent.headers['content-type']).toBe('application/zip');
    expect(sent.headers['content-disposition']).toContain(`job ${jobId} T-77 A.zip`);
    const files = await filesOf(sent.body as Buffer);
    const documents = await app.context.db.read.document.findMany({ where: { revisionId, removedAt: null } });
    const folder = `job ${jobId} T-77 A`;
    expect([...files.keys()]).toEqual([
      `${folder}/route-card.pdf`,
      ...documents.map(({ name }) => `${folder}/${name}`),
      `${folder}/SHA256SUMS.txt`,
    ]);
    const sums = files.get(`${folder}/SHA256SUMS.txt`)!.toString().trimEnd().split('\n');
    for (const line of sums) {
      const [sum, name] = line.split('  ');
      const content = files.get(`${folder}/${name}`)!;
      expect(createHash('sha256').update(content).digest('hex')).toBe(sum);
    }
    expect(sums).toHaveLength(documents.length + 1);
  });

  it('says on paper what, how many, to which limits, what was asked, and where to post it', async () => {
    const app = await startApp();
    const { jobId } = await aClaimedJob(app);
    const queryId = await asPerson(app, 'imre', (act) =>
      askQuery(act, { jobId, question: 'Is brass right?' }),
    );
    await asPerson(app, 'imre', (act) => askQuery(act, { jobId, question: 'Still open?' }));
    await asPerson(app, 'lead', (act) => answerQuery(act, { queryId, answer: 'Yes, CW614N.' }));
    const imre = await app.as('imre');
    const sent = await download(imre, `/jobs/${jobId}/route-card.pdf`);
    expect(sent.headers['content-type']).toBe('application/pdf');
    const text = await textOfPdf(sent.body as Buffer);
    for (const words of [
      'Čep, grün <b>',
      '4 pieces',
      '3 pieces claimed',
      'KEY 25.4 H7',
      '25.421',
      '39.8',
      'Is brass right?',
      'Yes, CW614N.',
      'Zgornja pot 12',
      'ring twice',
      'Usual cautions, not all of them.',
    ]) {
      expect(text).toContain(words);
    }
    expect(text).not.toContain('Still open?');
  });

  it('is in the unit of the maker it is for, with the drawing’s own beside', async () => {
    const app = await startApp();
    const { jobId } = await aClaimedJob(app);
    await asPerson(app, 'lead', async (act) => {
      await act.tx.person.update({ where: { id: castId.imre }, data: { lengthUnit: 'in' } });
      await act.log({ kind: 'change-person' });
    });
    const lead = await app.as('lead');
    const forImre = await download(lead, `/jobs/${jobId}/route-card.pdf?maker=${castId.imre}`);
    const text = await textOfPdf(forImre.body as Buffer);
    // 25.4 mm is an inch (ISO 31-1); the upper limit of 25.421 mm is 1.000826... in, rounded inwards.
    expect(text).toContain('1.00082');
    expect(text).toContain('25.4 to 25.421 mm on the drawing');
    const own = await textOfPdf((await download(lead, `/jobs/${jobId}/route-card.pdf`)).body as Buffer);
    expect(own).not.toContain('1.00082');
  });

  it('tells the posting address to nobody without a claim', async () => {
    const app = await startApp();
    const { jobId } = await aClaimedJob(app);
    const sunniva = await app.as('sunniva');
    const text = await textOfPdf((await download(sunniva, `/jobs/${jobId}/route-card.pdf`)).body as Buffer);
    expect(text).not.toContain('Zgornja pot');
    expect(text).toContain('T-77');
    // A maker asking for another's pack gets their own.
    const other = await download(sunniva, `/jobs/${jobId}/route-card.pdf?maker=${castId.imre}`);
    expect(await textOfPdf(other.body as Buffer)).not.toContain('Zgornja pot');
  });

  it('is refused with a sentence where there is nothing to pack', async () => {
    const app = await startApp();
    const { jobId } = await aClaimedJob(app);
    expect((await app.visitor().get(`/jobs/${jobId}/pack.zip`)).status).toBe(303);
    const imre = await app.as('imre');
    expect((await imre.get('/jobs/999/pack.zip')).status).toBe(404);
    const { sha256 } = await app.context.db.read.document.findFirstOrThrow({});
    await rm(app.context.files.pathOf(sha256));
    const refused = await imre.get(`/jobs/${jobId}/pack.zip`);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('is missing in the data folder');
  });

  it('says on paper that the job is on hold or dropped', async () => {
    const app = await startApp();
    const { jobId } = await aClaimedJob(app);
    const imre = await app.as('imre');
    const card = async () =>
      textOfPdf((await download(imre, `/jobs/${jobId}/route-card.pdf`)).body as Buffer);
    expect(await card()).not.toContain('make no more');
    await asPerson(app, 'lead', (act) => holdJob(act, { jobId, reason: 'the bearing is too weak' }));
    expect(await card()).toContain('This job is on hold: make no more until it goes on.');
    const { jobId: other } = await anOfferedJob(app, { part: { number: 'T-78' } });
    await asPerson(app, 'lead', (act) => dropJob(act, { jobId: other, reason: 'not needed' }));
    const dropped = await download(imre, `/jobs/${other}/route-card.pdf`);
    expect(await textOfPdf(dropped.body as Buffer)).toContain('This job was dropped: make nothing more');
  });

  it('stands on the job’s page with the letters that are out of date', async () => {
    const app = await startApp();
    const first = await aReleasedPart(app, { quantity: 2 });
    const { jobId, letter } = await anOfferedJob(app, {
      part: { partId: first.partId, change: 'a wider bore' },
    });
    expect(letter).toBe('B');
    const page = (await (await app.as('imre')).get(`/jobs/${jobId}`)).text;
    expect(page).toContain(`href="/jobs/${jobId}/pack.zip"`);
    expect(page).toMatch(/Packs of revision\s+A are out of date/);
  });
});

describe('the page behind the code', () => {
  async function stampOf(app: TestApp, jobId: number): Promise<string> {
    const imre = await app.as('imre');
    const text = await textOfPdf((await download(imre, `/jobs/${jobId}/route-card.pdf`)).body as Buffer);
    return /\/packs\/\d+-\d+-\d{8}-[0-9a-f]{12}/.exec(text)?.[0] ?? '';
  }

  it('says to whoever holds the paper that it is current, and later that it is not', async () => {
    const app = await startApp();
    const job = await aClaimedJob(app);
    const stamp = await stampOf(app, job.jobId);
    expect(stamp).not.toBe('');
    const visitor = app.visitor();
    const now = await visitor.get(stamp);
    expect(now.status).toBe(200);
    expect(now.text).toContain('Revision A is the current one');
    expect(now.text).not.toContain('Čep');
    expect(now.headers['x-robots-tag']).toBe('noindex');
    await aReleasedPart(app, { partId: job.partId, change: 'a wider bore' });
    const then = await visitor.get(stamp);
    expect(then.text).toContain('Revision A is superseded');
    expect(then.text).toContain('Do not make to this paper');
    const imre = await (await app.as('imre')).get(stamp);
    expect(imre.text).toContain('Čep, grün &lt;b&gt;');
    expect(imre.text).toContain(`/jobs/${job.jobId}/pack.zip`);
  });

  it('tells people on the job of answers given since', async () => {
    const app = await startApp();
    const { jobId } = await aClaimedJob(app);
    const queryId = await asPerson(app, 'imre', (act) => askQuery(act, { jobId, question: 'Brass?' }));
    const stamp = await stampOf(app, jobId);
    app.passDays(2);
    await asPerson(app, 'lead', (act) => answerQuery(act, { queryId, answer: 'Yes.' }));
    expect((await (await app.as('imre')).get(stamp)).text).toContain('1 question was answered since');
    expect((await app.visitor().get(stamp)).text).not.toContain('answered since');
  });

  it('is not there for a code that was not printed here', async () => {
    const app = await startApp();
    for (const stamp of ['1-1-20261125-000000000000', 'x', '%00']) {
      expect((await app.visitor().get(`/packs/${stamp}`)).status).toBe(404);
    }
  });
});

describe('labels', () => {
  it('of a parcel say where to, from whom and what', async () => {
    const app = await startApp();
    await addressOf(app, ADDRESS, 'ring twice');
    await asPerson(app, 'lead', async (act) => {
      await act.tx.person.update({ where: { id: castId.imre }, data: { address: 'Fő utca 3' } });
      await act.log({ kind: 'change-person' });
    });
    const { parcelId, number } = await aPostedParcel(app, { quantity: 2 });
    const own = await textOfPdf(
      (await download(await app.as('imre'), `/parcels/${parcelId}/label.pdf`)).body as Buffer,
    );
    expect(own).toContain('Zgornja pot 12');
    expect(own).toContain('Fő utca 3');
    expect(own).toContain(`2 pieces of ${number}`);
    // Crew may print it, and does not learn where the maker lives.
    const crew = await textOfPdf(
      (await download(await app.as('crew'), `/parcels/${parcelId}/label.pdf`)).body as Buffer,
    );
    expect(crew).not.toContain('Fő utca');
    expect((await (await app.as('sunniva')).get(`/parcels/${parcelId}/label.pdf`)).status).toBe(404);
  });

  it('of pieces are one for each, and their own maker’s', async () => {
    const app = await startApp();
    const { claimId, jobId } = await aClaimedJob(app);
    const sheet = await download(await app.as('imre'), `/claims/${claimId}/labels.pdf?skip=23`);
    const text = await textOfPdf(sheet.body as Buffer);
    expect(text.match(/Piece \d of 3/g)).toEqual(['Piece 1 of 3', 'Piece 2 of 3', 'Piece 3 of 3']);
    expect(text).toContain(`Job ${jobId}`);
    // A long name, last, is cut off rather than what tells the pieces apart.
    expect(text.indexOf('Piece 1 of 3')).toBeLessThan(text.indexOf('Čep'));
    expect((await (await app.as('sunniva')).get(`/claims/${claimId}/labels.pdf`)).status).toBe(403);
    expect((await (await app.as('lead')).get('/claims/999/labels.pdf')).status).toBe(404);
  });

  it('of many pieces come in several documents, each named', async () => {
    const app = await startApp();
    const { jobId } = await anOfferedJob(app, { quantity: 500 });
    const { claimId } = await aClaim(app, { jobId, quantity: 500 });
    const imre = await app.as('imre');
    const page = (await imre.get(`/jobs/${jobId}`)).text;
    expect(page).toContain(`href="/claims/${claimId}/labels.pdf">pieces 1 to 480<`);
    expect(page).toContain(`href="/claims/${claimId}/labels.pdf?from=481">pieces 481 to 500<`);
    const rest = await textOfPdf(
      (await download(imre, `/claims/${claimId}/labels.pdf?from=481`)).body as Buffer,
    );
    expect(rest.match(/Piece \d+ of 500/g)).toHaveLength(20);
    expect(rest).toContain('Piece 500 of 500');
  });

  it('lead to where the piece is to be measured', async () => {
    const app = await startApp();
    const { jobId, parcelId } = await aPostedParcel(app, { quantity: 2 });
    const code = `/labels/jobs/${jobId}`;
    const crew = await app.as('crew');
    expect((await crew.get(code)).headers.location).toBe(`/receiving/parcels/${parcelId}`);
    const visitor = await app.visitor().get(code);
    expect(visitor.status).toBe(303);
    expect(visitor.headers.location).toContain('/sign-in');
    expect((await crew.get('/labels/jobs/999')).status).toBe(404);
  });

  it('lead, where nothing waits to be measured, to the form for a problem with part and job filled in', async () => {
    const app = await startApp();
    const { jobId, number } = await aClaimedJob(app);
    for (const who of ['crew', 'imre'] as const) {
      const browser = await app.as(who);
      const { status, text } = await browser.get(`/labels/jobs/${jobId}`);
      expect(status).toBe(200);
      expect(text).toContain(`href="/jobs/${jobId}"`);
      const [, form] = /class="btn main" href="([^"]+)"/.exec(text)!;
      expect(form).toBe(`/problems/new?part=${number}&amp;job=${jobId}`);
      const filled = (await browser.get(form!.replace('&amp;', '&'))).text;
      expect(filled).toContain(`id="f-part" name="part" type="text" value="${number}"`);
      expect(filled).toMatch(
        who === 'imre'
          ? new RegExp(`<option value="${jobId}" selected`)
          : new RegExp(`name="job" type="text" value="${jobId}"`),
      );
    }
  });

  it('of an assembly are one for it and one for each part in it, whose code opens the form for a problem', async () => {
    const app = await startApp();
    const screw = { number: 'T-9', name: 'Screw M5', kind: 'stock' as const };
    const inner = await anAssembly(app, {
      number: 'T-2',
      name: 'Inner',
      children: [{ number: 'T-3', name: 'Deep pin' }],
    });
    const top = await anAssembly(app, {
      number: 'T-1',
      name: 'Outer',
      children: [{ id: inner.id }, { number: 'T-4', name: 'Planet <gear>' }, screw],
    });
    const lead = await app.as('lead');
    const sheet = async (address: string) => textOfPdf((await download(lead, address)).body as Buffer);
    const own = await sheet(`/parts/${top.number}/labels.pdf`);
    for (const words of ['T-1', 'T-2', 'T-4', 'Planet <gear>', 'goes into T-1', 'Something wrong?']) {
      expect(own).toContain(words);
    }
    for (const words of ['T-3', 'T-9']) expect(own).not.toContain(words);
    expect(await sheet('/parts/t-1/labels.pdf?below=all')).toContain('T-3');
    expect(await sheet('/parts/T-3/labels.pdf?skip=23')).toContain('Deep pin');
    expect((await lead.get('/parts/T-1/labels.pdf?from=9')).status).toBe(409);
    expect((await lead.get('/parts/T-77/labels.pdf')).status).toBe(404);
    expect((await (await app.as('imre')).get('/parts/T-1/labels.pdf')).status).toBe(403);
    expect((await app.visitor().get('/parts/T-1/labels.pdf')).status).toBe(303);
    const { labels } = await readPartLabels(app.context.db, 'T-2', {
      deep: false,
      from: 0,
      baseUrl: 'https://build.example.org',
    });
    expect(labels.map(({ link }) => link)).toEqual([
      'https://build.example.org/problems/new?part=T-2',
      'https://build.example.org/problems/new?part=T-3',
    ]);
    const page = (await lead.get('/parts/T-1')).text;
    expect(page).toContain('href="/parts/T-1/labels.pdf"');
    expect(page).toContain('href="/parts/T-1/labels.pdf?below=all"');
    expect((await (await app.as('imre')).get('/parts/T-1')).text).not.toContain('labels.pdf');
  });
});
