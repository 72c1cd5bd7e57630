import { describe, expect, it } from 'vitest';
import { growthLines, swellingText } from '../../src/drawings/growth-lines.ts';
import { materialEntry } from '../../src/specs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { aPart } from '../support/parts.ts';

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
    expect(growthLines(steel, sizes, 'mm')).toEqual([
      { label: 'bore', size: '25 mm', amount: '0.003 mm' },
      { label: '10 ±0.01 in', size: '254 mm', amount: '0.0305 mm' },
      { label: '', size: '100 mm', amount: '0.012 mm' },
    ]);
    expect(growthLines(steel, sizes, 'in')).toEqual([
      { label: 'bore', size: '0.98425 in', amount: '0.000118 in' },
      { label: '10 ±0.01 in', size: '10 in', amount: '0.0012 in' },
      { label: '', size: '10 in', amount: '0.0012 in' },
    ]);
    const carbon = await material(app, 'cfrp-tube');
    expect(growthLines(carbon, [], 'mm')[0]?.amount).toMatch(/^−/);
    expect(growthLines(null, sizes, 'mm')).toEqual([]);
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

describe('GET /parts/:number, material and process', () => {
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
