import { describe, expect, it } from 'vitest';
import { changeCharacteristic, releaseRevision } from '../../src/drawings/index.ts';
import { directionFromFits } from '../../src/fits/chain-direction.ts';
import { choosePieces, type PieceToChoose } from '../../src/fits/piece-choice.ts';
import { swellingIn } from '../../src/fits/swelling.ts';
import { seededChance } from '../../src/specs/index.ts';
import { startApp } from '../support/app.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { anAssembly, asLead } from '../support/parts.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

describe('swellingIn', () => {
  it('gives the Wood Handbook’s beech, 0.43 % for each per cent of moisture, between 40 and 65 % of humidity', () => {
    expect(swellingIn(4.3, { low: 40, high: 65 })).toEqual({ dry: -0.86, damp: 1.29 });
  });
  it('gives the whole of it from 30 to 80 %, and nothing for air as drawn or a metal', () => {
    const { dry, damp } = swellingIn(0.85, { low: 30, high: 80 });
    expect(damp - dry).toBeCloseTo(0.85, 9);
    expect(swellingIn(4.3, { low: 50, high: 50 })).toEqual({ dry: 0, damp: 0 });
    expect(swellingIn(0, { low: 0, high: 100 })).toEqual({ dry: 0, damp: 0 });
  });
});

describe('directionFromFits', () => {
  const at = (partId: number, position = 1) => ({ partId, position });
  const fit = { id: 7, name: 'bush', hole: at(1), shaft: at(2) };
  it('lets a hole open and a shaft close', () => {
    expect(directionFromFits(at(1), [fit], [])).toMatchObject({ direction: 1 });
    expect(directionFromFits(at(2), [fit], [])).toMatchObject({ direction: -1 });
  });
  it('goes the other way than the other side in the chain', () => {
    const link = { ...at(2), direction: 1 };
    expect(directionFromFits(at(1), [fit], [link])).toMatchObject({ direction: -1 });
  });
  it('says so where no fit tells, or two tell otherwise', () => {
    expect(directionFromFits(at(3), [fit], [])).toMatchObject({
      sentence: expect.stringContaining('No fit'),
    });
    const other = { id: 8, name: 'seat', hole: at(9), shaft: at(1) };
    expect(directionFromFits(at(1), [fit, other], [])).toMatchObject({
      sentence: expect.stringContaining('the hole of bush and the shaft of seat'),
    });
  });
});

describe('choosePieces', () => {
  const heap = (values: readonly number[], wish: Partial<PieceToChoose> = {}): PieceToChoose => ({
    kind: 1,
    alike: 'a',
    candidates: values.map((value, unit) => ({ unit, adds: [value] })),
    ...wish,
  });

  it('takes the two spacers that bring the gap to its middle', () => {
    const spacers = [-10.02, -10.0, -9.97];
    const found = choosePieces([{ base: 20, half: 0 }], [heap(spacers), heap(spacers)], {
      min: 0,
      max: 0.06,
    });
    // 20 - 10.00 - 9.97 = 0.03: the very middle
    expect(found.chosen).toEqual([1, 2]);
    expect(found.margin).toBeCloseTo(0.03, 9);
    expect(found.isExact).toBe(true);
  });

  it('agrees with trying everything on random heaps, in two conditions', () => {
    const chance = seededChance(5);
    for (let run = 0; run < 200; run += 1) {
      const spread = () => -10 + (chance() - 0.5) / 10;
      const [a, b] = [Array.from({ length: 4 }, spread), Array.from({ length: 3 }, spread)];
      const candidates = (values: number[]) =>
        values.map((value, unit) => ({ unit, adds: [value, value * 1.0003] }));
      const pieces = [
        heap([], { candidates: candidates(a) }),
        heap([], { candidates: candidates(a) }),
        heap([], { kind: 2, alike: 'b', candidates: candidates(b) }),
      ];
      const gaps = [
        { base: 30.02, half: 0.002 },
        { base: 30.03, half: 0.003 },
      ];
      const wanted = { min: 0, max: 0.05 };
      let slow = Number.NEGATIVE_INFINITY;
      for (const x of a)
        for (const y of a) {
          if (x === y) continue;
          for (const z of b) {
            const sums = [30.02 + x + y + z, 30.03 + 1.0003 * (x + y + z)];
            slow = Math.max(
              slow,
              Math.min(...sums.flatMap((sum, at) => [sum - gaps[at]!.half, 0.05 - sum - gaps[at]!.half])),
            );
          }
        }
      expect(choosePieces(gaps, pieces, wanted).margin).toBeCloseTo(slow, 9);
    }
  });

  it('exchanges where there are too many choices, and takes no piece twice', () => {
    const chance = seededChance(9);
    const values = Array.from({ length: 30 }, () => -10 + (chance() - 0.5) / 20);
    const pieces = Array.from({ length: 8 }, (_, at) => heap(values, { alike: String(at) }));
    const found = choosePieces([{ base: 80.1, half: 0 }], pieces, { min: 0, max: 0.1 });
    expect(found.isExact).toBe(false);
    expect(new Set(found.chosen).size).toBe(8);
    expect(found.margin).toBeGreaterThan(0.0499);
  });
});

it('a fit’s page pairs the pieces that were measured, and says who is left over', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const deliver = async (text: string, values: readonly (number | null)[]) => {
    const delivered = await aDeliveredClaim(app, {
      quantity: values.length,
      jobWish: { part: { characteristics: [text] } },
    });
    const [characteristicId] = delivered.characteristicIds as [number];
    for (const [index, value] of values.entries()) {
      await checked(app, {
        lineId: delivered.lineId,
        units: [index + 1],
        ...(value === null ? {} : { values: [{ characteristicId, value }] }),
        ...(value !== null && (value > 25.021 || value < 24.9) ? { disposition: 'concession' as const } : {}),
      });
    }
    return delivered;
  };
  const hole = await deliver('25 H7', [25.018, 25.002, null]);
  const shaft = await deliver('25 g6', [24.981, 24.992, 24.992]);
  const added = await lead.post('/fits', {
    holePart: hole.number,
    holePosition: '1',
    shaftPart: shaft.number,
    shaftPosition: '1',
    wanted: 'figures',
    wantedMin: '0.015',
    wantedMax: '0.03',
    lowCelsius: '20',
    highCelsius: '20',
  });
  expect(added.status).toBe(303);
  const page = (await lead.get('/fits/1')).text;
  expect(page).toContain('2 of 3 accepted pieces were measured here');
  expect(page).toContain('gauge not named (2)');
  // 25.018 - 24.992 = 0.026 and 25.002 - 24.981 = 0.021: the other way round neither is inside
  const rows = page.slice(page.indexOf('Which goes with which'), page.indexOf('Left over'));
  expect(rows).toContain('0.026 mm');
  expect(rows).toContain('0.021 mm');
  expect(rows).toContain(`piece 1 of job ${hole.jobId}`);
  expect(page.slice(page.indexOf('Left over'))).toContain('a hole of 25.007 to 25.022 mm');
  expect(page).toContain('no better than its gauge');

  // a bought shaft: piece by piece against its limits
  await lead.post('/fits', {
    holePart: hole.number,
    holePosition: '1',
    shaftText: '25 h6',
    wanted: 'sliding',
    lowCelsius: '20',
    highCelsius: '20',
  });
  const single = (await lead.get('/fits/2')).text;
  expect(single).toContain('Piece by piece');
  expect(single).toContain('0.018 to 0.031 mm');
});

it('a chain’s page puts the measured beside the drawn, and names which piece goes where', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const spacer = await aDeliveredClaim(app, {
    quantity: 3,
    jobWish: { part: { characteristics: ['10 ±0.05'] } },
  });
  const [characteristicId] = spacer.characteristicIds as [number];
  for (const [index, value] of [10.02, 10.0, 9.97].entries()) {
    await checked(app, {
      lineId: spacer.lineId,
      units: [index + 1],
      values: [{ characteristicId, value }],
    });
  }
  const around = { lowCelsius: '20', highCelsius: '20' };
  await lead.post('/chains', { title: 'end float', wantedMin: '0', wantedMax: '0.06', ...around });
  await lead.post('/chains/1/links', { text: '20 ±0.001', direction: '1' });
  const { partId } = spacer;
  const choices = (await lead.get(`/chains/1?part=${spacer.number}`)).text;
  expect(choices).toContain(`value="${partId}-1"`);
  for (const _ of [1, 2]) {
    const reply = await lead.post('/chains/1/links', {
      part: spacer.number,
      size: `${partId}-1`,
      direction: '-1',
    });
    expect(reply.status).toBe(303);
  }
  const page = (await lead.get('/chains/1')).text;
  expect(page).toContain('3 of 3 accepted pieces measured');
  expect(page).toContain('9.97 to 10.02 mm');
  const where = page.slice(page.indexOf('Which piece where'));
  expect(where).toContain(`piece 2 of job ${spacer.jobId}`);
  expect(where).toContain(`piece 3 of job ${spacer.jobId}`);
  expect(where).not.toContain(`piece 1 of job ${spacer.jobId}`);
  expect(where).toContain('0.029 mm to spare');
});

it('a chain takes sizes through an assembly, and the direction from a fit', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const hub = await aReleasedPart(app, { characteristics: [{ text: '25 H7', label: 'bore' }] });
  const axle = await aReleasedPart(app, { characteristics: [{ text: '25 g6', label: 'seat' }] });
  const top = await anAssembly(app, { children: [{ id: hub.partId }, { id: axle.partId }] });
  const machine = await anAssembly(app, { children: [{ id: top.id }] });
  await lead.post('/chains', { title: 'float', wantedMin: '0', wantedMax: '0.1' });
  const form = (await lead.get(`/chains/1?part=${machine.number}`)).text;
  expect(form).toContain(`value="${hub.partId}-1"`);
  expect(form).toContain(`value="${axle.partId}-1"`);
  expect(form).toMatch(/optgroup label="[^"]*Part/);
  const add = (size: string, direction: string) =>
    lead.post('/chains/1/links', { part: machine.number, size, direction });
  const none = await add(`${hub.partId}-1`, 'fits');
  expect([none.status, none.text.includes('No fit has this size')]).toEqual([422, true]);
  expect((await add('7-', 'fits')).status).toBe(422);
  expect((await add('99999-1', '1')).text).toContain('taken out of the build');
  expect((await add(`${hub.partId}-1`, '')).text).toContain('opens or closes');
  await lead.post('/fits', {
    name: 'hub on axle',
    holePart: hub.number,
    holePosition: '1',
    shaftPart: axle.number,
    shaftPosition: '1',
    wanted: 'sliding',
  });
  expect((await add(`${axle.partId}-1`, 'fits')).status).toBe(303);
  expect((await add(`${hub.partId}-1`, 'fits')).status).toBe(303);
  const links = await app.context.db.read.chainLink.findMany({ orderBy: { id: 'asc' } });
  expect(links.map(({ direction }) => direction)).toEqual([-1, 1]);
  expect((await lead.post('/chains/1/links', { fitId: '1', size: `${hub.partId}-1` })).text).toContain(
    'not both',
  );
  expect((await lead.post('/chains/1/links', { fitId: '1' })).status).toBe(303);
  expect((await lead.get('/chains/1')).text).toContain('For each mm at first');
});

it('says on the fit, on the chain and on the list which revision changed the verdict; what is off the list stays to be seen', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const axle = await aReleasedPart(app, { characteristics: ['25 g6'] });
  const around = { lowCelsius: '20', highCelsius: '20' };
  await lead.post('/fits', {
    name: 'axle',
    holeText: '25 H7',
    shaftPart: axle.number,
    shaftPosition: '1',
    wanted: 'sliding',
    ...around,
  });
  await lead.post('/chains', { title: 'play', wantedMin: '0', wantedMax: '0.1', ...around });
  await lead.post('/chains/1/links', { text: '25 H7', direction: '1' });
  await lead.post('/chains/1/links', { part: axle.number, size: `${axle.partId}-1`, direction: '-1' });
  expect((await lead.get('/chains/1')).text).not.toContain('changed this');
  const next = await aDraft(app, { partId: axle.partId });
  const [own] = await app.context.db.read.characteristic.findMany({ where: { revisionId: next.revisionId } });
  const { version } = await app.context.db.read.revision.findUniqueOrThrow({
    where: { id: next.revisionId },
  });
  await asLead(app, (act) =>
    changeCharacteristic(act, {
      characteristicId: own!.id,
      version,
      label: '',
      text: '25 s6',
      isKey: false,
    }),
  );
  expect((await lead.get('/fits/1')).text).toContain('With the drafts');
  await asLead(app, (act) => releaseRevision(act, { revisionId: next.revisionId }));
  for (const path of ['/fits/1', '/chains/1']) {
    const page = (await lead.get(path)).text;
    expect(page).toContain(`Revision B of ${axle.number}`);
    expect(page).toMatch(/changed this from (&quot;|")fits(&quot;|") to (&quot;|")does not fit/);
  }
  expect((await lead.get('/fits')).text.match(/a revision changed it/g)).toHaveLength(2);
  for (const path of ['/fits/1', '/chains/1']) {
    expect((await lead.post(`${path}/remove`)).status).toBe(303);
    const page = await lead.get(path);
    expect(page.status).toBe(200);
    expect(page.text).toContain('Taken off the list on');
    expect(page.text).not.toContain(`${path}/change`);
    expect((await lead.get(`${path}/change`)).status).toBe(404);
  }
  const log = (await lead.get('/log')).text;
  expect(log).toContain('/fits/1');
  expect((await lead.get('/fits')).text).toContain('No fit and no chain yet');
});
