import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { workingCalendar } from '../../src/schedule/calendar.ts';
import { calendarPass } from '../../src/schedule/calendar-pass.ts';
import { linkCode, networkGraph } from '../../src/schedule/network-graph.ts';
import { around, type BuildModel, changeKinds, shareOf, simulateBuild } from '../../src/schedule/simulate.ts';
import { SPREAD_KNOTS } from '../../src/schedule/spread.ts';

interface Given {
  days: number[];
  links?: { from: number; to: number; type?: 'FS' | 'SS' | 'FF' | 'SF'; lag?: number }[];
  /** by step: evenly spread from the first to the second */
  even?: Record<number, [number, number]>;
  groups?: Record<number, number>;
  strength?: number;
  calendarOf?: number[];
  notBefore?: number[];
  due?: [number, number][];
  tries?: { step: number; kind: keyof typeof changeKinds; value: number }[][];
  runs?: number;
  seed?: number;
}

const calendars = [
  workingCalendar('2026-03-02', [1, 2, 3, 4, 5]),
  workingCalendar('2026-03-02', { weekdays: [1, 2, 3, 4, 5], free: [[7, 16]] }),
];

function model(given: Given): BuildModel {
  const { days, links = [], even = {}, groups = {}, tries = [], due = [] } = given;
  const count = days.length;
  const spreadOf = new Int32Array(count).fill(-1);
  const spreads: number[] = [];
  for (const [step, [least, most]] of Object.entries(even)) {
    spreadOf[Number(step)] = spreads.length / SPREAD_KNOTS;
    for (let k = 0; k < SPREAD_KNOTS; k++) spreads.push(least + ((most - least) * k) / (SPREAD_KNOTS - 1));
  }
  const changes = tries.flat();
  const first = new Int32Array(tries.length + 1);
  tries.forEach((one, at) => {
    first[at + 1] = first[at]! + one.length;
  });
  return {
    graph: networkGraph(count, {
      sources: Int32Array.from(links, ({ from }) => from),
      targets: Int32Array.from(links, ({ to }) => to),
      types: Uint8Array.from(links, ({ type = 'FS' }) => linkCode[type]),
      lags: Float64Array.from(links, ({ lag = 0 }) => lag),
    }),
    days: Int32Array.from(days),
    notBefore: Int32Array.from(given.notBefore ?? days.map(() => 0)),
    calendarOf: Int16Array.from(given.calendarOf ?? days.map(() => -1)),
    calendars: calendars.map(({ table }) => table),
    spreadOf,
    spreads: Float64Array.from(spreads),
    groupOf: Int32Array.from(days, (_, step) => groups[step] ?? -1),
    streamOf: Int32Array.from(days, (_, step) => step + 100),
    groupStreams: Int32Array.from({ length: 1 + Math.max(-1, ...Object.values(groups)) }, (_, g) => -1 - g),
    strength: given.strength ?? 0,
    runs: given.runs ?? 4000,
    seed: given.seed ?? 1,
    inDetail: true,
    dueSteps: Int32Array.from(due, ([step]) => step),
    dueBy: Int32Array.from(due, ([, by]) => by),
    variants: {
      first,
      steps: Int32Array.from(changes, ({ step }) => step),
      kinds: Uint8Array.from(changes, ({ kind }) => changeKinds[kind]),
      values: Int32Array.from(changes, ({ value }) => value),
    },
  };
}

const mean = (values: Int32Array) => values.reduce((sum, value) => sum + value, 0) / values.length;
const variance = (values: Int32Array) => {
  const middle = mean(values);
  return values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1);
};

describe('simulateBuild, against closed forms', () => {
  // Even on 0 .. 1000 days: mean 500, variance 1000^2 / 12 and a twelfth of a day for whole days.
  const [least, most] = [0, 1000];
  const runs = 10_000;

  it('adds up means and variances of steps one after another', () => {
    const { finishes } = simulateBuild(
      model({
        days: [1, 1, 1],
        links: [
          { from: 0, to: 1 },
          { from: 1, to: 2 },
        ],
        even: { 0: [least, most], 1: [least, most], 2: [least, most] },
        runs,
      }),
    );
    // standard error of the mean: sqrt(3 * 1000^2 / 12 / 10,000) = 5
    expect(Math.abs(mean(finishes) - 1500)).toBeLessThan(20);
    expect(variance(finishes) / ((3 * 1000 ** 2) / 12)).toBeCloseTo(1, 1);
  });

  it('gives the greater of two side by side its own mean: two thirds of the way', () => {
    const outcome = simulateBuild(
      model({ days: [1, 1], even: { 0: [least, most], 1: [least, most] }, runs }),
    );
    // E max(U1, U2) = 2/3, variance 1/18; either is the greater in half of the runs
    expect(Math.abs(mean(outcome.finishes) - 2000 / 3)).toBeLessThan(10);
    expect(variance(outcome.finishes) / (1000 ** 2 / 18)).toBeCloseTo(1, 1);
    expect(outcome.criticality[0]).toBeCloseTo(0.5, 1);
    expect(shareOf(outcome.finishes.slice().sort(), 80) / (1000 * Math.sqrt(0.8))).toBeCloseTo(1, 1);
    // rank of the maximum is M^2; 12 E[U1 M^2] - 3 with E[U1 M^2] = 2/15 + 1/6 = 0.3
    expect(outcome.sensitivity[0]).toBeCloseTo(0.6, 1);
  });

  it('lets steps of one maker share a slow month: the sum spreads wider, and not at all by strength 0', () => {
    const given = (strength: number): Given => ({
      days: [1, 1],
      links: [{ from: 0, to: 1 }],
      even: { 0: [least, most], 1: [least, most] },
      groups: { 0: 0, 1: 0 },
      strength,
      runs,
    });
    const apart = variance(simulateBuild(model(given(0))).finishes);
    const together = variance(simulateBuild(model(given(0.5))).finishes);
    // Normal scores that correlate by r give even values a correlation of 6 / pi * asin(r / 2) (Pearson 1907).
    const r = (6 / Math.PI) * Math.asin(0.25);
    expect(apart / (2 * (1000 ** 2 / 12))).toBeCloseTo(1, 1);
    expect(together / apart / (1 + r)).toBeCloseTo(1, 1);
    expect(variance(simulateBuild(model(given(1))).finishes) / apart).toBeCloseTo(2, 1);
  });

  it('tells in how many runs a step is late, and the days by which shares of the runs have it over', () => {
    const outcome = simulateBuild(
      model({
        days: [1],
        even: { 0: [0, 100] },
        due: [
          [0, 75],
          [0, 100],
          [0, -1],
        ],
        runs,
      }),
    );
    expect(outcome.lateShare[0]).toBeCloseTo(0.25, 1);
    expect(Array.from(outcome.lateShare.slice(1))).toEqual([0, 1]);
    const at = [outcome.at10, outcome.at50, outcome.at80, outcome.at90].map((ends) => ends[0]!);
    at.forEach((end, place) => {
      expect(Math.abs(end - [10, 50, 80, 90][place]!)).toBeLessThanOrEqual(2);
    });
  });
});

const types = ['FS', 'SS', 'FF', 'SF'] as const;
const anyNetwork = fc.integer({ min: 2, max: 12 }).chain((count) => {
  const each = <T>(one: fc.Arbitrary<T>) => fc.array(one, { minLength: count, maxLength: count });
  return fc.record({
    days: each(fc.integer({ min: 0, max: 12 })),
    calendarOf: each(fc.constantFrom(-1, 0, 1)),
    notBefore: each(fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 25 }))),
    links: fc.array(
      fc
        .record({
          a: fc.nat(count - 1),
          b: fc.nat(count - 1),
          type: fc.constantFrom(...types),
          lag: fc.integer({ min: -3, max: 5 }),
        })
        .filter(({ a, b }) => a !== b)
        .map(({ a, b, type, lag }) => ({ from: Math.min(a, b), to: Math.max(a, b), type, lag })),
      { maxLength: 24 },
    ),
    step: fc.nat(count - 1),
    kind: fc.constantFrom('lasts' as const, 'longer' as const, 'overAt' as const, 'notBefore' as const),
    value: fc.integer({ min: 0, max: 30 }),
  });
});

const passOf = ({ graph, days, calendarOf, notBefore }: BuildModel) =>
  calendarPass(graph, { durations: days, calendars: calendarOf, notBefore }, calendars);

describe('simulateBuild, against the pass of the plan', () => {
  it('finishes where the plan does when nothing is left to chance, and finds what drives it', () => {
    fc.assert(
      fc.property(anyNetwork, (given) => {
        const one = model({ ...given, runs: 2 });
        const { finishes, criticality, at50 } = simulateBuild(one);
        const plan = passOf(one);
        expect(Array.from(finishes)).toEqual([plan.finish, plan.finish]);
        expect(Array.from(at50)).toEqual(Array.from(plan.earlyEnds));
        // every step on the chain that sets the finish
        let at = plan.earlyEnds.indexOf(plan.finish);
        while (at !== -1) {
          expect(criticality[at]).toBe(1);
          at = plan.drivers[at]!;
        }
      }),
      { seed: 3, numRuns: 300 },
    );
  });

  it('a variant finishes where a plan with its change does', () => {
    fc.assert(
      fc.property(anyNetwork, ({ step, kind, value, ...given }) => {
        const one = model({ ...given, runs: 1, tries: [[], [{ step, kind, value }]] });
        const { variantMean, finishes } = simulateBuild(one);
        expect(variantMean[0]).toBe(finishes[0]);
        const days = one.days.slice();
        const notBefore = one.notBefore.slice();
        if (kind === 'lasts') days[step] = value;
        else if (kind === 'longer') days[step]! += value;
        else {
          notBefore[step] = Math.max(notBefore[step]!, value);
          if (kind === 'overAt') days[step] = 0;
        }
        expect(variantMean[1]).toBe(passOf({ ...one, days, notBefore }).finish);
      }),
      { seed: 4, numRuns: 400 },
    );
  });
});

describe('around', () => {
  it('averages the values near a percentile, and is the value itself where there is one only', () => {
    const sorted = Int32Array.from({ length: 1000 }, (_, k) => k);
    expect(around(sorted, 50)).toBe(499.5);
    expect(around(sorted, 80)).toBe(799.5);
    expect(around(Int32Array.of(7), 80)).toBe(7);
    expect(around(Int32Array.of(1, 100), 50)).toBe(50.5);
  });
});

describe('simulateBuild, variants on the same luck', () => {
  const chain: Given = {
    days: [1, 1, 20],
    links: [{ from: 0, to: 1 }],
    even: { 0: [0, 40], 1: [5, 25] },
    runs: 2000,
  };

  it('a step that takes its days for sure is the same as one with no spread', () => {
    const tried = simulateBuild(model({ ...chain, tries: [[{ step: 0, kind: 'lasts', value: 7 }]] }));
    const fixed = simulateBuild(model({ ...chain, days: [7, 1, 20], even: { 1: [5, 25] } }));
    expect(tried.variantMean[0]).toBe(mean(fixed.finishes));
    expect(tried.variantAt50[0]).toBe(around(fixed.finishes.slice().sort(), 50));
    expect(tried.variantAt80[0]).toBe(around(fixed.finishes.slice().sort(), 80));
  });

  it('being over by a day, losing half of what is beyond one, and the sooner of two never make it later', () => {
    const { variantMean, finishes } = simulateBuild(
      model({
        ...chain,
        tries: [
          [{ step: 0, kind: 'overBy', value: 10 }],
          [{ step: 0, kind: 'halfBeyond', value: 20 }],
          [{ step: 0, kind: 'soonerOf', value: 0 }],
          [{ step: 0, kind: 'overBy', value: 100 }],
        ],
      }),
    );
    const plan = mean(finishes);
    for (const v of [0, 1, 2]) expect(variantMean[v]).toBeLessThan(plan);
    expect(variantMean[3]).toBe(plan);
  });

  it('the sooner of two even spreads comes a third of the way along', () => {
    const { variantMean } = simulateBuild(
      model({
        days: [1],
        even: { 0: [0, 1000] },
        runs: 10_000,
        tries: [[{ step: 0, kind: 'soonerOf', value: 0 }]],
      }),
    );
    expect(Math.abs(variantMean[0]! - 1000 / 3)).toBeLessThan(10);
  });

  it('the same model gives the same outcome, another seed another', () => {
    expect(simulateBuild(model(chain))).toEqual(simulateBuild(model(chain)));
    expect(simulateBuild(model({ ...chain, seed: 2 })).finishes).not.toEqual(
      simulateBuild(model(chain)).finishes,
    );
  });

  it('a step keeps its luck when another is added to the network', () => {
    const alone = simulateBuild(model({ days: [1], even: { 0: [0, 1000] }, runs: 500 }));
    const beside = simulateBuild(model({ days: [1, 0], even: { 0: [0, 1000] }, runs: 500 }));
    expect(beside.finishes).toEqual(alone.finishes);
  });

  it('with nothing left to do every run is over this morning', () => {
    const outcome = simulateBuild(model({ days: [], runs: 3 }));
    expect(Array.from(outcome.finishes)).toEqual([0, 0, 0]);
  });
});
