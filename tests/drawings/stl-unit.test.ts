import { describe, expect, it } from 'vitest';
import { readDisagreements } from '../../src/drawings/index.ts';
import { factsOf } from '../../src/models/facts.ts';
import { factsInUnit, mmPerFigure } from '../../src/models/index.ts';
import { NO_UNIT } from '../../src/models/stl-unit.ts';
import { startApp } from '../support/app.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { aReadFile } from '../support/files-read.ts';
import { aCube, aDxf } from '../support/models.ts';

describe('factsInUnit', () => {
  it('scales size, surface and volume of an STL by its unit, once, and nothing of other formats', () => {
    const cube = factsOf('STL', {
      size: { x: 2, y: 2, z: 2 },
      area: 24,
      volume: 8,
      warnings: [NO_UNIT, 'The surface is not closed.'],
    });
    expect(factsInUnit(cube, 'in')).toMatchObject({
      unit: 'in',
      size: { x: 50.8, y: 50.8, z: 50.8 },
      warnings: ['The surface is not closed.'],
    });
    expect(factsInUnit(cube, 'in').area).toBeCloseTo(15_483.84, 6);
    expect(factsInUnit(cube, 'in').volume).toBeCloseTo(131_096.512, 6);
    expect(factsInUnit(cube, 'mm')).toMatchObject({ unit: 'mm', volume: 8, size: { x: 2 } });
    expect(factsInUnit(cube, '')).toBe(cube);
    expect(factsInUnit(cube, 'toString')).toBe(cube);
    const step = factsOf('STEP', { unit: 'mm', volume: 8 });
    expect(factsInUnit(step, 'm')).toBe(step);
    expect(['mm', 'cm', 'm', 'in', '', 'valueOf'].map(mmPerFigure)).toEqual([1, 10, 1000, 25.4, 1, 1]);
  });
});

describe('POST /documents/:id/unit', () => {
  it('has facts, mass and the viewer follow what was said, and writes it to the log', async () => {
    const app = await startApp();
    const { read } = app.context.db;
    const steel = await read.material.findFirstOrThrow({ where: { key: 'steel-s235' } });
    const { revisionId, number } = await aDraft(app, { material: steel.name });
    const lead = await app.as('lead');
    const page = async () => (await lead.get(`/revisions/${revisionId}`)).text;
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'cube <b>.stl',
      content: aCube(2),
    });
    const asked = await page();
    expect(asked).toContain('names no unit: its figures are taken as mm, which makes it 2 × 2 × 2 mm');
    expect(asked).toContain(`action="/documents/${id}/unit"`);
    expect((await lead.get(`/documents/${id}/view`)).text).toContain('data-scale="1"');

    expect((await lead.get(`/parts/${number}`)).text).toContain('which names no unit and is taken as mm');

    const said = await lead.post(`/documents/${id}/unit`, { unit: 'in' });
    expect([said.status, said.headers.location]).toEqual([303, `/revisions/${revisionId}#documents`]);
    const after = await page();
    expect(after).toContain('STL, 50.8 × 50.8 × 50.8 mm');
    expect(after).not.toContain('names no unit');
    expect(after).toContain('said that cube ');
    expect((await lead.get(`/documents/${id}/view`)).text).toContain('data-scale="25.4"');
    // 131 096.5 mm3 of steel at 7850 kg/m3
    expect((await lead.get(`/parts/${number}`)).text).toContain('1.029 kg');
    const act = await read.act.findFirstOrThrow({ where: { kind: 'say-unit' } });
    expect(JSON.parse(act.after ?? '')).toMatchObject({ documentId: id, unit: 'in' });
    expect(JSON.parse(act.before ?? '')).toEqual({ documentId: id, unit: '' });
  });

  it('keeps bad input at the field and stores nothing; refuses other files, makers and what is released', async () => {
    const app = await startApp();
    const { read } = app.context.db;
    const { revisionId, documentId } = await aDraft(app);
    const lead = await app.as('lead');
    const id = await aReadFile(app, lead, {
      revisionId,
      kind: 'model',
      filename: 'c.stl',
      content: aCube(2),
    });
    for (const unit of ['', 'ft', '<b>', 'toString', 'a\u0007b', 'm'.repeat(9999)]) {
      const again = await lead.post(`/documents/${id}/unit`, { unit });
      expect(again.status, unit.slice(0, 9)).toBe(422);
      expect(again.text).toContain(`id="f-u${id}-unit-error">Choose mm, cm, m or in.`);
      expect(again.text).not.toContain('<b>"');
    }
    expect((await lead.post(`/documents/${documentId}/unit`, { unit: 'mm' })).status).toBe(409);
    expect((await lead.post('/documents/99999/unit', { unit: 'mm' })).status).toBe(404);
    expect((await (await app.as('imre')).post(`/documents/${id}/unit`, { unit: 'mm' })).status).toBe(403);
    expect((await read.document.findUniqueOrThrow({ where: { id } })).unit).toBe('');

    const { version } = await read.revision.findUniqueOrThrow({ where: { id: revisionId } });
    const draft = await lead.get(`/revisions/${revisionId}`);
    expect(draft.text).toContain('1 warning stands');
    expect((await lead.post(`/revisions/${revisionId}/release`, { version })).status).toBe(303);
    const late = await lead.post(`/documents/${id}/unit`, { unit: 'cm' });
    expect([late.status, late.text.includes('is released: what it says stands')]).toEqual([409, true]);
    expect((await read.document.findUniqueOrThrow({ where: { id } })).unit).toBe('');
  });
});

describe('GET /revisions/:id, the model and the sizes', () => {
  it('tells the shop each finding with what to do, and a maker only what spoils a piece', async () => {
    const app = await startApp();
    const { revisionId } = await aDraft(app, {
      process: 'laser cutting, sheet',
      characteristics: [
        { label: 'length', text: '160' },
        { label: 'width', text: '60' },
      ],
    });
    const lead = await app.as('lead');
    const line = (x1: number, y1: number, x2: number, y2: number) => [
      ...[0, 'LINE', 8, 'CUT', 10, x1, 20, y1],
      ...[11, x2, 21, y2],
    ];
    await aReadFile(app, lead, {
      revisionId,
      kind: 'flat pattern',
      filename: 'plate.dxf',
      content: aDxf([line(0, 0, 160, 0), line(160, 0, 160, 60), line(160, 60, 0, 60)]),
    });
    await aReadFile(app, lead, { revisionId, kind: 'model', filename: 'p.stl', content: aCube(16) });
    const shop = (await lead.get(`/revisions/${revisionId}`)).text;
    expect(shop).toContain('The model and the sizes <small class="soft">');
    expect(shop).toContain('One contour of the flat pattern plate.dxf is not closed');
    expect(shop).toContain('Join the ends in the drawing program');
    expect(shop).toContain('length, 160 is longer than the model p.stl');
    const { version } = await app.context.db.read.revision.findUniqueOrThrow({ where: { id: revisionId } });
    await lead.post(`/revisions/${revisionId}/release`, { version });
    const maker = (await (await app.as('imre')).get(`/revisions/${revisionId}`)).text;
    expect(maker).toContain('One contour of the flat pattern plate.dxf is not closed');
    expect(maker).toContain('Ask in a query of the job');
    expect(maker).not.toContain('is longer than the model');
    expect(maker).not.toContain('Join the ends');
  });

  it('compares with the revision before, and has no section where there is no model', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const first = await aReleasedPart(app, { characteristics: [{ label: 'slot', text: '3' }] });
    expect((await lead.get(`/revisions/${first.revisionId}`)).text).not.toContain('The model and the sizes');
    const next = await aDraft(app, { partId: first.partId });
    expect(await readDisagreements(app.context.db, [first.revisionId, next.revisionId])).toEqual(new Map());
    await aReadFile(app, lead, {
      revisionId: next.revisionId,
      kind: 'flat pattern',
      filename: `${first.number}-A.dxf`,
      content: aDxf([[0, 'CIRCLE', 8, 'CUT', 10, 0, 20, 0, 40, 9]]),
    });
    const found = await readDisagreements(app.context.db, [next.revisionId]);
    expect(found.get(next.revisionId)?.map(({ code }) => code)).toEqual(['revision-letter']);
  });
});
