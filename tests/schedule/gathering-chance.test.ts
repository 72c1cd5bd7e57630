import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildModel } from '../../src/schedule/build-model.ts';
import { stepChances } from '../../src/schedule/gathering-chance.ts';
import { linkCode, networkGraph } from '../../src/schedule/network-graph.ts';
import { type Schedule, scheduleOf } from '../../src/schedule/schedule.ts';
import { simulateBuild } from '../../src/schedule/simulate.ts';
import { claim, facts, job, part } from './derive-facts.ts';
import { anyBuild } from './levelled-any.ts';

const at = ({ network }: Schedule, key: string) => {
  const step = network.nodes.findIndex((node) => node.key === key);
  if (step === -1) throw new Error(`no step ${key} among ${network.nodes.map((node) => node.key)}`);
  return step;
};

/** The share of the runs of the simulation in which each step is over by its moment. */
function simulated(schedule: Schedule, due: { step: number; by: number }[], runs = 4000) {
  const { lateShare } = simulateBuild(buildModel(schedule, { due, runs }));
  return Array.from(lateShare, (late) => 1 - late);
}

/** Whether each step waits for one other at most, so that ways never meet: then the chance is exact. */
const waitsForOne = ({ network: { nodes, links } }: Schedule) =>
  nodes.map((_, step) => {
    const seen = new Set<number>();
    for (let one = step; ; ) {
      if (seen.has(one)) return false;
      seen.add(one);
      const into = links.filter(({ to }) => to === one);
      if (into.length > 1 || into.some(({ type }) => type !== 'FS' && type !== 'SS')) return false;
      if (into.length === 0) return true;
      one = into[0]!.from;
    }
  });

const twoClaims = (likely: number) =>
  scheduleOf(
    facts({
      parts: [part(1, { kind: 'assembly' }), part(2), part(3)],
      uses: [
        [1, 2, 1],
        [1, 3, 1],
      ],
      released: [2, 3],
      jobs: [
        job(1, { partId: 2, offeredAt: 'x', claims: [claim(1, { likelyDays: likely })] }),
        job(2, { partId: 3, offeredAt: 'x', claims: [claim(2, { likelyDays: likely })] }),
      ],
    }),
  );

describe('stepChances', () => {
  it('is 0 before a step can be over and 1 long after, and counts a step without a spread by its days', () => {
    const schedule = twoClaims(10);
    const chances = stepChances(schedule, 200);
    const post = at(schedule, 'claim-1-post');
    expect(chances.by(post, 0)).toBe(0);
    expect(chances.by(post, -1)).toBe(0);
    expect(chances.by(post, 200)).toBeGreaterThan(0.99);
    expect(chances.together([])).toBe(1);
    const bare: Schedule = {
      ...schedule,
      network: {
        ...schedule.network,
        nodes: schedule.network.nodes.map((node) =>
          Object.assign(Object.create(Object.getPrototypeOf(node)), node, {
            duration: { ...node.duration, spread: undefined },
          }),
        ),
      },
    };
    const exact = stepChances(bare, 200);
    bare.network.nodes.forEach((_, step) => {
      const end = bare.dates.earlyEnds[step]!;
      expect([exact.by(step, end - 1), exact.by(step, end)]).toEqual([0, 1]);
    });
  });

  it('adds two spreads up as the simulation does: makings, posts and inspections of any build', () => {
    let compared = 0;
    fc.assert(
      fc.property(anyBuild, fc.integer({ min: 3, max: 60 }), (build, by) => {
        const schedule = scheduleOf(build);
        const alone = waitsForOne(schedule);
        const steps = alone.flatMap((is, step) => (is ? [step] : []));
        const shares = simulated(
          schedule,
          steps.map((step) => ({ step, by })),
          3000,
        );
        const chances = stepChances(schedule, by + 7);
        steps.forEach((step, place) => {
          // four standard errors of a share of 3,000 runs, at the most 0.037, and the kinks of a spread by day
          expect(Math.abs(chances.by(step, by) - shares[place]!)).toBeLessThan(0.04);
          if (shares[place]! > 0.02 && shares[place]! < 0.98) compared += 1;
        });
      }),
      { numRuns: 60, seed: 7 },
    );
    expect(compared).toBeGreaterThan(100);
  });

  it('never says more than the simulation where ways part and meet again', () => {
    fc.assert(
      fc.property(anyBuild, fc.integer({ min: 3, max: 60 }), (build, by) => {
        const schedule = scheduleOf(build);
        const steps = schedule.network.nodes.map((_, step) => step);
        if (schedule.network.links.some(({ type }) => type === 'FF' || type === 'SF')) return;
        const shares = simulated(
          schedule,
          steps.map((step) => ({ step, by })),
          1500,
        );
        const chances = stepChances(schedule, by + 7);
        steps.forEach((step, place) => {
          expect(chances.by(step, by)).toBeLessThan(shares[place]! + 0.06);
        });
      }),
      { numRuns: 40, seed: 11 },
    );
  });

  it('lets two claims of one maker come late together, as the simulation does', () => {
    const schedule = twoClaims(10);
    const steps = [at(schedule, 'claim-1-post'), at(schedule, 'claim-2-post')];
    for (const by of [14, 17, 20]) {
      const chances = stepChances(schedule, 60);
      const [one, other] = steps.map((step) => chances.by(step, by)) as [number, number];
      const both = chances.together(steps.map((step) => ({ step, by })));
      // the mark of the assembly's children being here has no time of its own: both are posted when the later one is
      const { lateShare } = simulateBuild(
        buildModel(
          {
            ...schedule,
            ...withJoint(schedule, steps),
          },
          { due: [{ step: schedule.network.nodes.length, by }], runs: 10_000 },
        ),
      );
      expect(both).toBeGreaterThan(one * other + 0.002);
      expect(both).toBeLessThan(Math.min(one, other));
      expect(Math.abs(both - (1 - lateShare[0]!))).toBeLessThan(0.02);
      expect(
        chances.together([
          { step: steps[0]!, by },
          { step: steps[0]!, by: by + 5 },
        ]),
      ).toBeCloseTo(one, 12);
    }
  });

  it('never falls with the day', () => {
    const schedule = twoClaims(14);
    const chances = stepChances(schedule, 120);
    const steps = [at(schedule, 'claim-1-post'), at(schedule, 'claim-2-post')];
    for (let by = 1; by <= 120; by++) {
      for (const step of steps) expect(chances.by(step, by)).toBeGreaterThanOrEqual(chances.by(step, by - 1));
      const all = (moment: number) => chances.together(steps.map((step) => ({ step, by: moment })));
      expect(all(by)).toBeGreaterThanOrEqual(all(by - 1) - 1e-9);
    }
  });
});

/** The network with one more mark, which is over when all the steps are. */
function withJoint(schedule: Schedule, steps: number[]): Pick<Schedule, 'network' | 'graph'> {
  const { network } = schedule;
  const mark = network.nodes.find(({ kind }) => kind === 'mark')!;
  const joint = Object.assign(Object.create(Object.getPrototypeOf(mark)), mark, {
    duration: { ...mark.duration },
  });
  const to = network.nodes.length;
  const links = [
    ...network.links,
    ...steps.map((from) => ({ from, to, type: 'FS' as const, lag: 0, byHand: false })),
  ];
  const nodes = [...network.nodes, joint];
  return {
    network: { ...network, nodes, links },
    graph: networkGraph(nodes.length, {
      sources: Int32Array.from(links, ({ from }) => from),
      targets: Int32Array.from(links, (link) => link.to),
      types: Uint8Array.from(links, ({ type }) => linkCode[type]),
      lags: Float64Array.from(links, ({ lag }) => lag),
    }),
  };
}
