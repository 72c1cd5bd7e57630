import { describe, expect, it } from 'vitest';
import { chainSimulation } from '../../src/fits/chain-simulation.ts';
import { chainVerdict, type Link, loosenings } from '../../src/fits/chain-verdict.ts';
import { conditionsFor, growth } from '../../src/fits/conditions.ts';
import { atReference, fitVerdict } from '../../src/fits/fit-verdict.ts';
import { type Size, sizeOf } from '../../src/fits/size.ts';
import { wantedGap } from '../../src/fits/wanted.ts';
import { roomFor, zonePairs } from '../../src/fits/zone-pairs.ts';
import stackups from '../checks/tolerance/stackups.json' with { type: 'json' };

const still = { expansion: 0, dry: 0, damp: 0 };
const aluminium = { expansion: 23.4, dry: 0, damp: 0 };
const steel = { expansion: 12, dry: 0, damp: 0 };
const at20 = { low: 20, high: 20 };

function size(text: string): Size {
  const read = sizeOf(text, null, 'any');
  if (!read.ok) throw new Error(read.sentence);
  return read.size;
}

describe('sizeOf', () => {
  it.each([
    ['25 H7', 'hole', 25, 25.021],
    ['25 g6', 'shaft', 24.98, 24.993],
    ['12,5 +0,1 -0', 'any', 12.5, 12.6],
    // exact inches: 0.375 in is 9.525 mm, 0.005 in is 0.127 mm
    ['3/8 in ±0.005', 'hole', 9.398, 9.652],
    ['25 +0.1 -0.2', 'shaft', 24.8, 25.1],
  ] as const)('%s as %s is %d to %d mm', (text, feature, lower, upper) => {
    const read = sizeOf(text, null, feature);
    expect(read.ok && read.size.lower).toBeCloseTo(lower, 9);
    expect(read.ok && read.size.upper).toBeCloseTo(upper, 9);
  });

  it.each([
    ['25 H7', 'shaft', 'H7 is a zone of a hole, and this side is the shaft'],
    ['25 g6', 'hole', 'g6 is a zone of a shaft'],
    ['25 Q7', 'hole', 'Q'],
    ['0 H7', 'hole', '0'],
    ['5000.1 ±1', 'hole', '5000'],
    ['25', 'hole', 'has no limits'],
    ['25 -0.1 +0.1 in mm', 'any', '25'],
    ['1 in ±0.1 mm', 'any', 'mm'],
    ['45° ±1°', 'any', 'is an angle'],
    ['R25 ±0.1', 'shaft', 'is a radius'],
    ['deburr all edges', 'any', 'is no size'],
    ['0.05 ±0.1', 'any', 'not above zero'],
    ['25 ±0', 'shaft', '±0'],
  ] as const)('%s as %s is refused in a sentence', (text, feature, words) => {
    const read = sizeOf(text, null, feature);
    expect(read.ok).toBe(false);
    expect(!read.ok && read.sentence).toContain(words);
  });
});

describe('fitVerdict', () => {
  // ISO 286-1: 25 H7 is 25 to 25.021, 25 g6 is 24.980 to 24.993, so the clearance is 0.007 to 0.041 mm
  const hole = { size: size('25 H7'), movement: aluminium };
  const shaft = { size: size('25 g6'), movement: steel };

  it('gives 0.007 to 0.041 mm for 25 H7/g6 at 20 °C', () => {
    const verdict = fitVerdict(hole, shaft, { min: 0, max: 0.169 }, at20);
    expect(verdict.verdict).toBe('fits');
    expect(verdict.margin).toBeCloseTo(0.007, 9);
    expect(atReference(verdict)).toMatchObject({ min: 0.007, max: 0.041, character: 'clearance' });
  });

  it('names the end and the temperature with the least to spare', () => {
    const verdict = fitVerdict(hole, shaft, { min: 0, max: 0.169 }, { low: 5, high: 35 });
    expect(verdict.verdict).toBe('fits');
    // 25.000 (1 - 15 * 23.4e-6) - 24.993 (1 - 15 * 12e-6)
    expect(verdict.margin).toBeCloseTo(0.007 - 15 * (25 * 23.4e-6 - 24.993 * 12e-6), 9);
    expect(verdict.worst).toEqual({ end: 'tight', at: { celsius: 5, air: 'as drawn' } });
    const colder = fitVerdict(hole, shaft, { min: 0, max: 0.169 }, { low: -20, high: 35 });
    expect(colder.margin).toBeLessThan(0);
    expect(colder.verdict).toBe('may fail');
    expect(fitVerdict(hole, shaft, { min: 0, max: 0.169 }, { low: -60, high: 35 }).verdict).toBe(
      'does not fit',
    );
  });

  it('says what is not known where an expansion is missing', () => {
    const unknown = { size: shaft.size, movement: { expansion: null, dry: 0, damp: 0 } };
    const verdict = fitVerdict(hole, unknown, { min: 0, max: 0.169 }, { low: 5, high: 35 });
    expect(verdict.verdict).toBe('not known');
    expect(verdict.notKnownAt).toEqual(['5 °C', '35 °C']);
    expect(fitVerdict(hole, unknown, { min: 0.02, max: 0.03 }, { low: 5, high: 35 }).verdict).toBe(
      'does not fit',
    );
  });

  it('looks at dry and damp air where a part moves with it', () => {
    const wood = { size: size('100 +0.2 0'), movement: { expansion: 5, dry: -1, damp: 2 } };
    const rod = { size: size('99.5 +0 -0.1'), movement: still };
    const verdict = fitVerdict(wood, rod, { min: 0, max: 2 }, at20);
    expect(verdict.rows.map(({ condition }) => condition.air)).toEqual(['as drawn', 'driest', 'dampest']);
    expect(verdict.rows.map(({ min }) => Number(min.toFixed(6)))).toEqual([0.5, -0.5, 2.5]);
    expect(verdict.verdict).toBe('does not fit');
  });

  it('agrees with every point between the corners', () => {
    const plastic = { size: size('25 H9'), movement: { expansion: 110, dry: -0.1, damp: 0.2 } };
    const range = { low: -10, high: 45 };
    const wide = { min: -9, max: 9 };
    const { rows } = fitVerdict(plastic, shaft, wide, range);
    const [min, max] = [Math.min(...rows.map((row) => row.min)), Math.max(...rows.map((row) => row.max))];
    for (let celsius = range.low; celsius <= range.high; celsius += 5) {
      for (const percent of [-0.1, -0.03, 0, 0.11, 0.2]) {
        const [h, s] = [
          growth({ expansion: 110, dry: percent, damp: 0 }, { celsius, air: 'driest' }) ?? 0,
          growth(steel, { celsius, air: 'driest' }) ?? 0,
        ];
        expect(plastic.size.lower * h - shaft.size.upper * s).toBeGreaterThanOrEqual(min - 1e-9);
        expect(plastic.size.upper * h - shaft.size.lower * s).toBeLessThanOrEqual(max + 1e-9);
      }
    }
  });
});

describe('wantedGap', () => {
  // 25 mm, ISO 286-1: H9 +52, d9 -65 to -117; H7 +21, n6 +28 to +15, h6 0 to -13, u6 +61 to +48
  it.each([
    ['sliding', 0, 0.169],
    ['located', -0.028, 0.034],
    ['pressed', -0.061, 0],
  ] as const)('%s at 25 mm is %d to %d mm', (wish, min, max) => {
    const wanted = wantedGap(wish, 25, null);
    expect(wanted.min).toBeCloseTo(min, 9);
    expect(wanted.max).toBeCloseTo(max, 9);
  });

  it('refuses a size that the standard has no value for', () => {
    expect(() => wantedGap('sliding', 4000, null)).toThrow('3150');
  });
});

describe('zonePairs', () => {
  const side = (text: string, usual: number | null, bought = false) => ({
    size: size(text),
    movement: steel,
    grades: { usual, best: usual === null ? null : usual - 1 },
    bought,
  });

  it('gives the nearest pairs that meet the wish and that the usual grades hold', () => {
    const pairs = zonePairs(side('25 H7', 7), side('25 p6', 6), wantedGap('sliding', 25, null), at20);
    expect(pairs[0]).toMatchObject({ hole: 'H7', shaft: 'h6', common: true, held: 'usual' });
    expect(pairs).toHaveLength(5);
    for (const { verdict, hole, shaft } of pairs) {
      expect(verdict.verdict).toBe('fits');
      expect(Number(hole.slice(1))).toBeGreaterThanOrEqual(7);
      expect(Number(/\d+/.exec(shaft)?.[0])).toBeGreaterThanOrEqual(6);
    }
  });

  it('leaves a bought side as it is', () => {
    // a bearing's outside diameter, 52 +0 -0.013, to be located in a housing
    const pairs = zonePairs(
      side('52 ±0.02', 7),
      side('52 +0 -0.013', null, true),
      { min: -0.03, max: 0.05 },
      at20,
    );
    expect(pairs.length).toBeGreaterThan(0);
    for (const { shaft } of pairs) expect(shaft).toBe('52 0 -0.013');
  });

  it('finds nothing where the tolerances need more than the wish leaves, and the room says so', () => {
    const [hole, shaft] = [side('25 ±0.2', 13), side('25 ±0.2', 13)];
    const wanted = { min: 0, max: 0.1 };
    expect(zonePairs(hole, shaft, wanted, at20)).toEqual([]);
    // IT13 at 25 mm is 0.33 mm (ISO 286-1, table 1)
    expect(roomFor(hole, shaft, wanted, fitVerdict(hole, shaft, wanted, at20))).toEqual({
      wide: 0.1,
      taken: 0,
      needed: 0.66,
    });
  });
});

describe('chainVerdict', () => {
  it.each(stackups.chains)(
    '$name: the published figures at 20 °C',
    ({ contributors, wanted = { min: -99, max: 99 }, expected }) => {
      const chance = expected.chanceInside ?? 1; // no limits: always inside
      const links: Link[] = contributors.map(({ label, nominal, plus, minus, direction }) => ({
        kind: 'size',
        label,
        size: { nominal, lower: nominal - minus, upper: nominal + plus, unit: 'mm', text: '', zone: null },
        movement: still,
        direction: direction as 1 | -1,
      }));
      const { rows } = chainVerdict(links, wanted, at20);
      expect(rows[0]?.answer.worstCase.min).toBeCloseTo(expected.worstCaseMin, 6);
      expect(rows[0]?.answer.worstCase.max).toBeCloseTo(expected.worstCaseMax, 6);
      expect(rows[0]?.answer.rootSumSquare.min).toBeCloseTo(expected.rssMin, 6);
      expect(rows[0]?.chanceInside).toBeCloseTo(chance, 6);
      const simulated = chainSimulation(links, wanted, at20);
      expect(Math.abs((simulated?.inside ?? 0) - chance)).toBeLessThan(0.01);
      expect(simulated?.mean).toBeCloseTo(expected.middle, 2);
    },
  );

  const link = (label: string, text: string, direction: 1 | -1, movement = still): Link => ({
    kind: 'size',
    label,
    size: size(text),
    movement,
    direction,
  });

  it('follows growth: a plastic spacer in a steel frame closes the gap when warm', () => {
    const links = [
      link('frame', '100 ±0.05', 1, steel),
      link('spacer', '99.8 ±0.05', -1, { ...still, expansion: 110 }),
    ];
    const { rows, verdict, worst } = chainVerdict(links, { min: 0, max: 0.5 }, { low: 20, high: 40 });
    // 0.1 + 20 (100 * 12e-6 ... ): the worst case of both limits at 40 °C
    expect(rows[1]?.answer.worstCase.min).toBeCloseTo(99.95 * (1 + 240e-6) - 99.85 * (1 + 2200e-6), 9);
    expect(verdict).toBe('does not fit');
    expect(worst).toEqual({ end: 'tight', at: { celsius: 40, air: 'as drawn' } });
  });

  it('takes half the greatest clearance of a fit either way', () => {
    const fit = fitVerdict(
      { size: size('25 H7'), movement: still },
      { size: size('25 g6'), movement: still },
      { min: 0, max: 1 },
      at20,
    );
    const links: Link[] = [link('post', '50 ±0.1', 1), { kind: 'play', label: 'pin in bore', fit }];
    const [row] = chainVerdict(links, { min: 49, max: 51 }, at20).rows;
    expect(row?.answer.worstCase).toEqual({ min: 49.8795, max: 50.1205 });
  });

  it('a fit whose parts do not swell has the same play in any air', () => {
    const fit = fitVerdict(
      { size: size('25 H7'), movement: steel },
      { size: size('25 g6'), movement: steel },
      { min: 0, max: 1 },
      { low: 5, high: 35 },
    );
    const board = link('board', '50 ±0.1', 1, { expansion: 30, dry: -0.5, damp: 0.5 });
    const links: Link[] = [board, { kind: 'play', label: 'pin in bore', fit }];
    const found = chainVerdict(links, { min: 49, max: 51 }, { low: 5, high: 35 });
    expect(found.notKnownAt).toEqual([]);
    expect(found.verdict).toBe('fits');
    const driest = found.rows.find(({ condition }) => condition.celsius === 20 && condition.air === 'driest');
    expect(driest?.answer.worstCase.min).toBeCloseTo(49.9 * 0.995 - 0.0205, 9);
  });

  it('loosenings widens by the square root of the squares', () => {
    const links = [link('a', '10 ±0.3', 1), link('b', '5 ±0.4', -1)];
    const wanted = { min: 4, max: 6 };
    const said = loosenings(links, wanted, chainVerdict(links, wanted, at20), 0.1);
    expect(said?.lines[0]?.wider).toBeCloseTo(2 * (Math.hypot(0.35, 0.4) - 0.5), 9);
    expect(said?.lines[1]?.after).toBeLessThan(said?.lines[1]?.before ?? 0);
  });

  it('simulates a play as the fit is at the temperature of the run', () => {
    const at = (low: number, high: number) => {
      const fit = fitVerdict(
        { size: size('100 ±0.001'), movement: still },
        { size: size('99.9 ±0.001'), movement: { ...still, expansion: 20 } },
        { min: 0, max: 1 },
        { low, high },
      );
      const links: Link[] = [link('post', '50 ±0.001', 1), { kind: 'play', label: 'pin', fit }];
      const { from = 0, to = 0 } = chainSimulation(links, { min: 49, max: 51 }, { low, high }) ?? {};
      return to - from;
    };
    // the pin grows by 99.9 * 20e-6 * 40 = 0.08 mm: of a play of 0.1 mm a fifth is left at 60 °C
    expect(at(20, 20)).toBeGreaterThan(0.09);
    expect(at(60, 60)).toBeLessThan(0.03);
    expect(at(20, 60)).toBeGreaterThan(0.06);
  });

  it('simulates the same for the same seed', () => {
    const links = [link('a', '10 ±0.3', 1, aluminium), link('b', '5 ±0.4', -1, steel)];
    const wanted = { min: 4.6, max: 5.4 };
    const [one, two] = [1, 2].map((seed) => chainSimulation(links, wanted, { low: 0, high: 40 }, seed));
    expect(chainSimulation(links, wanted, { low: 0, high: 40 }, 1)).toEqual(one);
    expect(two).not.toEqual(one);
    expect(one?.counts.reduce((sum, count) => sum + count, 0)).toBe(20_000);
  });
});

describe('conditionsFor', () => {
  it('leaves out what is the same', () => {
    expect(conditionsFor(at20, [still])).toHaveLength(1);
    expect(conditionsFor({ low: 5, high: 35 }, [{ ...still, damp: 1 }])).toHaveLength(6);
  });
});
