import { describe, expect, it } from 'vitest';
import { revisionsOfPart } from '../../src/drawings/index.ts';
import { type Browser, startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { aPart } from '../support/parts.ts';

const versionOf = async ({ context }: TestApp, id: number) =>
  (await context.db.read.revision.findUniqueOrThrow({ where: { id } })).version;

describe('POST /parts/:number/revisions', () => {
  it('begins a draft, once; a second one is refused with the reason', async () => {
    const app = await startApp();
    const part = await aPart(app);
    const crew = await app.as('crew');
    const path = `/parts/${part.number}/revisions`;
    const done = await crew.post(path, { _once: 'begin' });
    expect(done.headers.location).toMatch(/^\/revisions\/\d+$/);
    expect((await crew.post(path, { _once: 'begin' })).headers.location).toBe(done.headers.location);
    const second = await crew.post(path);
    expect(second.status).toBe(409);
    expect(second.text).toContain(`Revision A of ${part.number} is a draft already`);
    expect((await crew.post('/parts/TB-9999/revisions')).status).toBe(404);
    expect((await (await app.as('imre')).post(path)).status).toBe(403);
    expect((await app.visitor().post(path)).headers.location).toContain('/sign-in');
  });
});

describe('GET /revisions/:id', () => {
  it('shows a draft with its checklist and what to do about each missing item', async () => {
    const app = await startApp();
    const part = await aPart(app, { name: 'Planet <gear>' });
    const lead = await app.as('lead');
    const path = (await lead.post(`/parts/${part.number}/revisions`)).headers.location as string;
    const page = await lead.get(path);
    expect(page.text).toContain('Planet &lt;gear&gt;');
    expect(page.text.match(/<b>missing<\/b>/g)).toHaveLength(5);
    expect(page.text).toContain(`<a href="${path}/change">Choose the material</a>`);
    expect(page.text).toContain(`<a href="${path}#documents">Add a file</a>`);
    expect(page.text).toContain(`<a href="/parts/${part.number}">Put it into an assembly</a>`);
    expect(page.text).not.toContain(`action="${path}/release"`);
    for (const id of ['0', 'x', '4711', '99999999999999999999'])
      expect((await lead.get(`/revisions/${id}`)).status).toBe(404);
  });

  it('shows limits in the unit the person works in, with cautions of material and process', async () => {
    const app = await startApp();
    const { revisionId } = await aReleasedPart(app, {
      characteristics: [
        { text: '25 H7', label: 'bore', isKey: true },
        { text: '40', label: 'length' },
        { text: 'deburr all edges' },
      ],
    });
    const maker = await app.as('imre');
    const metric = await maker.get(`/revisions/${revisionId}`);
    expect(metric.text).toContain('>25.021</span>');
    expect(metric.text).toContain('>39.7</span>');
    expect(metric.text).toContain('ISO 2768-1, class m.');
    expect(metric.text).toContain('>deburr all edges<');
    expect(metric.text).toContain('eye protection');
    expect(metric.text).toContain('licensed practice come first');
    expect(metric.text).not.toContain('Withdraw');
    await app.context.db.write.person.update({ where: { id: castId.imre }, data: { lengthUnit: 'in' } });
    const inches = await maker.get(`/revisions/${revisionId}`);
    expect(inches.text).toContain('>0.98426</span>');
    expect(inches.text).toMatch(/25 H7 <small class="soft">mm<\/small> <span class="tag">key<\/span>/);
    expect(inches.text).toContain(
      'bore · on the drawing 25 to 25.021 mm · 0 / +0.00082 in, ISO 286-1:2010, H7',
    );
    expect(inches.text).toContain('<tr class="is-key">');
    expect(inches.text).toContain('converted by exactly 25.4 mm an inch');
    expect(inches.text).toContain('Nothing here promises strength');
  });

  it('tells the history of the revision to lead and crew, and that a part has a newer one', async () => {
    const app = await startApp();
    const a = await aReleasedPart(app);
    const b = await aReleasedPart(app, { partId: a.partId });
    const crew = await app.as('crew');
    const old = await crew.get(`/revisions/${a.revisionId}`);
    expect(old.text).toContain(`<a href="/revisions/${b.revisionId}">Revision B</a> is the one to work to.`);
    expect(old.text).toContain('superseded');
    expect((await crew.get(`/revisions/${b.revisionId}`)).text).toContain('Begin revision C');
  });
});

describe('POST /revisions/:id/characteristics', () => {
  const add = (browser: Browser, id: number, fields: Record<string, string>) =>
    browser.post(`/revisions/${id}/characteristics`, fields);

  it('takes sizes as they are typed, one after another', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const lead = await app.as('lead');
    const done = await add(lead, revisionId, { text: '12,5 +0,1/-0', label: 'groove', isKey: 'yes' });
    expect(done.headers.location).toBe(`/revisions/${revisionId}#f-c-text`);
    const page = await lead.get(`/revisions/${revisionId}`);
    expect(page.text).toContain('12.5 +0.1 0 <span class="tag">key</span>');
    expect(page.text).toContain('id="f-c-text"');
    const row = await app.context.db.read.characteristic.findFirstOrThrow({ where: { revisionId } });
    expect(row).toMatchObject({ position: 1, label: 'groove', text: '12.5 +0.1 0', isKey: true });
  });

  it('says at the field what does not fit, keeps what was typed, and stores nothing', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const lead = await app.as('lead');
    const bad: [Record<string, string>, string][] = [
      [{ text: '' }, 'Type a size such as 25 H7'],
      [{ text: '25 Q9' }, '25 Q9'],
      [{ text: '12.5 -0.2 +0.1' }, 'the wrong way round'],
      [{ text: '99999' }, 'above 4000 mm'],
      [{ text: '5000' }, '5000 mm is above 4000 mm'],
      [{ text: '5 m' }, 'lengths are in mm or in inches, not in m'],
      [{ text: '0' }, 'a size is over 0'],
      [{ text: '0 H7' }, 'a size is over 0'],
      [{ text: '40 ±0' }, '±0 leaves no room'],
      [{ text: '25 mm ±0.01 in' }, 'two units in one size'],
      [{ text: '3/8' }, 'a fraction is in inches; write 3/8 in'],
      [{ text: '0.3' }, 'no value under 0.5 mm, the limits stand beside the size; write them beside it'],
      [{ text: '25 H7', label: 'journal' }, 'H7 is a zone of a hole, and &quot;journal&quot; is a shaft'],
      [{ text: '25 h6', label: 'bore' }, 'h6 is a zone of a shaft, and &quot;bore&quot; is a hole'],
      [{ text: '-25' }, 'begin with the size'],
      [{ text: 'x'.repeat(201) }, 'At most 200 characters; this has 201.'],
      [{ text: '25\u202e H7' }, 'characters that cannot be seen'],
      [{ text: '25', label: 'l'.repeat(81) }, 'At most 80 characters; this has 81.'],
    ];
    for (const [fields, sentence] of bad) {
      const answer = await add(lead, revisionId, { label: '<b>here</b>', ...fields });
      expect(answer.status, sentence).toBe(422);
      expect(answer.text).toContain(sentence);
      if (fields.label === undefined) expect(answer.text).toContain('value="&lt;b&gt;here&lt;/b&gt;"');
    }
    expect(await app.context.db.read.characteristic.count({ where: { revisionId } })).toBe(0);
    expect((await add(lead, 4711, { text: '25' })).status).toBe(404);
  });

  it('wants limits for a bare size of a drawing without a class, and keeps the class while one goes by it', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, { generalTolerance: '' });
    const lead = await app.as('lead');
    const { read } = app.context.db;
    for (const text of ['40', '3/8 in', 'R3', '90°', '90° side 40']) {
      const bare = await add(lead, revisionId, { text, label: 'length' });
      expect(bare.status, text).toBe(422);
      expect(bare.text, text).toContain(
        'has no limits: none stand beside it, and the revision names no general',
      );
      expect(bare.text, text).toContain(
        'write them beside it, as in 40 ±0.2, or first choose the general tol',
      );
      expect(bare.text, text).toContain(`value="${text}"`);
    }
    expect(await read.characteristic.count({ where: { revisionId } })).toBe(0);
    expect((await add(lead, revisionId, { text: '40 ±0.2' })).status).toBe(303);
    expect((await add(lead, revisionId, { text: 'deburr all edges' })).status).toBe(303);

    const head = { materialId: '', processId: '', notes: 'as they stand' };
    const choose = async (generalTolerance: string) =>
      lead.post(`/revisions/${revisionId}`, {
        ...head,
        generalTolerance,
        version: await versionOf(app, revisionId),
      });
    expect((await choose('m')).status).toBe(303);
    expect((await add(lead, revisionId, { text: '1500' })).status).toBe(303);
    expect((await add(lead, revisionId, { text: '2500' })).status).toBe(303);
    const without = await choose('');
    expect(without.status).toBe(422);
    expect(without.text).toContain(
      'Without a class there are no limits for 3 (1500), 4 (2500): write limits',
    );
    expect(without.text).toContain('as they stand</textarea>');
    expect((await choose('f')).text).toContain(
      'Class f has no limits for 4 (2500): write limits beside them',
    );
    expect(await read.revision.findUniqueOrThrow({ where: { id: revisionId } })).toMatchObject({
      generalTolerance: 'm',
    });
  });

  it('refuses to add, change or take off one of a released drawing, and asks for a new revision', async () => {
    const app = await startApp();
    const { revisionId, characteristicIds } = await aReleasedPart(app, { characteristics: ['25 H7'] });
    const [id] = characteristicIds;
    const lead = await app.as('lead');
    const version = await versionOf(app, revisionId);
    const before = await app.context.db.read.characteristic.findMany({ where: { revisionId } });
    const answers = [
      await add(lead, revisionId, { text: '12 H7' }),
      await lead.post(`/characteristics/${id}`, { text: '25 H8', label: '', version }),
      await lead.post(`/characteristics/${id}/remove`),
    ];
    for (const answer of answers) {
      expect(answer.status).toBe(409);
      expect(answer.text).toContain(
        'Revision A is released: what it says stands. Start the next revision to',
      );
    }
    expect(answers[1]?.text).toContain('value="25 H8"');
    expect(await app.context.db.read.characteristic.findMany({ where: { revisionId } })).toEqual(before);
  });

  it('changes and removes one, telling the second editor', async () => {
    const app = await startApp();
    const { revisionId, characteristicIds } = await aDraft(app, { characteristics: ['25 H7', '40'] });
    const [id] = characteristicIds;
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    const version = await versionOf(app, revisionId);
    expect((await lead.get(`/characteristics/${id}`)).text).toContain('value="25 H7"');
    expect(
      (await lead.post(`/characteristics/${id}`, { text: '26 H7', label: 'bore', version })).status,
    ).toBe(303);
    const late = await crew.post(`/characteristics/${id}`, { text: '27 H7', label: 'hub', version });
    expect(late.status).toBe(409);
    expect(late.text).toContain('was changed while you were at it');
    expect(late.text).toContain('Stored now: 26 H7, bore.');
    expect(late.text).toContain('value="27 H7"');
    const seen = /name="version" value="(\d+)"/.exec(late.text)?.[1] ?? '';
    expect(
      (await crew.post(`/characteristics/${id}`, { text: '27 H7', label: 'hub', version: seen })).status,
    ).toBe(303);
    const wrong = await crew.post(`/characteristics/${id}`, { text: '27 H99', version: seen });
    expect(wrong.status).toBe(422);
    expect((await crew.post(`/characteristics/${id}/remove`)).status).toBe(303);
    expect((await crew.get(`/characteristics/${id}`)).status).toBe(404);
    const row = await app.context.db.read.characteristic.findUniqueOrThrow({ where: { id: id ?? 0 } });
    expect(row).toMatchObject({ text: '27 H7', removedAt: expect.any(Date) as Date });
    expect(
      (await (await app.as('imre')).post(`/characteristics/${characteristicIds[1]}/remove`)).status,
    ).toBe(403);
  });
});

describe('POST /revisions/:id', () => {
  const head = {
    change: 'wider',
    materialId: '',
    processId: '',
    materialNote: 'bar 40 mm',
    finish: 'oiled',
    generalTolerance: 'f',
    notes: 'two lines\r\nhere',
  };

  it('changes what the draft says; the second editor sees both versions and loses nothing', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const version = String(await versionOf(app, revisionId));
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    expect((await lead.get(`/revisions/${revisionId}/change`)).text).toContain(
      `name="version" value="${version}"`,
    );
    expect((await lead.post(`/revisions/${revisionId}`, { ...head, version })).status).toBe(303);
    const late = await crew.post(`/revisions/${revisionId}`, { ...head, finish: 'painted', version });
    expect(late.status).toBe(409);
    expect(late.text).toContain('value="painted"');
    expect(late.text).toMatch(/Stored now[\s\S]*<dt>Finish<\/dt><dd>oiled/);
    const seen = /name="version" value="(\d+)"/.exec(late.text)?.[1] ?? '';
    const done = await crew.post(`/revisions/${revisionId}`, { ...head, finish: 'painted', version: seen });
    expect(done.status).toBe(303);
    const row = await app.context.db.read.revision.findUniqueOrThrow({ where: { id: revisionId } });
    expect(row).toMatchObject({ finish: 'painted', notes: 'two lines\nhere', materialId: null });
  });

  it('says at the field what does not fit', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const version = String(await versionOf(app, revisionId));
    const lead = await app.as('lead');
    const { read } = app.context.db;
    const before = await read.revision.findUniqueOrThrow({ where: { id: revisionId } });
    const bad: [Record<string, string>, string][] = [
      [{ materialId: '4711' }, 'This material is not in the list'],
      [{ processId: 'x' }, 'Choose a process of the list.'],
      [{ generalTolerance: 'z' }, 'Choose a class of the list.'],
      [{ finish: 'l'.repeat(201) }, 'At most 200 characters; this has 201.'],
      [{ notes: 'a\u0000b' }, 'characters that cannot be seen'],
      [{ version: '' }, 'the form has lost which version it was for'],
    ];
    for (const [fields, sentence] of bad) {
      const answer = await lead.post(`/revisions/${revisionId}`, { ...head, version, ...fields });
      expect(answer.status, sentence).toBe(422);
      expect(answer.text).toContain(sentence);
      expect(answer.text).toContain('value="bar 40 mm"');
    }
    expect(await read.revision.findUniqueOrThrow({ where: { id: revisionId } })).toEqual(before);
    expect((await lead.post('/revisions/4711', { ...head, version })).status).toBe(404);
  });

  it('refuses a released revision, whose form is not offered', async () => {
    const app = await startApp();
    const { revisionId } = await aReleasedPart(app);
    const lead = await app.as('lead');
    expect((await lead.get(`/revisions/${revisionId}/change`)).headers.location).toBe(
      `/revisions/${revisionId}`,
    );
    const version = await versionOf(app, revisionId);
    const answer = await lead.post(`/revisions/${revisionId}`, { ...head, version });
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('Revision A is released: what it says stands.');
  });
});

describe('POST /revisions/:id/release', () => {
  it('refuses with what is missing and changes nothing; does it once everything holds', async () => {
    const app = await startApp();
    const { revisionId, documentId } = await aDraft(app);
    const lead = await app.as('lead');
    await lead.post(`/documents/${documentId}/remove`);
    const before = await app.context.db.read.act.count();
    const missing = await lead.post(`/revisions/${revisionId}/release`, {
      version: await versionOf(app, revisionId),
    });
    expect(missing.status).toBe(409);
    expect(missing.text).toContain('released yet: no drawing or model yet.');
    expect(await app.context.db.read.act.count()).toBe(before);
    expect((await lead.post(`/revisions/${revisionId}/release`, {})).status).toBe(422);
    expect(
      (await (await app.as('imre')).post(`/revisions/${revisionId}/release`, { version: 1 })).status,
    ).toBe(403);
  });

  it('lets one of two people release it at the same moment', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app);
    const version = await versionOf(app, revisionId);
    const people = [await app.as('lead'), await app.as('crew')];
    const answers = await Promise.all(
      people.map((one) => one.post(`/revisions/${revisionId}/release`, { version })),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(answers.find(({ status }) => status === 409)?.text).toContain('Revision A is released');
  });
});

describe('revisionsOfPart', () => {
  it('lists newest first, with drafts for lead and crew only', async () => {
    const app = await startApp();
    const a = await aReleasedPart(app, { characteristics: [{ text: '25 H7', isKey: true }, '40'] });
    const b = await aDraft(app, { partId: a.partId, change: 'wider' });
    const all = await revisionsOfPart(app.context.db, a.partId);
    expect(all.revisions.map(({ letter, state }) => [letter, state])).toEqual([
      ['B', 'draft'],
      ['A', 'released'],
    ]);
    expect(all).toMatchObject({ nextLetter: null, draft: { id: b.revisionId }, released: { letter: 'A' } });
    expect(all.released).toMatchObject({
      releasedOn: '2026-03-02',
      documents: 1,
      characteristics: 2,
      keyCharacteristics: 1,
    });
    const makers = await revisionsOfPart(app.context.db, a.partId, { draftsToo: false });
    expect(makers.revisions.map(({ letter }) => letter)).toEqual(['A']);
  });
});
