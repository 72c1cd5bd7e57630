import { createReadStream } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { request as httpRequest } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { offerJob } from '../../src/jobs/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { aDraft, aPdf, aReleasedPart } from '../support/drawings.ts';
import { aClaim, aFabrication } from '../support/jobs.ts';
import { asLead } from '../support/parts.ts';

const STEP = Buffer.from('ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n');
const SVG = Buffer.from(
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><script>alert(document.cookie)</script><path d="M0 0h9" onload="alert(1)"/></svg>',
);

async function upload(browser: Browser, revisionId: number, kind: string, filename: string, content: Buffer) {
  return browser.upload(`/revisions/${revisionId}/documents`, { kind }, [
    { name: 'file', filename, content },
  ]);
}

const documentsOf = ({ context }: TestApp, revisionId: number) =>
  context.db.read.document.findMany({ where: { revisionId, removedAt: null }, orderBy: { id: 'asc' } });

describe('POST /revisions/:id/documents', () => {
  it('takes each kind by its content, whatever its name says', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    const lead = await app.as('lead');
    expect((await upload(lead, revisionId, 'drawing', 'plate.dat', aPdf('plate'))).status).toBe(303);
    expect((await upload(lead, revisionId, 'model', 'plate.stp', STEP)).status).toBe(303);
    expect((await upload(lead, revisionId, 'flat pattern', 'plate.svg', SVG)).status).toBe(303);
    expect((await upload(lead, revisionId, 'note', 'read me.txt', Buffer.from('Grüße'))).status).toBe(303);
    expect(
      (await documentsOf(app, revisionId)).map(({ kind, fileKind, mediaType, name }) => [
        kind,
        fileKind,
        mediaType,
        name,
      ]),
    ).toEqual([
      ['drawing', 'pdf', 'application/pdf', 'plate.dat'],
      ['model', 'step', 'model/step', 'plate.stp'],
      ['flat pattern', 'svg', 'image/svg+xml', 'plate.svg'],
      ['note', 'text', 'text/plain', 'read me.txt'],
    ]);
  });

  it('refuses what is not what it is called, stores nothing and keeps no file', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    const lead = await app.as('lead');
    const html = Buffer.from('<!doctype html><script>alert(1)</script>');
    const bad: [string, string, Buffer, string][] = [
      ['drawing', 'gear.pdf', html, 'This is a web page'],
      ['drawing', 'gear.pdf', Buffer.from('MZ\x90\x00\x03'), 'a file of no kind known here'],
      ['drawing', 'gear.pdf', STEP, 'This is a STEP file; a drawing is'],
      ['model', 'gear.step', aPdf('x'), 'This is a PDF; a model is'],
      ['photo', 'gear.jpg', Buffer.from('\xff\xd8\xff\xe0 not a picture', 'latin1'), 'read'],
      ['drawing', 'cut.pdf', aPdf('x').subarray(0, 300), 'cut off'],
      ['drawing', 'empty.pdf', Buffer.alloc(0), 'empty'],
      ['recipe', 'gear.pdf', aPdf('x'), 'Choose what the file is for.'],
    ];
    for (const [kind, name, content, sentence] of bad) {
      const answer = await upload(lead, revisionId, kind, name, content);
      expect(answer.status, name).toBe(422);
      expect(answer.text).toContain(sentence);
    }
    const none = await lead.upload(`/revisions/${revisionId}/documents`, { kind: 'model' }, []);
    expect(none.status).toBe(422);
    expect(none.text).toContain('Choose a file.');
    expect(none.text).toContain('<option value="model" selected>');
    expect(await documentsOf(app, revisionId)).toEqual([]);
    expect(await readdir(join(app.context.settings.dataDir, 'files', 'incoming'))).toEqual([]);
  });

  it('makes names safe: paths, hidden and text-turning characters, HTML, three hundred letters', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    const lead = await app.as('lead');
    const names = [
      '..\\..\\boot.pdf',
      'in\u202efdp.exe.pdf',
      '<img src=x onerror=alert(1)>.pdf',
      `${'l'.repeat(300)}.pdf`,
    ];
    for (const [n, name] of names.entries())
      expect((await upload(lead, revisionId, 'drawing', name, aPdf(`number ${n}`))).status).toBe(303);
    const kept = (await documentsOf(app, revisionId)).map(({ name }) => name);
    expect(kept[0]).toBe('boot.pdf');
    expect(kept[1]).toBe('infdp.exe.pdf');
    expect(kept[2]).not.toMatch(/[<>]/);
    expect(kept[3]).toHaveLength(120);
    expect(kept[3]).toMatch(/l\.pdf$/);
    const page = await lead.get(`/revisions/${revisionId}`);
    expect(page.text).not.toContain('<img src=x');
  });

  it('refuses the same content twice on a revision, and does a form sent twice once', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    const lead = await app.as('lead');
    const path = `/revisions/${revisionId}/documents`;
    const file = { name: 'file', filename: 'a.pdf', content: aPdf('a') };
    expect((await lead.upload(path, { kind: 'drawing', _once: 'same' }, [file])).status).toBe(303);
    const second = await lead.upload(path, { kind: 'drawing', _once: 'same' }, [file]);
    expect(second.status).toBe(303);
    const again = await lead.upload(path, { kind: 'note' }, [{ ...file, filename: 'b.pdf' }]);
    expect(again.status).toBe(409);
    expect(again.text).toContain('b.pdf is on revision A already, as a.pdf (drawing).');
    expect(await documentsOf(app, revisionId)).toHaveLength(1);
  });

  it('takes several files at once, or none of them', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    const lead = await app.as('lead');
    const path = `/revisions/${revisionId}/documents`;
    const file = (filename: string, content: Buffer) => ({ name: 'file', filename, content });
    const mixed = await lead.upload(path, { kind: 'drawing' }, [
      file('a.pdf', aPdf('a')),
      file('b.pdf', Buffer.from('no')),
    ]);
    expect(mixed.status).toBe(422);
    expect(mixed.text).toContain('b.pdf: This is plain text');
    expect(await documentsOf(app, revisionId)).toEqual([]);
    const twins = await lead.upload(path, { kind: 'drawing' }, [
      file('a.pdf', aPdf('a')),
      file('b.pdf', aPdf('a')),
    ]);
    expect(twins.status).toBe(409);
    expect(await documentsOf(app, revisionId)).toEqual([]);
    const both = await lead.upload(path, { kind: 'drawing' }, [
      file('a.pdf', aPdf('a')),
      file('b.pdf', aPdf('b')),
    ]);
    expect(both.status).toBe(303);
    expect(await documentsOf(app, revisionId)).toHaveLength(2);
  });

  it('writes a photo anew: upright, smaller, without place and camera', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    const lead = await app.as('lead');
    const photo = await sharp({ create: { width: 3000, height: 2000, channels: 3, background: '#888' } })
      .withExif({
        IFD0: { Make: 'Secret Camera' },
        IFD3: { GPSLatitudeRef: 'N', GPSLatitude: '59/1 54/1 0/1' },
      })
      .jpeg()
      .toBuffer();
    expect(photo.includes('Secret Camera')).toBe(true);
    expect((await upload(lead, revisionId, 'photo', 'Set up.JPEG', photo)).status).toBe(303);
    const [row] = await documentsOf(app, revisionId);
    expect(row).toMatchObject({ name: 'Set up.jpg', mediaType: 'image/jpeg' });
    const served = await lead.get(`/documents/${row?.id}`).buffer(true);
    const body = served.body as Buffer;
    const seen = await sharp(body).metadata();
    expect([seen.width, seen.height]).toEqual([1600, 1067]);
    expect(seen.exif).toBeUndefined();
    expect(body.includes('Secret Camera')).toBe(false);
  });

  it('takes 50 MB and not a byte more, streamed; the rest of the form is kept', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { withoutDrawing: true });
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    const lead = await app.as('lead');
    const limit = 50 * 1024 * 1024;
    const head = aPdf('large').subarray(0, -6);
    const tail = Buffer.from('\n%%EOF\n');
    const large = (bytes: number) => [
      head,
      ...Array.from({ length: Math.floor((bytes - head.length - tail.length) / 65_536) }, () =>
        Buffer.alloc(65_536, 0x20),
      ),
      Buffer.alloc((bytes - head.length - tail.length) % 65_536, 0x20),
      tail,
    ];
    const fits = await sendLarge(app, lead, revisionId, large(limit));
    expect(fits.status).toBe(303);
    const [row] = await documentsOf(app, revisionId);
    expect(row?.bytes).toBe(limit);
    const over = await sendLarge(app, lead, revisionId, large(limit + 1));
    expect(over.status).toBe(422);
    expect(over.text).toContain('large.pdf is larger than 50 MB: that is the most.');
    const far = await sendLarge(app, lead, revisionId, large(limit + 1024 * 1024));
    expect(far.status).toBe(422);
    expect(far.text).toContain('<option value="drawing" selected>');
    expect(far.text).not.toContain('Choose what the file is for.');
    expect(await documentsOf(app, revisionId)).toHaveLength(1);
    expect(await readdir(join(app.context.settings.dataDir, 'files', 'incoming'))).toEqual([]);
  }, 60_000);

  it('is closed to makers, and to a revision that is released', async () => {
    const app = await startApp();
    const { revisionId } = await aReleasedPart(app);
    expect((await upload(await app.as('imre'), revisionId, 'drawing', 'x.pdf', aPdf('x'))).status).toBe(403);
    const late = await upload(await app.as('lead'), revisionId, 'drawing', 'x.pdf', aPdf('x'));
    expect(late.status).toBe(409);
    expect(late.text).toContain('Revision A is released: what it says stands.');
    const missing = await upload(await app.as('lead'), 9999, 'drawing', 'x.pdf', aPdf('x'));
    expect(missing.status).toBe(404);
  });
});

/** Sends a multipart form piece by piece, as a browser does with a large file. */
async function sendLarge(app: TestApp, browser: Browser, revisionId: number, pieces: Buffer[]) {
  const boundary = '----farwright-test';
  // After the file, so that what follows a file too large is seen to be read.
  const field = `\r\n--${boundary}\r\ncontent-disposition: form-data; name="kind"\r\n\r\ndrawing`;
  const file = `--${boundary}\r\ncontent-disposition: form-data; name="file"; filename="large.pdf"\r\ncontent-type: application/pdf\r\n\r\n`;
  const body = Readable.from([Buffer.from(file), ...pieces, Buffer.from(`${field}\r\n--${boundary}--\r\n`)]);
  const { port } = app.app.server.address() as AddressInfo;
  const cookies = browser.agent.jar
    .getCookies({ domain: '127.0.0.1', path: '/', secure: false, script: false })
    .toValueString();
  const csrf = encodeURIComponent(await browser.csrf());
  return new Promise<{ status: number; text: string }>((resolve, reject) => {
    const sending = httpRequest(
      {
        port,
        host: '127.0.0.1',
        method: 'POST',
        path: `/revisions/${revisionId}/documents?_csrf=${csrf}`,
        headers: { cookie: cookies, 'content-type': `multipart/form-data; boundary=${boundary}` },
      },
      (answer) => {
        const chunks: Buffer[] = [];
        answer.on('data', (chunk: Buffer) => chunks.push(chunk));
        answer.on('end', () =>
          resolve({ status: answer.statusCode ?? 0, text: Buffer.concat(chunks).toString('utf8') }),
        );
      },
    );
    sending.on('error', reject);
    body.pipe(sending);
  });
}

describe('GET /documents/:id', () => {
  it('shows a PDF and saves everything that could act; nothing uploaded runs', async () => {
    const app = await startApp();
    const { revisionId, documentId } = await aDraft(app, { number: 'TB-7' });
    const lead = await app.as('lead');
    await upload(lead, revisionId, 'flat pattern', 'naïve cut.svg', SVG);
    await upload(lead, revisionId, 'model', 'x.step', STEP);
    const pdf = await lead.get(`/documents/${documentId}`).buffer(true);
    expect(pdf.status).toBe(200);
    expect(pdf.headers).toMatchObject({
      'content-type': 'application/pdf',
      'x-content-type-options': 'nosniff',
      'content-security-policy': "default-src 'none'; style-src 'unsafe-inline'; sandbox",
      'cache-control': 'private, no-cache',
    });
    expect(pdf.headers['content-disposition']).toMatch(/^inline; filename="TB-7-A\.pdf"/);
    expect((pdf.body as Buffer).equals(aPdf('TB-7-A.pdf'))).toBe(true);
    const [, svg, step] = await documentsOf(app, revisionId);
    const picture = await lead.get(`/documents/${svg?.id}`).set('accept-encoding', 'br, gzip').buffer(true);
    expect(picture.headers['content-disposition']).toMatch(/^attachment; .*UTF-8''na%C3%AFve%20cut\.svg$/);
    expect(picture.headers['content-security-policy']).toContain('sandbox');
    expect(picture.headers['content-encoding']).toBeUndefined();
    expect((await lead.get(`/documents/${step?.id}`)).headers['content-disposition']).toMatch(/^attachment/);
    const page = await lead.get(`/revisions/${revisionId}`);
    expect(page.text).toContain(`<img src="/documents/${svg?.id}" alt=""`);
    expect(page.text).not.toContain('alert(');
  });

  it('answers an unchanged file with 304, and a range with that part of it', async () => {
    const app = await startApp();
    const { documentId } = await aDraft(app);
    const lead = await app.as('lead');
    const path = `/documents/${documentId}`;
    const whole = await lead.get(path).buffer(true);
    const etag = whole.headers.etag as string;
    const bytes = whole.body as Buffer;
    expect((await lead.get(path).set('if-none-match', etag)).status).toBe(304);
    const part = await lead.get(path).set('range', 'bytes=5-9').buffer(true);
    expect(part.status).toBe(206);
    expect(part.headers['content-range']).toBe(`bytes 5-9/${bytes.length}`);
    expect((part.body as Buffer).equals(bytes.subarray(5, 10))).toBe(true);
    const other = await lead.get(path).set('range', 'bytes=5-9').set('if-range', '"other"').buffer(true);
    expect(other.status).toBe(200);
    expect((await lead.get(path).set('range', `bytes=${bytes.length}-`)).status).toBe(416);
    const none = await lead.agent.head(path);
    expect([none.status, none.headers['content-length']]).toEqual([200, String(bytes.length)]);
  });

  it('shows a draft to lead and crew, a released one to makers, and what is on offer to visitors', async () => {
    const app = await startApp();
    const draft = await aDraft(app);
    const maker = await app.as('imre');
    const visitor = app.visitor();
    expect((await (await app.as('crew')).get(`/documents/${draft.documentId}`)).status).toBe(200);
    expect((await maker.get(`/documents/${draft.documentId}`)).status).toBe(403);
    expect((await maker.get(`/revisions/${draft.revisionId}`)).status).toBe(403);

    const job = await aFabrication(app);
    const path = `/documents/${job.documentId}`;
    expect((await maker.get(path)).status).toBe(200);
    expect((await visitor.get(path)).headers.location).toContain('/sign-in');
    expect((await visitor.get('/documents/4711')).headers.location).toContain('/sign-in');
    await asLead(app, (act) => offerJob(act, job.jobId, false));
    expect((await visitor.get(path)).status).toBe(303);
    await app.context.db.write.job.update({ where: { id: job.jobId }, data: { strangers: true } });
    expect((await visitor.get(path)).status).toBe(200);
    expect((await visitor.get(`/documents/${draft.documentId}`)).status).toBe(303);
    await aClaim(app, { jobId: job.jobId });
    expect((await visitor.get(path)).status).toBe(303);
  });

  it('hides a document that was taken off, and keeps its file', async () => {
    const app = await startApp();
    const { documentId, revisionId } = await aDraft(app);
    const lead = await app.as('lead');
    expect((await (await app.as('imre')).post(`/documents/${documentId}/remove`)).status).toBe(403);
    expect((await lead.post(`/documents/${documentId}/remove`)).headers.location).toBe(
      `/revisions/${revisionId}#documents`,
    );
    expect((await lead.get(`/documents/${documentId}`)).status).toBe(404);
    expect((await lead.post(`/documents/${documentId}/remove`)).status).toBe(404);
    const row = await app.context.db.read.document.findUniqueOrThrow({ where: { id: documentId ?? 0 } });
    const kept = createReadStream(app.context.files.pathOf(row.sha256));
    let bytes = 0;
    for await (const chunk of kept) bytes += (chunk as Buffer).length;
    expect(bytes).toBe(row.bytes);
    for (const id of ['0', '-1', 'x', '99999999999999999999'])
      expect((await lead.get(`/documents/${id}`)).status).toBe(404);
  });
});
