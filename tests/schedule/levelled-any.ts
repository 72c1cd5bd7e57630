import fc from 'fast-check';
import { addDays } from '../../src/platform/day.ts';
import type { BuildFacts } from '../../src/schedule/build-facts.ts';
import { type Levelled, levelledOf } from '../../src/schedule/levelled.ts';
import { levelledQuestion } from '../../src/schedule/levelled-build.ts';
import { levelBuild } from '../../src/schedule/levelled-search.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { claim, facts, job, part, TODAY } from './derive-facts.ts';

/** The levelled plan of a build, by so many schedules and no clock. */
export function levelled(build: BuildFacts, schedules = 60): Levelled {
  const question = levelledQuestion(scheduleOf(build), { seed: 1, schedules, seconds: 1 });
  return levelledOf(question, levelBuild(question.model));
}

const kinds = ['design', 'fabricate', 'purchase', 'fit-up', 'trial', 'other'] as const;

/** Any small build: people away, closures, gatherings past and ahead with few places, spots, links of each type. */
export const anyBuild: fc.Arbitrary<BuildFacts> = fc
  .record({
    weekday: fc.nat(6),
    kinds: fc.array(
      fc.constantFrom('assembly' as const, 'made' as const, 'bought' as const, 'stock' as const),
      {
        minLength: 1,
        maxLength: 7,
      },
    ),
    picks: fc.array(fc.tuple(fc.nat(), fc.nat(), fc.integer({ min: 1, max: 3 })), { maxLength: 10 }),
    released: fc.array(fc.nat(6), { maxLength: 4 }),
    jobs: fc.array(
      fc.record({
        kind: fc.constantFrom(...kinds),
        on: fc.option(fc.nat(6)),
        days: fc.option(fc.integer({ min: 1, max: 12 })),
        hours: fc.option(fc.constantFrom(0.5, 1, 2, 3, 4.5, 7, 10, 33)),
        personId: fc.option(fc.constantFrom(1, 2, 2, 3)),
        spot: fc.constantFrom('', '', 'Bench', ' bench', 'Inside'),
        meets: fc.option(fc.nat(2)),
        begun: fc.option(fc.nat(20)),
      }),
      { maxLength: 9 },
    ),
    links: fc.array(
      fc.tuple(
        fc.nat(8),
        fc.nat(8),
        fc.constantFrom('FS' as const, 'SS' as const, 'FF' as const, 'SF' as const),
        fc.integer({ min: -5, max: 9 }),
      ),
      { maxLength: 5 },
    ),
    away: fc.array(fc.tuple(fc.constantFrom(1, 1, 2, 3), fc.integer({ min: -5, max: 40 }), fc.nat(12)), {
      maxLength: 3,
    }),
    closures: fc.array(fc.tuple(fc.integer({ min: -5, max: 30 }), fc.nat(8)), { maxLength: 2 }),
    gatherings: fc.array(
      fc.tuple(
        fc.integer({ min: -20, max: 50 }),
        fc.nat(3),
        fc.integer({ min: 1, max: 2 }),
        fc.constantFrom(2, 5, 8),
      ),
      { minLength: 3, maxLength: 3 },
    ),
    comers: fc.array(
      fc.record({
        at: fc.constantFrom(1, 2, 3),
        personId: fc.constantFrom(1, 2, 3),
        from: fc.option(fc.nat(4)),
        until: fc.option(fc.nat(4)),
        hours: fc.option(fc.constantFrom(1, 3, 8)),
      }),
      { maxLength: 5 },
    ),
    leadWeeklyHours: fc.constantFrom(1.5, 4, 10, 40),
    crewHours: fc.constantFrom(0, 2, 5, 30),
  })
  .map((drawn) => {
    const today = addDays(TODAY, drawn.weekday);
    const count = drawn.kinds.length;
    const run = (from: number, length: number): [string, string] => [
      addDays(today, from),
      addDays(today, from + length),
    ];
    const uses = new Map<string, [number, number, number]>();
    for (const [a, b, pieces] of drawn.picks) {
      const parent = 1 + (a % count);
      const child = 1 + (b % count);
      const kind = drawn.kinds[parent - 1];
      if (parent < child && (kind === 'assembly' || kind === 'made')) {
        uses.set(`${parent} ${child}`, [parent, child, pieces]);
      }
    }
    const build = facts({
      today,
      parts: drawn.kinds.map((kind, index) => part(index + 1, { kind, designHours: index % 2 ? 3 : null })),
      uses: [...uses.values()],
      released: [...new Set(drawn.released.map((n) => 1 + (n % count)))],
      jobs: drawn.jobs.map(({ kind, on, days, hours, personId, spot, meets, begun }, index) => {
        const needsPart = kind === 'fabricate' || kind === 'fit-up' || kind === 'purchase';
        const partId = on === null ? (needsPart ? 1 : null) : 1 + (on % count);
        const since = begun === null ? null : `${addDays(today, -begun)}T08:00:00.000Z`;
        const isWork = kind !== 'fabricate' && kind !== 'purchase';
        return job(index + 1, {
          kind,
          partId,
          days: isWork ? days : null,
          hours,
          personId: kind === 'fabricate' ? null : personId,
          spot,
          gatheringId: kind === 'fabricate' || meets === null ? null : meets + 1,
          startedAt: isWork ? since : null,
          orderedAt: kind === 'purchase' ? since : null,
          offeredAt: kind === 'fabricate' ? since : null,
          claims: kind === 'fabricate' && since ? [claim(index + 1, { claimedAt: since })] : [],
        });
      }),
      links: drawn.links.flatMap(([a, b, type, lag]) => {
        const most = Math.max(1, drawn.jobs.length);
        const link = { fromId: 1 + (a % most), toId: 1 + (b % most), type, lag };
        return link.fromId === link.toId || drawn.jobs.length === 0 ? [] : [link];
      }),
      away: drawn.away.map(([id, from, length]) => [id, ...run(from, length)]),
      closures: drawn.closures.map(([from, length]) => run(from, length)),
      gatherings: drawn.gatherings.map(([from, length], index) => [index + 1, ...run(from, length)]),
    });
    const gatherings = new Map(
      [...build.gatherings].map(([id, one]) => {
        const [, , places, dayHours] = drawn.gatherings[id - 1]!;
        const on = (days: number | null) => (days === null ? null : addDays(one.fromOn, days));
        const comers = new Map(
          drawn.comers
            .filter(({ at }) => at === id)
            .map(({ personId, from, until, hours }) => [
              personId,
              { fromOn: on(from), untilOn: on(until), hours },
            ]),
        );
        return [id, { ...one, places, dayHours, comers }];
      }),
    );
    const people = new Map(build.people).set(2, { ...build.people.get(2)!, weeklyHours: drawn.crewHours });
    return { ...build, gatherings, people, leadWeeklyHours: drawn.leadWeeklyHours };
  });
