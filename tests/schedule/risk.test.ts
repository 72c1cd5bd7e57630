import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { NotComputable } from '../../src/platform/not-computable.ts';
import type { LinkType } from '../../src/schedule/network-graph.ts';
import { networkPass } from '../../src/schedule/network-pass.ts';
import { risk, riskModel } from '../../src/schedule/risk.ts';
import { finishByHand, normalProbability } from '../../src/schedule/risk-by-hand.ts';
import { centredRanks, rankCorrelations } from '../../src/schedule/risk-correlation.ts';
import { durationLaws } from '../../src/schedule/risk-law.ts';
import { fillUniform } from '../../src/schedule/risk-random.ts';
import type { RiskRequest } from '../../src/schedule/risk-request.ts';
import {
  blockCount,
  mergeBlocks,
  type RiskModel,
  simulateBlocks,
} from '../../src/schedule/risk-simulation.ts';

// tests/checks/cpm/general-foundry.json: textbook network with a simulation of 1,000,000 runs, sources in the file
interface Foundry {
  activities: { id: string; predecessors: { id: string; type: LinkType; lag: number }[] }[];
  pert: {
    threePoint: Record<string, { optimistic: number; mostLikely: number; pessimistic: number }>;
    classical: { pathMean: number; pathStdDev: number; target: number; probability: number };
    simulated: Record<
      'betaPert' | 'triangular',
      {
        mean: number;
        stdDev: number;
        p10: number;
        p50: number;
        p80: number;
        p90: number;
        probabilityByTarget: number;
        criticalityIndex: Record<string, number>;
      }
    >;
  };
}
const foundry = JSON.parse(
  readFileSync(new URL('../checks/cpm/general-foundry.json', import.meta.url), 'utf8'),
) as Foundry;
const foundryRequest: RiskRequest = {
  activities: foundry.activities.map(({ id, predecessors }) => {
    const { optimistic, mostLikely, pessimistic } = foundry.pert.threePoint[id]!;
    return { id, optimistic, likely: mostLikely, pessimistic, predecessors };
  }),
  targets: [foundry.pert.classical.target],
};

describe('risk against General Foundry', () => {
  it.each(['betaPert', 'triangular'] as const)(
    '%s: as 1,000,000 runs gave, within sampling error',
    (distribution) => {
      const runs = 50_000;
      const reply = risk({ ...foundryRequest, distribution, runs });
      const expected = foundry.pert.simulated[distribution];
      // four standard errors of 50,000 runs; those of the other side's 1,000,000 are a fifth as large
      const share = (value: number) => 4.1 * Math.sqrt((value * (1 - value)) / runs) + 1e-4;
      expect(Math.abs(reply.mean - expected.mean)).toBeLessThan((4.1 * expected.stdDev) / Math.sqrt(runs));
      expect(Math.abs(reply.standardDeviation - expected.stdDev)).toBeLessThan(
        (4.1 * expected.stdDev) / Math.sqrt(runs),
      );
      for (const percent of ['10', '50', '80', '90'] as const) {
        expect(Math.abs(reply.percentiles[percent] - expected[`p${percent}`]), `p${percent}`).toBeLessThan(
          0.06,
        );
      }
      const { probabilityByTarget } = expected;
      expect(reply.targets[0]!.target).toBe(16);
      expect(Math.abs(reply.targets[0]!.probability - probabilityByTarget)).toBeLessThan(
        share(probabilityByTarget),
      );
      for (const { id, criticality } of reply.activities) {
        const index = expected.criticalityIndex[id]!;
        expect(Math.abs(criticality - index), id).toBeLessThan(share(index));
      }
    },
  );

  it('gives the textbook estimate by hand', () => {
    const { pert } = risk({ ...foundryRequest, runs: 1 });
    expect(pert.mean).toBeCloseTo(foundry.pert.classical.pathMean, 12);
    expect(pert.standardDeviation).toBeCloseTo(foundry.pert.classical.pathStdDev, 8);
    expect(pert.targets[0]!.probability).toBeCloseTo(foundry.pert.classical.probability, 6);
  });
});

/** Small networks of all link types. */
const requests = fc
  .record({
    distribution: fc.constantFrom('betaPert' as const, 'triangular' as const),
    seed: fc.nat(1000),
    runs: fc.integer({ min: 1, max: 700 }),
    activities: fc.array(
      fc.record({
        days: fc.tuple(fc.nat(8), fc.nat(6), fc.nat(9)),
        links: fc.array(
          fc.record({
            back: fc.integer({ min: 1, max: 8 }),
            type: fc.constantFrom<LinkType>('FS', 'SS', 'FF', 'SF'),
            lag: fc.integer({ min: -5, max: 5 }),
          }),
          { maxLength: 3 },
        ),
      }),
      { minLength: 1, maxLength: 9 },
    ),
  })
  .map(({ activities, ...rest }): RiskRequest => {
    const listed = activities.map(({ days: [optimistic, more, still], links }, i) => ({
      id: `a${i}`,
      optimistic,
      likely: optimistic + more,
      pessimistic: optimistic + more + still,
      predecessors: links
        .filter(({ back }) => back <= i)
        .map(({ back, ...link }) => ({ id: `a${i - back}`, ...link })),
    }));
    return { ...rest, activities: listed.reverse() };
  });

/** The duration of every activity in every run, by the model's laws. */
function durationsOf(model: RiskModel): Float64Array[] {
  const lawOf = durationLaws();
  return Array.from(model.optimistic, (optimistic, i) => {
    const all: number[] = [];
    for (let block = 0; block < blockCount(model); block++) {
      const uniforms = new Uint32Array(Math.min(512, model.runs - 512 * block));
      const days = new Float64Array(uniforms.length);
      fillUniform(uniforms, model.seed, i, block);
      lawOf(model.distribution, optimistic, model.likely[i]!, model.pessimistic[i]!)(uniforms, days);
      all.push(...days);
    }
    return Float64Array.from(all);
  });
}

/** Pearson's correlation of mean ranks, each rank by counting: slow and plain. */
function plainRankCorrelation(one: Float64Array, other: Float64Array): number {
  const ranks = (values: Float64Array) =>
    values.map((value) => {
      let rank = 0;
      for (const compared of values) rank += compared < value ? 1 : compared === value ? 0.5 : 0;
      return rank - values.length / 2;
    });
  const [a, b] = [ranks(one), ranks(other)];
  const sum = (x: Float64Array, y: Float64Array) => x.reduce((total, value, k) => total + value * y[k]!, 0);
  const size = Math.sqrt(sum(a, a) * sum(b, b));
  return size === 0 ? 0 : sum(a, b) / size;
}

describe('risk against a plain second way: one pass of the network for each run', () => {
  it('has the same finishes, critical activities and correlations', () => {
    fc.assert(
      fc.property(requests, (request) => {
        const model = riskModel(request);
        const { graph, runs } = model;
        const durations = durationsOf(model);
        const simulated = simulateBlocks(model, 0, blockCount(model));
        const critical = new Uint32Array(graph.count);
        for (let run = 0; run < runs; run++) {
          const dates = networkPass(
            graph,
            Float64Array.from(durations, (days) => days[run]!),
          );
          expect(simulated.finishes[run]).toBeCloseTo(dates.finish, 9);
          dates.totalFloats.forEach((float, i) => {
            if (float === 0) critical[i]!++;
          });
        }
        expect([...simulated.criticalRuns]).toEqual([...critical]);
        const correlations = rankCorrelations(model, simulated.finishes, 0, graph.count);
        for (const [i, days] of durations.entries()) {
          expect(correlations[i]).toBeCloseTo(plainRankCorrelation(days, simulated.finishes), 9);
        }
      }),
      { numRuns: 60, seed: 20_265 },
    );
  });

  it('centredRanks shares the ranks of equal values', () => {
    expect([...centredRanks(Float64Array.of(7, 3, 7, 9, 7))]).toEqual([0, -2, 0, 2, 0]);
  });
});

describe('risk however it is shared out', () => {
  const model = riskModel({ ...foundryRequest, runs: 3_000, seed: 42 });
  const whole = simulateBlocks(model, 0, blockCount(model));

  it('puts blocks together to the same as all at once, in any order', () => {
    expect(blockCount(model)).toBe(6);
    const parts = [simulateBlocks(model, 3, 6), simulateBlocks(model, 0, 1), simulateBlocks(model, 1, 3)];
    expect(mergeBlocks(model, parts)).toEqual(whole);
    expect(mergeBlocks(model, [whole])).toEqual(whole);
  });

  it('does not put together what is not whole', () => {
    expect(() => mergeBlocks(model, [simulateBlocks(model, 0, 2)])).toThrow(
      'block 2 of the simulation is missing',
    );
    expect(() => mergeBlocks(model, [whole, simulateBlocks(model, 0, 2)])).toThrow('block 6');
  });

  it('correlates activities in parts to the same as all at once', () => {
    const all = rankCorrelations(model, whole.finishes, 0, 8);
    const parts = [
      rankCorrelations(model, whole.finishes, 0, 3),
      rankCorrelations(model, whole.finishes, 3, 8),
    ];
    expect(parts.flatMap((part) => [...part])).toEqual([...all]);
  });

  it('gives the same reply for the same seed, another for another', () => {
    const reply = risk({ ...foundryRequest, runs: 500, seed: 3 });
    expect(risk({ ...foundryRequest, runs: 500, seed: 3 })).toEqual(reply);
    expect(risk({ ...foundryRequest, runs: 500, seed: 4 }).mean).not.toBe(reply.mean);
  });
});

describe('risk against closed forms', () => {
  const alone = (
    id: string,
    optimistic: number,
    likely: number,
    pessimistic: number,
    ...before: string[]
  ) => ({
    id,
    optimistic,
    likely,
    pessimistic,
    predecessors: before.map((other) => ({ id: other })),
  });
  const runs = 50_000;

  it('a chain has the sum of the means and of the variances', () => {
    const activities = Array.from({ length: 30 }, (_, i) =>
      i === 0 ? alone('0', 2, 3, 10) : alone(`${i}`, 1, 4, 5, `${i - 1}`),
    );
    // triangular: mean (a + m + b) / 3, variance (a^2 + m^2 + b^2 - a m - a b - m b) / 18
    const mean = 15 / 3 + (29 * 10) / 3;
    const deviation = Math.sqrt((4 + 9 + 100 - 6 - 20 - 30) / 18 + (29 * (1 + 16 + 25 - 4 - 5 - 20)) / 18);
    const reply = risk({ activities, distribution: 'triangular', runs });
    expect(Math.abs(reply.mean - mean)).toBeLessThan((4 * deviation) / Math.sqrt(runs));
    expect(Math.abs(reply.standardDeviation / deviation - 1)).toBeLessThan(4 / Math.sqrt(2 * runs));
    expect(reply.activities.every(({ criticality }) => criticality === 1)).toBe(true);
  });

  it('two alike beside one another: the later of two independent ones', () => {
    // triangular on 0 .. 1 with its peak at 1 has F(x) = x^2; the later of two has x^4: mean 4/5, variance 4/6 - 16/25
    const reply = risk({
      activities: [alone('a', 0, 1, 1), alone('b', 0, 1, 1)],
      distribution: 'triangular',
      runs,
      targets: [0.5, 0.9],
    });
    const deviation = Math.sqrt(4 / 6 - 16 / 25);
    expect(Math.abs(reply.mean - 0.8)).toBeLessThan((4 * deviation) / Math.sqrt(runs));
    expect(reply.standardDeviation).toBeCloseTo(deviation, 2);
    for (const { target, probability } of reply.targets) {
      expect(Math.abs(probability - target ** 4)).toBeLessThan(0.009);
    }
    for (const { criticality } of reply.activities) expect(Math.abs(criticality - 0.5)).toBeLessThan(0.009);
  });

  it('beta laws with a peak at one end: the sooner a power of the other', () => {
    // Beta(5, 1) has F(x) = x^5: its percentiles are fifth roots
    const reply = risk({ activities: [alone('a', 0, 1, 1)], runs, targets: [0.9] });
    for (const [percent, value] of Object.entries(reply.percentiles)) {
      expect(Math.abs(value - (Number(percent) / 100) ** 0.2)).toBeLessThan(0.012);
    }
    expect(Math.abs(reply.targets[0]!.probability - 0.9 ** 5)).toBeLessThan(0.009);
    expect(reply.activities[0]!.sensitivity).toBeCloseTo(1, 12);
  });

  it('an activity whose shortness delays the finish has sensitivity -1', () => {
    const reply = risk({
      activities: [
        alone('a', 20, 20, 20),
        { ...alone('b', 1, 5, 9), predecessors: [{ id: 'a', type: 'FF' }] },
        { ...alone('c', 30, 30, 30), predecessors: [{ id: 'b', type: 'SS' }] },
      ],
      runs: 1000,
    });
    expect(reply.activities.map(({ sensitivity }) => sensitivity)).toEqual([0, expect.closeTo(-1, 12), 0]);
    expect(reply.activities.map(({ criticality }) => criticality)).toEqual([1, 1, 1]);
  });

  it('durations that are certain have one finish', () => {
    const reply = risk({
      activities: [alone('a', 2, 2, 2), alone('b', 3, 3, 3, 'a')],
      runs: 100,
      targets: [4.9, 5, 6],
    });
    expect(reply).toEqual({
      mean: 5,
      standardDeviation: 0,
      percentiles: { '5': 5, '10': 5, '50': 5, '80': 5, '90': 5, '95': 5 },
      targets: [
        { target: 4.9, probability: 0 },
        { target: 5, probability: 1 },
        { target: 6, probability: 1 },
      ],
      activities: [
        { id: 'a', criticality: 1, sensitivity: 0 },
        { id: 'b', criticality: 1, sensitivity: 0 },
      ],
      pert: {
        mean: 5,
        standardDeviation: 0,
        targets: [
          { target: 4.9, probability: 0 },
          { target: 5, probability: 1 },
          { target: 6, probability: 1 },
        ],
      },
    });
  });

  it('no activities finish at once', () => {
    expect(risk({ activities: [], targets: [0] })).toMatchObject({
      mean: 0,
      standardDeviation: 0,
      targets: [{ target: 0, probability: 1 }],
      activities: [],
      pert: { mean: 0, standardDeviation: 0 },
    });
  });

  it('answers for 5,000 activities', () => {
    const activities = Array.from({ length: 5_000 }, (_, i) =>
      i < 2 ? alone(`${i}`, 1, 2, 3) : alone(`${i}`, 1, 2, 3, `${i - 1}`, `${i - 2}`),
    );
    const reply = risk({ activities, runs: 300 });
    const deviation = Math.sqrt(4_999 / 7);
    expect(Math.abs(reply.mean - 2 * 4_999)).toBeLessThan((5 * deviation) / Math.sqrt(300) + 1);
  });
});

describe('finishByHand', () => {
  const byHand = (activities: RiskRequest['activities']) => finishByHand(riskModel({ activities }));

  it('takes the greater variance where two paths are equally long', () => {
    const { mean, standardDeviation } = byHand([
      { id: 'sure', optimistic: 5, likely: 5, pessimistic: 5 },
      { id: 'unsure', optimistic: 2, likely: 5, pessimistic: 8 },
      {
        id: 'end',
        optimistic: 0,
        likely: 3,
        pessimistic: 6,
        predecessors: [{ id: 'unsure' }, { id: 'sure' }],
      },
      { id: 'also', optimistic: 8, likely: 8, pessimistic: 8 },
    ]);
    expect(mean).toBe(8);
    expect(standardDeviation).toBeCloseTo(Math.sqrt(2), 12);
  });

  it('leaves out an activity whose duration the path does not depend on', () => {
    const { mean, standardDeviation } = byHand([
      { id: 'a', optimistic: 4, likely: 7, pessimistic: 10 },
      { id: 'b', optimistic: 1, likely: 2, pessimistic: 9, predecessors: [{ id: 'a', type: 'SS', lag: 1 }] },
      {
        id: 'c',
        optimistic: 17,
        likely: 20,
        pessimistic: 23,
        predecessors: [{ id: 'b', type: 'SS', lag: 1 }],
      },
    ]);
    expect([mean, standardDeviation]).toEqual([22, 1]);
  });

  it('counts an activity that a link holds by its finish and another leaves from its start', () => {
    const { mean, standardDeviation } = byHand([
      { id: 'a', optimistic: 20, likely: 20, pessimistic: 20 },
      { id: 'b', optimistic: 2, likely: 5, pessimistic: 8, predecessors: [{ id: 'a', type: 'FF' }] },
      { id: 'c', optimistic: 30, likely: 30, pessimistic: 30, predecessors: [{ id: 'b', type: 'SS' }] },
    ]);
    expect([mean, standardDeviation]).toEqual([45, 1]);
  });
});

describe('normalProbability', () => {
  // computed with SciPy 1.17.1, scipy.stats.norm.cdf
  it.each([
    [-8, 6.22096057427174e-16],
    [-5, 2.866515718791933e-7],
    [-2.5, 0.006209665325776132],
    [-0.3, 0.3820885778110474],
    [0, 0.5],
    [1.96, 0.9750021048517795],
    [6, 0.9999999990134123],
    [40, 1],
  ])('of %d deviations', (z, expected) => {
    expect(normalProbability(10 + 2 * z, 10, 2)).toBeCloseTo(expected, 14);
  });
});

describe('risk refuses what makes no sense', () => {
  const one = (optimistic: number, likely: number, pessimistic: number): RiskRequest => ({
    activities: [{ id: 'cast', optimistic, likely, pessimistic }],
  });

  it.each([
    [3, 2, 5],
    [1, 6, 5],
    [6, 5, 4],
  ])('durations that fall: %d, %d, %d', (...days) => {
    expect(() => risk(one(...days))).toThrow(NotComputable);
    expect(() => risk(one(...days))).toThrow(
      `activity cast: optimistic ${days[0]}, likely ${days[1]} and pessimistic ${days[2]} days must not fall`,
    );
  });

  it('a circle, and days without end', () => {
    const [cast] = one(1, 2, 3).activities;
    expect(() => risk({ activities: [{ ...cast!, predecessors: [{ id: 'cast' }] }] })).toThrow(
      'cast waits for itself',
    );
    expect(() => risk(one(1, 2, 1e300))).toThrow('the days add up to more than can be counted');
  });
});
