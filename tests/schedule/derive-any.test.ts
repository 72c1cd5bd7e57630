import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { datedStep, drivingChain, scheduleOf } from '../../src/schedule/schedule.ts';
import { claim, facts, frame, type Given, job, part } from './derive-facts.ts';

describe('scheduleOf', () => {
  it('holds for nothing to build, and for nothing left', () => {
    expect(scheduleOf(facts({}))).toMatchObject({ finishOn: null, criticalJobs: 0 });
    expect(drivingChain(scheduleOf(facts({})))).toEqual([]);
    const done = facts({
      parts: [frame],
      jobs: [job(1, { kind: 'fit-up', partId: 1, finishedAt: '2026-02-01T08:00:00Z' })],
    });
    expect(scheduleOf(done).finishOn).toBeNull();
  });

  const anyBuild = fc
    .record({
      kinds: fc.array(
        fc.constantFrom('assembly', 'made', 'bought', 'stock') as fc.Arbitrary<
          'assembly' | 'made' | 'bought' | 'stock'
        >,
        {
          minLength: 1,
          maxLength: 8,
        },
      ),
      picks: fc.array(fc.tuple(fc.nat(), fc.nat(), fc.integer({ min: 1, max: 5 })), { maxLength: 14 }),
      released: fc.array(fc.nat(7), { maxLength: 5 }),
      jobs: fc.array(
        fc.record({
          kind: fc.constantFrom(
            'design',
            'fabricate',
            'purchase',
            'fit-up',
            'trial',
            'other',
          ) as fc.Arbitrary<'design' | 'fabricate' | 'purchase' | 'fit-up' | 'trial' | 'other'>,
          on: fc.option(fc.nat(7)),
          pieces: fc.integer({ min: 1, max: 9 }),
          days: fc.option(fc.integer({ min: 1, max: 40 })),
          claimed: fc.nat(9),
          ago: fc.integer({ min: 0, max: 60 }),
          begun: fc.boolean(),
        }),
        { maxLength: 8 },
      ),
      links: fc.array(
        fc.tuple(
          fc.nat(7),
          fc.nat(7),
          fc.constantFrom('FS', 'SS', 'FF', 'SF') as fc.Arbitrary<'FS' | 'SS' | 'FF' | 'SF'>,
          fc.integer({ min: -5, max: 9 }),
        ),
        { maxLength: 5 },
      ),
    })
    .map(({ kinds, picks, released, jobs, links }): Given => {
      const parts = kinds.map((kind, index) => part(index + 1, { kind }));
      const uses = new Map<string, [number, number, number]>();
      for (const [a, b, pieces] of picks) {
        const parent = 1 + (a % kinds.length);
        const child = 1 + (b % kinds.length);
        const holds = kinds[parent - 1] === 'assembly' || kinds[parent - 1] === 'made';
        if (parent < child && holds) uses.set(`${parent} ${child}`, [parent, child, pieces]);
      }
      const daysAgo = (days: number) => new Date(Date.UTC(2026, 2, 2 - days, 8)).toISOString();
      return {
        parts,
        uses: [...uses.values()],
        released: [...new Set(released)]
          .map((n) => 1 + (n % kinds.length))
          .filter((id, at, all) => all.indexOf(id) === at),
        jobs: jobs.map(({ kind, on, pieces, days, claimed, ago, begun }, index) => {
          const partId = on === null ? null : 1 + (on % kinds.length);
          const share = Math.min(pieces, claimed) * 1000;
          return job(index + 1, {
            kind,
            partId: kind === 'fabricate' || kind === 'fit-up' || kind === 'purchase' ? (partId ?? 1) : partId,
            milli: pieces * 1000,
            days,
            offeredAt: kind === 'fabricate' && begun ? daysAgo(ago) : null,
            startedAt: kind !== 'fabricate' && kind !== 'purchase' && begun ? daysAgo(ago) : null,
            orderedAt: kind === 'purchase' && begun ? daysAgo(ago) : null,
            claims:
              kind === 'fabricate' && begun && share > 0
                ? [claim(index + 1, { milli: share, claimedAt: daysAgo(ago) })]
                : [],
          });
        }),
        links: links
          .map(([a, b, type, lag]) => ({
            fromId: 1 + (a % Math.max(1, jobs.length)),
            toId: 1 + (b % Math.max(1, jobs.length)),
            type,
            lag,
          }))
          .filter(({ fromId, toId }) => fromId !== toId && jobs.length > 0),
      };
    });

  it('gives any build dates in order: nothing before today, no float below zero, a chain that ends at the finish', () => {
    fc.assert(
      fc.property(anyBuild, (given) => {
        const schedule = scheduleOf(facts(given));
        const { network, dates, finishOn } = schedule;
        expect(new Set(network.nodes.map(({ key }) => key)).size).toBe(network.nodes.length);
        network.nodes.forEach((_, at) => {
          const one = datedStep(schedule, at);
          expect(one.earlyStart >= '2026-03-02').toBe(true);
          expect(one.floatDays).toBeGreaterThanOrEqual(0);
          expect(one.earlyStart <= one.lateStart && one.earlyEnd <= one.lateEnd).toBe(true);
          expect(finishOn! >= one.earlyEnd || one.kind === 'mark').toBe(true);
        });
        for (const { from, to, type, lag } of network.links) {
          if (type === 'FS' && lag === 0)
            expect(dates.earlyStarts[to]).toBeGreaterThanOrEqual(dates.earlyEnds[from]!);
        }
        const chain = drivingChain(schedule);
        expect(chain.length > 0).toBe(network.nodes.length > 0);
        if (chain.length > 0) expect(dates.earlyEnds[chain.at(-1)!]).toBe(dates.finish);
        for (const { id } of network.openJobs) expect(schedule.jobTimes.has(id)).toBe(true);
      }),
      { seed: 21, numRuns: 400 },
    );
  });

  it('never finishes earlier for one more part, one more piece of work, or a later promise given today', () => {
    fc.assert(
      fc.property(anyBuild, fc.nat(), fc.integer({ min: 1, max: 30 }), (drawn, pick, more) => {
        const given = { ...drawn, links: [] };
        const finish = scheduleOf(facts(given)).dates.finish;
        const id = given.parts!.length + 1;
        const parents = given.parts!.filter(({ kind }) => kind === 'assembly' || kind === 'made');
        if (parents.length > 0) {
          const parent = parents[pick % parents.length]!;
          const bigger: Given = {
            ...given,
            parts: [...given.parts!, part(id, { makeDays: more })],
            uses: [...given.uses!, [parent.id, id, 1]],
          };
          // A made part that was loose counts only now: it can't have mattered before.
          expect(scheduleOf(facts(bigger)).dates.finish).toBeGreaterThanOrEqual(finish);
        }
        const work = job(100, { kind: 'other', days: more });
        expect(
          scheduleOf(facts({ ...given, jobs: [...given.jobs!, work] })).dates.finish,
        ).toBeGreaterThanOrEqual(finish);
        // A promise long broken is believed less than one that still holds, so that a later one may well end sooner.
        const promised = (days: number) =>
          given.jobs!.map((one) => ({
            ...one,
            claims: one.claims.map(({ id, milli, likelyDays }) =>
              claim(id, { milli, likelyDays: likelyDays + days }),
            ),
          }));
        const today = scheduleOf(facts({ ...given, jobs: promised(0) })).dates.finish;
        expect(scheduleOf(facts({ ...given, jobs: promised(more) })).dates.finish).toBeGreaterThanOrEqual(
          today,
        );
      }),
      { seed: 22, numRuns: 300 },
    );
  });
});
