import { describe, expect, it } from 'vitest';
import { sizeOf } from '../../src/fits/size.ts';
import { zonePairs } from '../../src/fits/zone-pairs.ts';
import { startApp } from '../support/app.ts';
import { aReleasedPart } from '../support/drawings.ts';

/** Whether the sentence stands at the shaft's box. */
const shafts = (sentence: string, page: string) => {
  const told = /<span class="error" id="f-shaftText-error">([^<]*)</.exec(page)?.[1] ?? '';
  return told.includes(sentence) ? true : told;
};

describe('a fit’s form', () => {
  it('says at the field what is wrong with a size, keeps what was typed and stores nothing', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const good = { holeText: '25 H7', shaftText: '25 g6', wanted: 'sliding' };
    const told: [typed: string, found: true | string][] = [];
    for (const [typed, sentence] of [
      ['25 H7', 'is a zone of a hole'],
      ['25 q9', 'no letter q'],
      ['25 g99', '99'],
      ['0 h6', '0'],
      ['5000.5 ±1', '5000'],
      ['5 m ±1', '5 m'],
      ['25 -0.1 +0.1', 'the wrong way round'],
      ['25 ±0', '±0'],
      ['25', 'has no limits'],
      ['25 cm ±0.1', 'cm'],
      ['25 +0.1 mm -0.1 in', 'in'],
      ['<script>', '&lt;script&gt;'],
    ] as const) {
      const reply = await lead.post('/fits', { ...good, shaftText: typed, note: 'kept' });
      expect([typed, reply.status]).toEqual([typed, 422]);
      told.push([typed, shafts(sentence, reply.text)]);
      expect(reply.text).toContain('kept');
      expect(reply.text).toContain(`value="${typed.replaceAll('<', '&lt;').replaceAll('>', '&gt;')}"`);
    }
    expect(told.filter(([, found]) => found !== true)).toEqual([]);
    for (const [wrong, field] of [
      [{ holeGrowth: 'sideways' }, 'holeGrowth'],
      [{ lowHumidity: '40' }, 'highHumidity'],
      [{ lowHumidity: '70', highHumidity: '40' }, 'highHumidity'],
      [{ highHumidity: '140' }, 'highHumidity'],
      [{ holeDry: 'x' }, 'holeDry'],
      [{ holePosition: '1.5' }, 'holePosition'],
      [{ name: 'n'.repeat(101) }, 'name'],
      [{ note: 'a\u0000b' }, 'note'],
    ] as const) {
      const reply = await lead.post('/fits', { ...good, ...wrong });
      expect([field, reply.status]).toEqual([field, 422]);
    }
    expect(await app.context.db.read.fit.count()).toBe(0);
    const comma = await lead.post('/fits', {
      holeText: '25,4 +0,021 0',
      shaftText: '1 in +0 -0,0005',
      wanted: 'figures',
      wantedMin: '0,001',
      wantedMax: '0,2',
      lowCelsius: '19,5',
    });
    expect(comma.status).toBe(303);
    expect(await app.context.db.read.fit.findFirstOrThrow()).toMatchObject({
      holeText: '25.4 +0.021 0',
      shaftText: '1 0 -0.0005 in',
      wantedMin: 0.001,
      lowCelsius: 19.5,
    });
    // exactly 25.4: 1 in is 25.4 mm, 0.0005 in is 0.0127 mm, so 0 to 0.0337 mm
    const page = (await lead.get('/fits/1')).text;
    expect(page).toContain('25.3873 to 25.4 mm');
    expect(page).toContain('0.0337 mm');
    expect(page).toContain('drawn in inches');
  });
});

describe('a link’s form', () => {
  it('refuses what is no link at its field, and stores nothing', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    await lead.post('/chains', { title: 'float', wantedMin: '0', wantedMax: '1' });
    for (const [typed, sentence] of [
      [{ text: '', direction: '1' }, 'Type a size with its limits'],
      [{ text: '20', direction: '1' }, 'has no limits'],
      [{ text: '20 ±0', direction: '1' }, '±0'],
      [{ text: '5 m ±1', direction: '1' }, '5 m'],
      [{ text: '45° ±1°', direction: '1' }, 'is an angle'],
      [{ text: '20 ±0.1' }, 'Choose whether it opens or closes'],
      [{ text: '20 ±0.1', direction: '2' }, 'Choose whether it opens or closes'],
      [{ text: '20 ±0.1', direction: 'fits' }, 'No fit has this size'],
      [{ fitId: '9' }, 'There is no such fit'],
      [{ part: 'TB-77', text: '20 ±0.1', direction: '1' }, 'No part has the number TB-77'],
      [{ size: '1-x', direction: '1' }, 'Choose a size of the list'],
      [{ text: '20 ±0.1', direction: '1', dry: '3', damp: '1' }, 'the wrong way round'],
      [{ text: '20 ±0.1', direction: '1', expansion: '99999' }, 'At most 1000'],
    ] as const) {
      const reply = await lead.post('/chains/1/links', typed);
      expect([typed, reply.status]).toEqual([typed, 422]);
      expect([typed, reply.text.includes(sentence)]).toEqual([typed, true]);
    }
    expect(await app.context.db.read.chainLink.count()).toBe(0);
    for (const wrong of [
      { title: '' },
      { wantedMin: 'x' },
      { wantedMin: '2' },
      { lowCelsius: '90' },
      { lowHumidity: '3' },
    ]) {
      const reply = await lead.post('/chains', { title: 'b', wantedMin: '0', wantedMax: '1', ...wrong });
      expect([wrong, reply.status]).toEqual([wrong, 422]);
    }
    expect(await app.context.db.read.chain.count()).toBe(1);
  });
});

it('what the machine stands in is set with both ends of the air, or neither, and swelling follows the material', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const set = (fields: Record<string, string>) =>
    lead.post('/fits/temperatures', { lowCelsius: '20', highCelsius: '20', ...fields });
  expect((await set({ lowHumidity: '40' })).status).toBe(422);
  expect((await set({ lowHumidity: '65', highHumidity: '40' })).status).toBe(422);
  const beech = await app.context.db.read.material.findFirstOrThrow({ where: { key: 'beech' } });
  const globe = await aReleasedPart(app, { characteristics: ['100 +0.2 0'], material: beech.name });
  await lead.post('/fits', {
    holePart: globe.number,
    holePosition: '1',
    shaftText: '99.5 ±0.1',
    shaftExpansion: '12',
    wanted: 'figures',
    wantedMin: '0',
    wantedMax: '3',
  });
  await set({});
  expect((await lead.get('/fits/1')).text).not.toContain('driest');
  expect((await set({ lowHumidity: '40', highHumidity: '65' })).status).toBe(303);
  const page = (await lead.get('/fits/1')).text;
  // beech, 4.3 % from air of 30 to 80 %: −0.86 % at 40 %, so the hole of 100 mm is 99.14 mm at its smallest
  expect(page).toContain('20 °C, driest');
  expect(page).toContain('−0.46 mm');
  expect(page).toContain('−0.86 % at the driest, 1.29 % at the dampest');
  // what is typed goes before the list, also nothing at all
  const { version } = await app.context.db.read.fit.findUniqueOrThrow({ where: { id: 1 } });
  await lead.post('/fits/1', {
    holePart: globe.number,
    holePosition: '1',
    holeGrowth: 'typed',
    shaftText: '99.5 ±0.1',
    wanted: 'figures',
    wantedMin: '0',
    wantedMax: '3',
    version: String(version),
  });
  expect((await lead.get('/fits/1')).text).not.toContain('driest');
});

describe('zonePairs at inch sizes', () => {
  it('gives zones about an inch size, in millimetres as the standard has them', () => {
    const size = (text: string) => {
      const read = sizeOf(text, null, 'any');
      if (!read.ok) throw new Error(read.sentence);
      return read.size;
    };
    const side = (text: string) => ({
      size: size(text),
      movement: { expansion: 12, dry: 0, damp: 0 },
      grades: { usual: 7, best: 6 },
      bought: false,
    });
    const pairs = zonePairs(
      side('1 in ±0.002'),
      side('1 in ±0.002'),
      { min: 0, max: 0.1 },
      { low: 20, high: 20 },
    );
    expect(pairs.length).toBeGreaterThan(0);
    for (const { verdict, held } of pairs) {
      expect(verdict.verdict).toBe('fits');
      expect(held).toBe('usual');
    }
    // 25.4 mm lies in the step of the standard from 24 to 30: h7 is 0 to -0.021
    const h7 = pairs.find(({ hole, shaft }) => hole === 'H7' && shaft === 'h7') ?? pairs[0];
    expect(h7?.verdict.rows[0]?.min).toBeGreaterThanOrEqual(0);
  });
});
