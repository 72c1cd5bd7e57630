import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { NotComputable } from '../../src/platform/not-computable.ts';
import { activityGraph, network } from '../../src/schedule/network.ts';
import type { LinkType } from '../../src/schedule/network-graph.ts';
import { networkPass } from '../../src/schedule/network-pass.ts';
import type { NetworkRequest } from '../../src/schedule/network-request.ts';
import { plainNetwork } from './network-plain.ts';

// tests/checks/cpm: networks with expected dates, sources in each file and in the README beside them
interface Check {
  name: string;
  activities: NetworkRequest['activities'];
  expected: {
    projectFinish: number;
    activities: Record<
      string,
      { es: number; ef: number; ls: number; lf: number; totalFloat: number; freeFloat: number }
    >;
    criticalIds: string[];
  };
}
const folder = new URL('../checks/cpm/', import.meta.url);
const checks = readdirSync(folder)
  .filter((file) => file.endsWith('.json'))
  .map((file) => JSON.parse(readFileSync(new URL(file, folder), 'utf8')) as Check);

const asked = ({ activities }: Check): NetworkRequest => ({
  activities: activities.map(({ id, duration, predecessors }) => ({ id, duration, predecessors })),
});

describe('network against the check networks', () => {
  it('has six of them', () => expect(checks).toHaveLength(6));

  it.each(checks)('$name: dates, floats and critical activities', (check) => {
    const reply = network(asked(check));
    expect(reply.finish).toBe(check.expected.projectFinish);
    expect(reply.criticalIds).toEqual(check.expected.criticalIds);
    expect(reply.activities.map(({ id }) => id)).toEqual(check.activities.map(({ id }) => id));
    for (const row of reply.activities) {
      const { es, ef, ls, lf, totalFloat, freeFloat } = check.expected.activities[row.id]!;
      expect(row).toMatchObject({
        earlyStart: es,
        earlyFinish: ef,
        lateStart: ls,
        lateFinish: lf,
        totalFloat,
        freeFloat,
        critical: totalFloat === 0,
      });
    }
  });

  it.each(checks)('$name: drag as trying each activity without its duration gives', (check) => {
    const request = asked(check);
    const plain = plainNetwork(request);
    expect(network(request).activities.map(({ drag }) => drag)).toEqual(
      plain.activities.map(({ drag }) => drag),
    );
  });
});

/** Networks of all link types in shuffled order; a step of 1 gives whole days, a fraction gives rounding errors. */
const requests = (step: number, most = 12) =>
  fc
    .record({
      activities: fc.array(
        fc.record({
          duration: fc.integer({ min: 0, max: 9 }),
          notBefore: fc.option(fc.integer({ min: -3, max: 25 }), { nil: undefined, freq: 5 }),
          links: fc.array(
            fc.record({
              back: fc.integer({ min: 1, max: most }),
              type: fc.constantFrom<LinkType | undefined>('FS', 'SS', 'FF', 'SF', undefined),
              lag: fc.option(fc.integer({ min: -8, max: 8 }), { nil: undefined }),
            }),
            { maxLength: 4 },
          ),
        }),
        { minLength: 1, maxLength: most },
      ),
      finishBy: fc.option(fc.integer({ min: 0, max: 60 }), { nil: undefined, freq: 3 }),
      shuffle: fc.integer({ min: 1, max: 1000 }),
    })
    .map(({ activities, finishBy, shuffle }): NetworkRequest => {
      const scaled = (days: number | undefined) => (days === undefined ? undefined : days * step);
      const listed = activities.map(({ duration, notBefore, links }, i) => ({
        id: `a${i}`,
        duration: duration * step,
        notBefore: scaled(notBefore),
        predecessors: links
          .filter(({ back }) => back <= i)
          .map(({ back, type, lag }) => ({ id: `a${i - back}`, type, lag: scaled(lag) })),
      }));
      const place = new Map(
        listed.map(({ id }, i) => [id, ((i * 7919 + 13) * shuffle * 104_729) % 1_000_003]),
      );
      listed.sort((one, other) => place.get(one.id)! - place.get(other.id)!);
      return { activities: listed, finishBy: scaled(finishBy) };
    });

const figures = [
  'earlyStart',
  'earlyFinish',
  'lateStart',
  'lateFinish',
  'totalFloat',
  'freeFloat',
  'drag',
] as const;

describe('network against the plain second way', () => {
  it.each([1, 0.1, 1e-9, 1e9 / 7])('agrees on every figure, in steps of %d days', (step) => {
    fc.assert(
      fc.property(requests(step), (request) => {
        const reply = network(request);
        // the second way counts in whole steps, where it has no rounding error to stop for
        const whole = plainNetwork({
          activities: request.activities.map((activity) => ({
            ...activity,
            duration: Math.round(activity.duration / step),
            notBefore: activity.notBefore === undefined ? undefined : Math.round(activity.notBefore / step),
            predecessors: activity.predecessors?.map((link) => ({
              ...link,
              lag: Math.round((link.lag ?? 0) / step),
            })),
          })),
          finishBy: request.finishBy === undefined ? undefined : Math.round(request.finishBy / step),
        });
        expect(reply.finish / step).toBeCloseTo(whole.finish, 6);
        reply.activities.forEach((row, i) => {
          const expected = whole.activities[i]!;
          for (const figure of figures)
            expect(row[figure] / step, `${row.id} ${figure}`).toBeCloseTo(expected[figure], 6);
          expect(row.critical).toBe(expected.critical);
          for (const figure of ['totalFloat', 'freeFloat', 'drag'] as const) {
            if (expected[figure] === 0) expect(row[figure]).toBe(0);
          }
        });
      }),
      { numRuns: 1500, seed: 20_261 },
    );
  });

  it('agrees on denser networks of up to 40 activities', () => {
    fc.assert(
      fc.property(requests(1, 40), (request) => {
        const reply = network(request);
        const plain = plainNetwork(request);
        for (const figure of figures) {
          expect(reply.activities.map((row) => row[figure])).toEqual(
            plain.activities.map((row) => row[figure]),
          );
        }
      }),
      { numRuns: 150, seed: 20_262 },
    );
  });
});

describe('network holds by definition', () => {
  it('keeps every link at the early and at the late dates, and floats are in order', () => {
    fc.assert(
      fc.property(requests(1, 30), (asked) => {
        const request = { ...asked, finishBy: undefined };
        const reply = network(request);
        const rows = new Map(reply.activities.map((row) => [row.id, row]));
        request.activities.forEach(({ id, predecessors = [], notBefore = 0 }) => {
          const row = rows.get(id)!;
          expect(row.earlyStart).toBeGreaterThanOrEqual(Math.max(0, notBefore));
          expect(row.freeFloat).toBeGreaterThanOrEqual(0);
          expect(row.freeFloat).toBeLessThanOrEqual(row.totalFloat);
          expect(row.lateFinish).toBeLessThanOrEqual(reply.finish);
          for (const { id: before, type = 'FS', lag = 0 } of predecessors) {
            const other = rows.get(before)!;
            for (const dates of ['early', 'late'] as const) {
              const from = type[0] === 'F' ? other[`${dates}Finish`] : other[`${dates}Start`];
              const to = type[1] === 'F' ? row[`${dates}Finish`] : row[`${dates}Start`];
              expect(to).toBeGreaterThanOrEqual(from + lag);
            }
          }
        });
        expect(reply.criticalIds.length).toBeGreaterThan(0);
      }),
      { numRuns: 500, seed: 20_263 },
    );
  });
});

const chain = (...durations: number[]): NetworkRequest => ({
  activities: durations.map((duration, i) => ({
    id: `${i}`,
    duration,
    predecessors: i > 0 ? [{ id: `${i - 1}` }] : undefined,
  })),
});

describe('network in small', () => {
  it('gives a finish of 0 for no activities', () => {
    expect(network({ activities: [] })).toEqual({ finish: 0, activities: [], criticalIds: [] });
  });

  it('gives the example of its doc comment: 2 days, then 3', () => {
    const reply = network(chain(2, 3));
    expect(reply.finish).toBe(5);
    expect(reply.activities.map(({ drag, critical }) => [drag, critical])).toEqual([
      [2, true],
      [3, true],
    ]);
  });

  it('drag stops where the next longest way begins', () => {
    const reply = network({
      activities: [
        { id: 'long', duration: 10 },
        { id: 'other', duration: 7 },
        { id: 'end', duration: 1, predecessors: [{ id: 'long' }, { id: 'other' }] },
      ],
    });
    expect(reply.activities.map(({ drag }) => drag)).toEqual([3, 0, 1]);
  });

  it('drag is negative where a shorter activity starts later and pushes what waits for its start', () => {
    const reply = network({
      activities: [
        { id: 'a', duration: 10 },
        { id: 'b', duration: 6, predecessors: [{ id: 'a', type: 'FF', lag: 0 }] },
        { id: 'c', duration: 20, predecessors: [{ id: 'b', type: 'SS' }] },
      ],
    });
    expect(reply.finish).toBe(24);
    expect(reply.activities[1]).toMatchObject({ earlyStart: 4, critical: true, drag: -6 });
  });

  it('finishBy moves the late dates only: float to spare, or missing', () => {
    const early = network(chain(2, 3));
    const spare = network({ ...chain(2, 3), finishBy: 9 });
    const missing = network({ ...chain(2, 3), finishBy: 4 });
    expect(spare.finish).toBe(early.finish);
    expect(spare.activities.map(({ totalFloat, freeFloat, drag }) => [totalFloat, freeFloat, drag])).toEqual([
      [4, 0, 0],
      [4, 0, 0],
    ]);
    expect(spare.criticalIds).toEqual([]);
    expect(
      missing.activities.map(({ lateStart, totalFloat, drag }) => [lateStart, totalFloat, drag]),
    ).toEqual([
      [-1, -1, 2],
      [1, -1, 3],
    ]);
    expect(missing.criticalIds).toEqual(['0', '1']);
  });

  it('reports 0, not a rounding error, where tenths do not add up', () => {
    const reply = network({
      activities: [
        ...chain(0.1, 0.2, 0.3).activities,
        { id: 'other', duration: 0.6 },
        { id: 'end', duration: 0.1, predecessors: [{ id: '2' }, { id: 'other' }] },
      ],
    });
    expect(reply.criticalIds).toEqual(['0', '1', '2', 'other', 'end']);
    for (const row of reply.activities) expect([row.totalFloat, row.freeFloat]).toEqual([0, 0]);
    expect(reply.activities.map(({ drag }) => drag)).toEqual(
      [0, 0, 0, 0, 0.1].map((days) => expect.closeTo(days, 12)),
    );
    expect(reply.activities[0]!.drag).toBe(0);
  });

  it('takes ids that look like properties', () => {
    const reply = network({
      activities: [
        { id: '__proto__', duration: 1 },
        { id: 'constructor', duration: 2, predecessors: [{ id: '__proto__' }] },
      ],
    });
    expect(reply.finish).toBe(3);
  });
});

function refusal(request: NetworkRequest): NotComputable {
  try {
    network(request);
  } catch (error) {
    if (error instanceof NotComputable) return error;
    throw error;
  }
  throw new Error('not refused');
}

const waits = (...pairs: [string, ...string[]][]): NetworkRequest => ({
  activities: pairs.map(([id, ...before]) => ({
    id,
    duration: 1,
    predecessors: before.map((other) => ({ id: other })),
  })),
});

describe('network refuses what makes no sense', () => {
  it('names a circle in order of work, from the one listed first', () => {
    const { message, detail } = refusal(
      waits(['start'], ['c', 'b'], ['a', 'c', 'start'], ['b', 'a'], ['end', 'b']),
    );
    expect(detail).toEqual({ cycle: ['c', 'a', 'b'] });
    expect(message).toBe('these activities wait for one another in a circle: c -> a -> b -> c');
  });

  it('names an activity that waits for itself', () => {
    const { message, detail } = refusal(waits(['a'], ['b', 'b']));
    expect(detail).toEqual({ cycle: ['b'] });
    expect(message).toBe('activity b waits for itself');
  });

  it('names one circle of several, each step of it a link that was given', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(14), fc.nat(14)), { minLength: 10, maxLength: 40 }), (pairs) => {
        const request = waits(
          ...Array.from({ length: 15 }, (_, i): [string, ...string[]] => [
            `${i}`,
            ...pairs.filter(([, to]) => to === i).map(([from]) => `${from}`),
          ]),
        );
        let cycle: string[];
        try {
          network(request);
          return;
        } catch (error) {
          expect(error).toBeInstanceOf(NotComputable);
          cycle = (error as NotComputable).detail?.cycle as string[];
        }
        expect(new Set(cycle).size).toBe(cycle.length);
        cycle.forEach((id, k) => {
          const next = cycle[(k + 1) % cycle.length]!;
          expect(pairs).toContainEqual([Number(id), Number(next)]);
        });
      }),
      { numRuns: 500, seed: 20_264 },
    );
  });

  it('shortens the message, not the list, of a circle of 100,000', () => {
    const n = 100_000;
    const { message, detail } = refusal({
      activities: Array.from({ length: n }, (_, i) => ({
        id: `${i}`,
        duration: 1,
        predecessors: [{ id: `${(i + 1) % n}` }],
      })),
    });
    expect(detail?.cycle).toHaveLength(n);
    expect(message).toContain('0 -> 99999 -> 99998');
    expect(message).toContain('(99960 more) -> 0');
  });

  it('names a predecessor that is not in the list', () => {
    const { message, detail } = refusal(waits(['a', 'ghost']));
    expect(message).toBe('activity a waits for ghost, which is not in the list');
    expect(detail).toEqual({ id: 'a', predecessor: 'ghost' });
  });

  it('names an id given twice', () => {
    expect(refusal(waits(['a'], ['b'], ['a'])).message).toBe('activity a is in the list more than once');
  });

  it('does not answer with infinity', () => {
    expect(refusal(chain(1e308, 1e308)).message).toBe('the days add up to more than can be counted');
  });
});

describe('network in large', () => {
  const numbers = (seed: number) => () => {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0;
    return seed / 2 ** 32;
  };

  it('answers for 100,000 activities with 300,000 links of all types', () => {
    const next = numbers(7);
    const n = 100_000;
    const types: LinkType[] = ['FS', 'FS', 'FS', 'SS', 'FF', 'SF'];
    const activities = Array.from({ length: n }, (_, i) => ({
      id: `${i}`,
      duration: Math.floor(next() * 20),
      predecessors: Array.from({ length: i === 0 ? 0 : 3 }, () => ({
        id: `${Math.max(0, i - 1 - Math.floor(next() * 300))}`,
        type: types[Math.floor(next() * types.length)]!,
        lag: Math.floor(next() * 7) - 2,
      })),
    }));
    const reply = network({ activities });
    expect(reply.activities).toHaveLength(n);
    expect(reply.criticalIds.length).toBeGreaterThan(100);
    const rows = reply.activities;
    expect(Math.max(...rows.slice(-1000).map((row) => row.earlyFinish))).toBeLessThanOrEqual(reply.finish);
    // drag of some critical ones against the whole network again without their duration
    const graph = activityGraph(activities);
    const durations = Float64Array.from(activities, ({ duration }) => duration);
    for (const id of reply.criticalIds.filter((_, k) => k % 23 === 0)) {
      const without = durations.slice();
      without[Number(id)] = 0;
      expect(rows[Number(id)]!.drag).toBe(reply.finish - networkPass(graph, without).finish);
    }
  });

  it('answers for a chain of 100,000, all of it critical', () => {
    const n = 100_000;
    const reply = network(chain(...Array.from({ length: n }, (_, i) => (i % 5) + 1)));
    expect(reply.finish).toBe(3 * n);
    expect(reply.criticalIds).toHaveLength(n);
    expect(reply.activities.every(({ drag }, i) => drag === (i % 5) + 1)).toBe(true);
  });

  it('answers for two equal chains, where no single activity helps', () => {
    const half = 50_000;
    const activities = Array.from({ length: 2 * half }, (_, i) => ({
      id: `${i}`,
      duration: 1,
      predecessors: i >= 2 ? [{ id: `${i - 2}` }] : undefined,
    }));
    const reply = network({ activities });
    expect(reply.finish).toBe(half);
    expect(reply.activities.every(({ drag, critical }) => critical && drag === 0)).toBe(true);
  });
});
