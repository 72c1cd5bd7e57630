import { describe, expect, it } from 'vitest';
import { type DrawnPromise, daysScale, promiseBar } from '../../src/makers/promises-drawing.ts';
import { drawn } from '../support/drawn.ts';

const promise = (
  soonestDays: number,
  likelyDays: number,
  latestDays: number,
  tookDays: number,
  finished = true,
) => ({
  soonestDays,
  likelyDays,
  latestDays,
  tookDays,
  finished,
  late: tookDays > latestDays,
});

describe('promises against what happened', () => {
  it('keep their drawing', async () => {
    const promises = [promise(10, 14, 21, 12), promise(5, 9, 15, 24), promise(20, 30, 40, 3, false)];
    const scale = daysScale(promises);
    const bars = promises.map((one) => promiseBar(scale, one));
    const svg = drawn('makers/_promise.njk', 'strip(bars, ticks)', { bars, ticks: scale.ticks });
    await expect(svg).toMatchFileSnapshot('drawn/promises.txt');
  });

  it('stand on one scale from the claim to the longest of them, with room for its dot', () => {
    const scale = daysScale([promise(10, 14, 20, 12), promise(5, 9, 50, 24)]);
    expect(scale.place(0)).toBe(0);
    expect(scale.place(26)).toBe(50);
    expect(scale.ticks.map(({ label }) => label)).toEqual(['0 d', '10 d', '20 d', '30 d', '40 d', '']);
    expect(promiseBar(scale, promise(13, 26, 39, 52))).toEqual({
      from: 25,
      likely: 50,
      to: 75,
      took: 100,
      finished: true,
      late: true,
      goesOn: false,
      tookBeyond: true,
    });
  });

  it('have few ticks whatever their length', () => {
    for (const days of [0, 1, 3, 7, 30, 365, 3650, 99_999]) {
      const { ticks } = daysScale([promise(0, 0, days, 0)]);
      expect(ticks.length).toBeGreaterThanOrEqual(1);
      expect(ticks.length).toBeLessThanOrEqual(6);
      expect(new Set(ticks.map(({ at }) => at)).size).toBe(ticks.length);
    }
    expect(daysScale([]).ticks[0]).toEqual({ at: 0, label: '0 d' });
  });

  it('are not pressed together by one of years', () => {
    const usual: DrawnPromise[] = Array.from({ length: 9 }, () => promise(10, 14, 20, 12));
    const scale = daysScale([...usual, promise(10, 2000, 3000, 9, false)]);
    expect(scale.place(52)).toBe(50);
    expect(promiseBar(scale, promise(10, 2000, 3000, 9, false))).toMatchObject({
      to: 100,
      goesOn: true,
      tookBeyond: false,
    });
  });
});
