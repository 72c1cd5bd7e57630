import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { growthLines, swellingText } from '../../src/drawings/growth-lines.ts';
import { factsOf, READER_VERSION } from '../../src/models/facts.ts';
import { massOf, materialEntry, materialLibrary } from '../../src/specs/index.ts';
import materials from '../checks/materials.json' with { type: 'json' };
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { aPart } from '../support/parts.ts';

const STEP = readFileSync(new URL('../checks/step/cube-10mm.stp', import.meta.url));
const key = (text: string, label = '') => ({ text, label, isKey: true });

async function material({ context }: TestApp, name: string) {
  return materialEntry(await context.db.read.material.findFirstOrThrow({ where: { key: name } }));
}

describe('growthLines', () => {
  it('gives the key sizes and a length to judge by, in mm or in inches', async () => {
    const app = await startApp();
    const steel = await material(app, 'steel-s235');
    const sizes = [key('25 H7', 'bore'), key('10 in ±0.01'), key('M6'), { ...key('400'), isKey: false }];
    // 12 millionths per K over 10 K: 0.12 mm on a metre
    expect(growthLines(steel, sizes, null, 'mm')).toEqual([
      { label: 'bore', size: '25 mm', amount: '0.003 mm' },
      { label: '10 ±0.01 in', size: '254 mm', amount: '0.0305 mm' },
      { label: '', size: '100 mm', amount: '0.012 mm' },
    ]);
    expect(growthLines(steel, sizes, null, 'in')).toEqual([
      { label: 'bore', size: '0.98425 in', amount: '0.000118 in' },
      { label: '10 ±0.01 in', size: '10 in', amount: '0.0012 in' },
      { label: '', size: '10 in', amount: '0.0012 in' },
    ]);
    const carbon = await material(app, 'cfrp-tube');
    expect(growthLines(carbon, [], null, 'mm')[0]?.amount).toMatch(/^−/);
    expect(growthLines(null, sizes, null, 'mm')).toEqual([]);
  });

  it('swellingText says what damp air does, or that it is not known', async () => {
    const app = await startApp();
    expect(swellingText(await material(app, 'pa6'), 'mm')).toBe('0.85 mm on 100 mm');
    expect(swellingText(await material(app, 'pa6'), 'in')).toBe('0.085 in on 10 in');
    expect(swellingText(await material(app, 'steel-s235'), 'mm')).toBe('next to nothing');
    expect(
      swellingText({ properties: { ...(await material(app, 'pa6')).properties, swelling: null } }, 'mm'),
    ).toBe('');
  });
});

describe('massOf', () => {
  it('gives the masses of the check data, and nothing where volume or density is not known', () => {
    for (const { material: id, volume_mm3, mass_kg } of materials.massChecks) {
      const density = materialLibrary.find((one) => one.id === id)?.density.typical ?? 0;
      const { model, typed } = massOf({ typedGrams: 7, volumeMm3: volume_mm3, density });
      expect(model, id).toBeCloseTo(mass_kg * 1000, 3);
      expect(typed).toBe(7);
      const far = (typedGrams: number) => massOf({ typedGrams, volumeMm3: volume_mm3, density }).farApart;
      expect([far(mass_kg * 900), far(mass_kg * 400), far(mass_kg * 4000)], id).toEqual([false, true, true]);
    }
    expect(massOf({ typedGrams: null, volumeMm3: null, density: 7850 })).toEqual({
      typed: null,
      model: null,
      farApart: false,
    });
    expect(massOf({ typedGrams: null, volumeMm3: 1000, density: null }).model).toBeNull();
  });
});

describe('GET /parts/:number, material and process', () => {
  it('shows the mass by the model beside the typed one, and the growth of its longest side', async () => {
    const app = await startApp();
    const { db } = app.context;
    const steel = await material(app, 'steel-s235');
    const { number, partId, revisionId } = await aDraft(app, { material: steel.name });
    const lead = await app.as('lead');
    const bare = (await lead.get(`/parts/${number}`)).text;
    expect(bare).not.toContain('of plate.step');
    const added = await lead.upload(`/revisions/${revisionId}/documents`, { kind: 'model' }, [
      { name: 'file', filename: 'plate.step', content: STEP },
    ]);
    expect(added.status).toBe(303);
    const { sha256 } = await db.read.document.findFirstOrThrow({ where: { revisionId, kind: 'model' } });
    const size = { x: 10, y: 10, z: 10 };
    const read = {
      fileKind: 'step',
      version: READER_VERSION,
      state: 'read',
      facts: JSON.stringify(factsOf('STEP', { unit: 'mm', volume: 1000, size })),
      askedAt: app.context.clock.now(),
    };
    await db.write.documentFacts.upsert({ where: { sha256 }, create: { sha256, ...read }, update: read });
    expect((await lead.get(`/parts/${number}`)).text).toContain(
      '7.85 g<small>by the model and material of its draft</small>',
    );
    await db.write.part.update({ where: { id: partId }, data: { massGrams: 8 } });
    const page = (await lead.get(`/parts/${number}`)).text;
    // a cube of 10 mm: 1 cm3 of steel
    expect(page).toContain('7.85 g <small class="source">1 cm³ of plate.step, times 7850 kg/m³, EN 1993-1-1');
    expect(page).toContain('8 g<small>its own</small>');
    expect(page).toContain('8 g <small class="source">as typed for the part</small>');
    expect(page).toContain('longest side of the model');
    await db.write.part.update({ where: { id: partId }, data: { massGrams: 800 } });
    expect((await lead.get(`/parts/${number}`)).text).toContain(
      'as typed for the part: far from that of the model',
    );
    expect(page).toContain('>0.0012 mm</td>');
  });

  it('shows growth, swelling and cautions of the released drawing to all who see the part', async () => {
    const app = await startApp();
    const pa6 = await material(app, 'pa6');
    const { number, partId } = await aReleasedPart(app, {
      material: pa6.name,
      process: 'turning (lathe)',
      characteristics: [{ text: '25 H7', label: 'bore', isKey: true }],
    });
    const expansion = pa6.properties.expansion?.typical ?? 0;
    const maker = await app.as('imre');
    const page = (await maker.get(`/parts/${number}`)).text;
    expect(page).toContain(`<a href="/materials/${pa6.id}">${pa6.name}</a>`);
    expect(page).toContain('drawing A, released');
    expect(page).toContain('When it warms by 10 K');
    expect(page).toContain(`>${Number((25 * expansion * 1e-5).toPrecision(3))} mm</td>`);
    expect(page).toContain('0.85 mm on 100 mm');
    for (const caution of pa6.cautions) expect(page).toContain(caution);
    expect(page).toContain('take the chuck key out before switching on');
    expect(page).toContain('Local codes, the data sheet of the product and licensed practice come first');
    expect(page).toContain('Nothing here promises strength');

    const where = { id: castId.imre };
    await app.context.db.write.person.update({ where, data: { lengthUnit: 'in' } });
    const inches = (await maker.get(`/parts/${number}`)).text;
    expect(inches).toContain('>0.98425 in</td>');
    expect(inches).toContain('0.085 in on 10 in');

    // a draft of another material is for lead and crew, and only where nothing is released
    const steel = await material(app, 'steel-s235');
    await aDraft(app, { partId, material: steel.name });
    expect((await (await app.as('lead')).get(`/parts/${number}`)).text).toContain(`>${pa6.name}</a>`);
  });

  it('goes by the draft for lead and crew, marks what was taken off the list, and says when nothing is chosen', async () => {
    const app = await startApp();
    const steel = await material(app, 'steel-s235');
    const { number } = await aDraft(app, { material: steel.name });
    const lead = await app.as('lead');
    expect((await lead.get(`/parts/${number}`)).text).toContain('drawing A, draft');
    expect((await (await app.as('imre')).get(`/parts/${number}`)).text).not.toContain('drawing A, draft');
    await lead.post(`/materials/${steel.id}/remove`);
    expect((await lead.get(`/parts/${number}`)).text).toContain('off the list');
    const bare = await aPart(app, { name: 'plate' });
    const page = (await lead.get(`/parts/${bare.number}`)).text;
    expect(page).toContain('not chosen');
    expect(page).not.toContain('When it warms by');
  });
});
