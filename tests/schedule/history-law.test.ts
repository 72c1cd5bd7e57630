import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { byTime, type Observation, type Sample, weightedLaw } from '../../src/schedule/history-law.ts';
import { threePoints } from '../../src/schedule/history-points.ts';
import { leadTime } from '../../src/schedule/lead-time.ts';

type Weighted = Observation & { weight: number };

function sample(observations: readonly Weighted[]): Sample {
  const sorted = [...observations].sort(byTime);
  return {
    times: sorted.map(({ time }) => time),
    finished: sorted.map(({ finished }) => Number(finished)),
    weights: sorted.map(({ weight }) => weight),
  };
}

const came = (weight: number, ...times: number[]): Weighted[] =>
  times.map((time) => ({ time, finished: true, weight }));
const open = (weight: number, ...times: number[]): Weighted[] =>
  times.map((time) => ({ time, finished: false, weight }));

describe('weightedLaw against published figures', () => {
  // Freireich et al. (1963), 6-MP, as in lead-time.test.ts; shares as reference software prints them, from memory.
  const sixMp = [
    ...came(1, 6, 6, 6, 7, 10, 13, 16, 22, 23),
    ...open(1, 6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35),
  ];

  it('6-MP: with weights of 1 it is the product limit', () => {
    const law = weightedLaw(sample(sixMp));
    expect([...law.times]).toEqual([6, 7, 10, 13, 16, 22, 23]);
    expect([...law.opens]).toEqual(
      [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482].map((share) => expect.closeTo(share, 4)),
    );
    expect(law.at(0.5)).toBe(23);
  });

  it('6-MP: an exponential tail goes on from the last that came, through its share', () => {
    const law = weightedLaw(sample(sixMp));
    const { open: last } = leadTime({
      history: sixMp.map(({ time, finished }) => ({ days: time, finished })),
    }).survival.at(-1)!;
    // S(t) = exp(-rate t) with S(23) = 0.4482: rate 0.03489; 80 % have come by ln 5 / rate = 46.1 weeks
    expect(law.tailRate).toBeCloseTo(-Math.log(last) / 23, 12);
    expect(law.tailRate).toBeCloseTo(0.03489, 4);
    expect(law.at(0.8)).toBeCloseTo(46.12, 1);
    expect(law.open(46)).toBeCloseTo(last ** 2, 10);
    // no memory beyond: what is open after 30 weeks has its half life to come, ln 2 / rate = 19.9
    expect(law.at(0.5, 30) - 30).toBeCloseTo(Math.LN2 / law.tailRate, 10);
  });
});

describe('weightedLaw by hand', () => {
  // Own ones count 1, the others 1/2 each: 4.5 at risk at first.
  //   at 1 other came      4.5 at risk, 0.5 come: 4 / 4.5      = 8/9
  //   at 2 own came        4 at risk, 1 comes:    8/9 x 3/4    = 2/3
  //   at 3 own cut off     2 stay at risk
  //   at 4 other came      2 at risk, 0.5 come:   2/3 x 3/4    = 1/2
  //   at 5 own came        1.5 at risk, 1 comes:  1/2 x 1/3    = 1/6
  //   at 6 other cut off   the tail from 5 on: rate ln 6 / 5
  const law = weightedLaw(sample([...came(1, 2, 5), ...open(1, 3), ...came(0.5, 1, 4), ...open(0.5, 6)]));

  it('weighs what is at risk and what comes', () => {
    expect([...law.times]).toEqual([1, 2, 4, 5]);
    expect([...law.opens]).toEqual([8 / 9, 2 / 3, 1 / 2, 1 / 6].map((share) => expect.closeTo(share, 12)));
    expect([law.at(0), law.at(0.1), law.at(0.3), law.at(0.5), law.at(0.51)]).toEqual([1, 1, 2, 4, 5]);
    expect(law.at(0.9)).toBeCloseTo((5 * Math.log(10)) / Math.log(6), 12);
  });

  it('after 2 days: half of the two thirds still open have come by 5', () => {
    expect(law.at(0.5, 2)).toBe(5);
    expect(law.at(0.25, 2)).toBe(4);
    expect([...law.left(2, 10)].slice(0, 9).map((days) => Math.round(days))).toEqual(
      // a quarter (8 of 32) have come 2 days on; days are ten to a unit
      [0, 20, 20, 20, 20, 20, 20, 20, 20],
    );
  });

  it('gives the longest overdue the longest, where nothing was left open', () => {
    const closed = weightedLaw(sample(came(1, 2, 4, 4)));
    expect(closed.at(0.5, 4)).toBe(4);
    // one day over, of three that came: ln 2 / ln 4 = half a day; at 8 days twice two
    expect(closed.at(0.5, 5)).toBeCloseTo(5.5, 12);
    expect(closed.at(0.5, 8)).toBeCloseTo(10, 12);
    // never farther than three times the last that came
    expect(closed.at(0.5, 400)).toBe(412);
  });

  it('knows nothing from nothing, nor from what has not come', () => {
    expect(weightedLaw(sample([])).at(0.5)).toBe(Number.POSITIVE_INFINITY);
    expect(weightedLaw(sample(open(1, 3, 4))).at(0.5, 2)).toBe(Number.POSITIVE_INFINITY);
  });
});

const observations = fc.array(
  fc.record({
    time: fc.integer({ min: 0, max: 14 }),
    finished: fc.boolean(),
    weight: fc.constantFrom(1, 0.5, 0.07),
  }),
  { maxLength: 30 },
);
const points = fc
  .tuple(fc.integer({ min: 0, max: 9 }), fc.integer({ min: 0, max: 9 }), fc.integer({ min: 1, max: 9 }))
  .map(([a, b, c]): [number, number, number] => [a, a + b, a + b + c]);

/**
 * The Bayes estimate of Susarla and Van Ryzin (1976) with belief `believed` (mass beyond a time), from memory:
 * (mass and observations beyond t) / (all), times for each cut off at c <= t (mass and observations from c on, with it) /
 * (the same without it).
 */
function bayes(history: readonly Weighted[], mass: number, beyond: (time: number) => number, time: number) {
  const seenBeyond = (t: number) => history.reduce((sum, one) => sum + (one.time > t ? one.weight : 0), 0);
  const all = history.reduce((sum, { weight }) => sum + weight, 0);
  let share = (beyond(time) + seenBeyond(time)) / (mass + all);
  for (const cut of new Set(
    history.filter((one) => !one.finished && one.time <= time).map((one) => one.time),
  )) {
    const lost = history.reduce((sum, one) => sum + (!one.finished && one.time === cut ? one.weight : 0), 0);
    const left = beyond(cut) + seenBeyond(cut);
    share *= (left + lost) / left;
  }
  return share;
}

describe('weightedLaw against a plain second way', () => {
  it('has the percentiles of leadTime where weights are 1, with elapsed time as well', () => {
    fc.assert(
      fc.property(observations, fc.integer({ min: 0, max: 13 }), (history, elapsed) => {
        const law = weightedLaw(sample(history.map((one) => ({ ...one, weight: 1 }))));
        const { percentiles } = leadTime({
          history: history.map(({ time, finished }) => ({ days: time, finished })),
          elapsed,
        });
        for (const percent of ['50', '80', '95'] as const) {
          const day = percentiles[percent];
          if (day !== null) expect(law.at(Number(percent) / 100, elapsed)).toBe(day);
        }
      }),
      { numRuns: 500, seed: 20_270 },
    );
  });

  it('hands what is cut off on to what is believed', () => {
    fc.assert(
      fc.property(observations, points, (history, three) => {
        const weight = 2;
        // off the whole numbers at which things are seen, so that nothing falls together
        const quantiles = threePoints(three).map((time) => time + 0.003);
        const law = weightedLaw(sample(history), { quantiles, weight });
        const beyond = (time: number) =>
          quantiles.reduce((sum, one, k) => sum + (k > 0 && one > time ? weight / 32 : 0), 0);
        const lastBelieved = quantiles.at(-1)!;
        law.times.forEach((time, at) => {
          if (time >= lastBelieved) return;
          expect(law.opens[at]).toBeCloseTo(bayes(history, weight, beyond, time), 9);
        });
      }),
      { numRuns: 400, seed: 20_271 },
    );
  });
});

describe('any law', () => {
  it('never falls: for a greater share, nor for a longer elapsed time; and nothing is left below 0', () => {
    const elapsed = fc.double({ min: 0, max: 60, noNaN: true });
    fc.assert(
      fc.property(observations, points, elapsed, elapsed, (history, three, one, other) => {
        const law = weightedLaw(sample(history), { quantiles: threePoints(three), weight: 2 });
        const [sooner, later] = [Math.min(one, other), Math.max(one, other)];
        let before = -1;
        for (const days of law.left(sooner, 1)) {
          expect(days).toBeGreaterThanOrEqual(0);
          expect(days).toBeGreaterThanOrEqual(before - 1e-9);
          before = days;
          expect(days).toBeLessThan(400);
        }
        for (let k = 0; k <= 32; k++) {
          expect(law.at(k / 32, later)).toBeGreaterThanOrEqual(law.at(k / 32, sooner) - 1e-6);
        }
      }),
      { numRuns: 1000, seed: 20_272 },
    );
  });

  it('with belief alone is that belief', () => {
    fc.assert(
      fc.property(points, (three) => {
        const quantiles = threePoints(three);
        const law = weightedLaw(sample([]), { quantiles, weight: 2 });
        law.left(0, 1).forEach((days, k) => {
          expect(days).toBeCloseTo(quantiles[k]!, 9);
        });
      }),
      { seed: 20_273 },
    );
  });
});

describe('threePoints', () => {
  it('goes from the soonest to the latest, with the mean of the beta law', () => {
    const quantiles = threePoints([5, 10, 20]);
    expect([quantiles[0], quantiles[32]]).toEqual([5, 20]);
    // (5 + 4 x 10 + 20) / 6 = 10.83; the quantiles are a staircase of 32 steps, its middles near enough
    const mean = quantiles.slice(0, -1).reduce((sum, value, k) => sum + (value + quantiles[k + 1]!) / 64, 0);
    expect(mean).toBeCloseTo(65 / 6, 1);
    // the even beta law, Beta(3, 3), has its middle in the middle
    expect(threePoints([0, 1, 2])[16]).toBeCloseTo(1, 5);
    expect([...threePoints([4, 4, 4])]).toEqual(Array(33).fill(4));
  });

  it('lies near the exact law between its tables', () => {
    // Beta(1 + 4 / 3, 5 - 4 / 3): its median by bisection on a sum of 20,000 strips of the density, 0.3758
    expect((threePoints([5, 10, 20])[16]! - 5) / 15).toBeCloseTo(0.3758, 3);
  });
});
