import { describe, expect, it } from 'vitest';
import { addDays, daysBetween } from '../../src/platform/day.ts';
import { type FinishSpread, sCurveDrawing } from '../../src/schedule/s-curve-drawing.ts';
import { drawn } from '../support/drawn.ts';

const TODAY = '2026-11-25';

/** A smooth spread of the finish over some days from one day on. */
function spread(from: string, days: number, other: Partial<FinishSpread> = {}): FinishSpread {
  const points = Array.from({ length: days }, (_, k) => ({
    day: addDays(from, k),
    share: k === days - 1 ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * (k + 1)) / days),
  }));
  const by = (share: number) => points.find((point) => point.share >= share - 1e-9)!.day;
  return { points, at50: by(0.5), at80: by(0.8), at95: by(0.95), likely: null, today: TODAY, ...other };
}

/** The places that a path of level and upright lines goes through. */
function places(path: string): [number, number][] {
  const [, x, y, steps] = /^M([\d.]+) ([\d.]+)(.*)$/.exec(path)!;
  const all: [number, number][] = [[Number(x), Number(y)]];
  for (const [, toX, toY] of steps!.matchAll(/H([\d.]+)V([\d.]+)/g)) {
    all.push([Number(toX), all.at(-1)![1]], [Number(toX), Number(toY)]);
  }
  return all;
}

describe('sCurveDrawing', () => {
  it('keeps its drawing', async () => {
    const d = sCurveDrawing(spread('2027-03-01', 90, { likely: '2027-03-20' }));
    await expect(drawn('schedule/_s-curve.njk', 'curve(d)', { d })).toMatchFileSnapshot('drawn/s-curve.txt');
  });

  it('rises from nothing to all, never back, within the drawing', () => {
    for (const [from, days] of [
      ['2026-11-25', 1],
      ['2027-03-01', 90],
      ['2036-01-01', 700],
      ['2026-12-01', 2],
    ] as const) {
      const curve = places(sCurveDrawing(spread(from, days))!.curve);
      expect(curve[0]![1]).toBe(100);
      expect(curve.at(-1)).toEqual([100, 0]);
      for (const [k, [x, y]] of curve.entries()) {
        expect(x).toBeGreaterThanOrEqual(k ? curve[k - 1]![0] : 0);
        expect(y).toBeLessThanOrEqual(k ? curve[k - 1]![1] : 100);
      }
    }
  });

  it('marks the days on the curve, and the likely one where it is', () => {
    const d = sCurveDrawing(spread('2026-11-25', 100, { likely: '2027-01-13' }))!;
    expect(d.marks.map(({ y }) => y)).toEqual([50, 20, 5]);
    // the line of a mark meets the curve where it steps up
    for (const mark of d.marks) {
      const [from, to] = [
        places(d.curve).find(([x]) => x === mark.x)!,
        places(d.curve).findLast(([x]) => x === mark.x)!,
      ];
      expect(from[1]).toBeGreaterThanOrEqual(mark.y);
      expect(to[1]).toBeLessThanOrEqual(mark.y + 0.01);
    }
    expect(d.marks[0]).toEqual({ x: 50, y: 50, text: '50 %: 13 Jan 2027' });
    expect(d.likely).toEqual({ x: 50, text: 'likely 13 Jan 2027', left: false });
    expect(d.rows.at(-1)).toEqual({ share: 'likely times, 50 %', day: '13 Jan 2027', fromToday: '49 days' });
    expect(d.rows.map(({ share }) => share).slice(0, 5)).toEqual(['10 %', '25 %', '50 %', '80 %', '95 %']);
    expect(d.words).toBe(
      'Finished in half of the runs by 13 Jan 2027, in 80 of 100 by 3 Feb 2027, in 95 of 100 by 18 Feb 2027.',
    );
  });

  it('begins today, or later where the curve would be thin', () => {
    expect(sCurveDrawing(spread('2026-12-01', 60))).toMatchObject({ fromToday: true, beginsLater: 0 });
    const far = sCurveDrawing(spread('2036-11-25', 60))!;
    expect(far.fromToday).toBe(false);
    expect(far.beginsLater).toBe(daysBetween(TODAY, '2036-11-25') - 120);
    expect(places(far.curve)[0]![0]).toBeCloseTo(66.67, 1);
  });

  it('is a step where all runs end on one day', () => {
    const day = '2026-12-24';
    const one = { points: [{ day, share: 1 }], at50: day, at80: day, at95: day, likely: day, today: TODAY };
    const d = sCurveDrawing(one)!;
    expect(d.curve).toMatch(/^M[\d.]+ 100H100V0$/);
    expect(d.marks.every(({ x }) => x === 100)).toBe(true);
    expect(d.rows.every((row) => row.day === '24 Dec 2026')).toBe(true);
    expect(sCurveDrawing({ ...one, points: [{ day: TODAY, share: 1 }], likely: null })).not.toBeNull();
    expect(sCurveDrawing({ ...one, points: [] })).toBeNull();
  });

  it('is a path of a few hundred places however many days it spans', () => {
    const d = sCurveDrawing(spread('2026-11-25', 9000))!;
    expect(places(d.curve).length).toBeLessThan(2000);
    expect(places(d.curve).at(-1)).toEqual([100, 0]);
  });

  it('keeps the share over days without a point of their own', () => {
    const d = sCurveDrawing({
      points: [
        { day: '2026-11-25', share: 0.5 },
        { day: '2026-12-04', share: 1 },
      ],
      at50: '2026-11-25',
      at80: '2026-12-04',
      at95: '2026-12-04',
      likely: null,
      today: TODAY,
    })!;
    expect(d.curve).toBe('M0 100H10V50H100V0');
  });
});
