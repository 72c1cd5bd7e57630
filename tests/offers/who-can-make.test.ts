import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { releaseRevision } from '../../src/drawings/index.ts';
import { offerJob } from '../../src/jobs/index.ts';
import { addAway, addTool } from '../../src/makers/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { aDraft } from '../support/drawings.ts';
import { aReadFile } from '../support/files-read.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { measuredPieces } from '../support/measured.ts';

const part = {
  process: 'turning (lathe)',
  material: 'brass CW614N (CuZn39Pb3)',
  characteristics: ['25 H7', { text: '240 ±0.5', label: 'overall' }],
};

async function aTool(
  test: TestApp,
  who: CastName,
  wish: { process?: string; xMm?: number | null; materials?: string } = {},
) {
  const { process = 'turning (lathe)', xMm = 300, materials = 'brass' } = wish;
  const row = await test.context.db.read.process.findFirstOrThrow({ where: { name: process } });
  await asPerson(test, 'lead', (act) =>
    addTool(act, castId[who], {
      name: `Tool of ${who} <i>`,
      processId: row.id,
      xMm,
      yMm: null,
      zMm: null,
      materials,
      note: '',
    }),
  );
}

/** The section of a page between its id and its end. */
function section(text: string, id: string): string {
  return new RegExp(`<section id="${id}"[^]*?</section>`).exec(text)?.[0] ?? '';
}

describe('who can make it', () => {
  it('ranks all makers on the route card for the lead, misfits and unknowns named', async () => {
    const test = await startApp();
    await aTool(test, 'imre', { process: 'milling' });
    await aTool(test, 'farid');
    const { jobId } = await anOfferedJob(test, { quantity: 4, part });
    const { status, text } = await (await test.as('lead')).get(`/jobs/${jobId}`);
    expect(status).toBe(200);
    const shown = section(text, 'who-can-make');
    const order = ['Farid Amiri', 'Sunniva Dahl', 'Imre Kovacs'].map((name) => shown.indexOf(name));
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(order[0]).toBeGreaterThan(0);
    expect(shown).toContain('no tool named for turning (lathe)');
    expect(shown).toContain(
      'Tool of farid &lt;i&gt; takes 300 mm; the part is at least 240 mm (overall, 240 ±0.5)',
    );
    expect(shown).toContain('no tool is named');
    expect(shown).not.toMatch(/example\.org|Hill Road|Lake Street|Mill Lane| style=/);
    expect(shown).toContain(`/makers/${castId.farid}`);
    // Makers' hours, days away and record are for the lead and for themselves.
    const crew = (await (await test.as('crew')).get(`/jobs/${jobId}`)).text;
    expect(section(crew, 'who-can-make')).toBe('');
  });

  it('goes with the offer: nothing open, nothing to show', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 2, part });
    const lead = await test.as('lead');
    await aClaim(test, { jobId, quantity: 1 });
    expect(section((await lead.get(`/jobs/${jobId}`)).text, 'who-can-make')).toContain('has some of it');
    await aClaim(test, { who: 'farid', jobId, quantity: 1 });
    expect(section((await lead.get(`/jobs/${jobId}`)).text, 'who-can-make')).toBe('');
  });

  it('leaves out who is forgotten or has left, and says so when nobody is there', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 2, part });
    const lead = await test.as('lead');
    const { write } = test.context.db;
    await write.person.update({ where: { id: castId.farid }, data: { forgottenAt: new Date() } });
    await write.person.update({ where: { id: castId.imre }, data: { deactivatedAt: new Date() } });
    const shown = section((await lead.get(`/jobs/${jobId}`)).text, 'who-can-make');
    expect(shown).toContain('Sunniva');
    expect(shown).not.toMatch(/Farid|Imre/);
    await write.person.update({ where: { id: castId.sunniva }, data: { forgottenAt: new Date() } });
    expect(section((await lead.get(`/jobs/${jobId}`)).text, 'who-can-make')).toContain(
      'No maker has an account yet',
    );
  });

  it('goes by what was measured of a maker', async () => {
    const test = await startApp();
    const values = [25.004, 25.006, 25.008, 25.01, 25.012, 25.014, 25.016, 25.018];
    await measuredPieces(test, { values, part: { process: 'turning (lathe)' } });
    const { jobId } = await anOfferedJob(test, { quantity: 2, part });
    const shown = section((await (await test.as('lead')).get(`/jobs/${jobId}`)).text, 'who-can-make');
    expect(shown).toContain('8 of 8 values measured at that grade or finer were inside');
    expect(shown).toContain('Cpk 0.68 (0.26 to 1.11) of 8 measured values');
    expect(shown).toContain('25 H7 asks for IT7; turning (lathe) usually holds IT8, IT6 at its best: ask');
  });
});

describe('the size of the part by its model', () => {
  it('stands against all sides of a tool, and the page says which of the two it is', async () => {
    const test = await startApp();
    await aTool(test, 'imre', { xMm: 300 });
    const wish = { ...part, characteristics: [{ label: 'length', text: '40' }] };
    const draft = await aDraft(test, wish);
    const lead = await test.as('lead');
    await aReadFile(test, lead, {
      revisionId: draft.revisionId,
      kind: 'model',
      filename: 'cube.stp',
      content: readFileSync(new URL('../checks/step/cube-10mm.stp', import.meta.url)),
    });
    await asPerson(test, 'lead', (act) => releaseRevision(act, { revisionId: draft.revisionId }));
    const jobId = await anotherJob(test, { kind: 'fabricate', title: '', partId: draft.partId });
    await asPerson(test, 'lead', (act) => offerJob(act, jobId));
    const shown = section((await lead.get(`/jobs/${jobId}`)).text, 'who-can-make');
    expect(shown).toContain('the part is 10 × 10 × 10 mm by its model cube.stp');
    expect(shown).not.toContain('the part is at least');
  });
});

describe('offers, to the maker who looks', () => {
  it('say whether they suit, about nobody else', async () => {
    const test = await startApp();
    await aTool(test, 'imre', { materials: 'plywood', xMm: 200 });
    await aTool(test, 'farid');
    await asPerson(test, 'imre', (act) =>
      addAway(act, castId.imre, { fromOn: '2026-03-05', untilOn: '2026-03-08', note: '' }),
    );
    const { jobId } = await anOfferedJob(test, { quantity: 4, part });
    const imre = await test.as('imre');
    const list = (await imre.get('/offers')).text;
    expect(list).toContain('does not suit');
    expect(list).toContain('the part is at least 240 mm');
    // Each reason stands on the list, not the misfits alone, and where the size is from.
    for (const what of ['process', 'size', 'material', 'tolerance', 'hours', 'post', 'record']) {
      expect(list).toContain(`<th scope="row">${what}</th>`);
    }
    expect(list).toContain('the greatest length among the drawing’s dimensions');
    expect((await (await test.as('lead')).get('/offers')).text).toContain(`/jobs/${jobId}#who-can-make`);
    const page = section((await imre.get(`/offers/${jobId}`)).text, 'suits');
    expect(page).toContain('brass CW614N (CuZn39Pb3) is not among it');
    const card = section((await imre.get(`/jobs/${jobId}`)).text, 'who-can-make');
    expect(card).toContain('Does it suit you?');
    for (const text of [list, page, card]) expect(text).not.toMatch(/farid|Sunniva/i);
    expect((await (await test.as('farid')).get('/offers')).text).toMatch(/suits<\/span>/);
  });

  it('ask a maker without tools to name them, and tell visitors nothing of it', async () => {
    const test = await startApp();
    const { jobId } = await anOfferedJob(test, { quantity: 4, part });
    const list = (await (await test.as('sunniva')).get('/offers')).text;
    expect(list).toContain('Name your tools');
    expect(list).toContain('may suit');
    for (const path of ['/offers', `/offers/${jobId}`])
      expect((await test.visitor().get(path)).text).not.toMatch(/may suit|suit you/);
  });
});
