import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BuildFacts, GatheringFacts } from '../../src/schedule/build-facts.ts';
import { type Levelled, type LevelledStep, weeksOf } from '../../src/schedule/levelled.ts';
import { levelledQuestion } from '../../src/schedule/levelled-build.ts';
import { LIMITS } from '../../src/schedule/levelled-model.ts';
import { levelledPass } from '../../src/schedule/levelled-pass.ts';
import { linksInto } from '../../src/schedule/network-graph.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { facts, type Given, job, part } from './derive-facts.ts';
import { anyBuild, levelled } from './levelled-any.ts';
import { levelledFaults } from './levelled-checker.ts';

const plan = (given: Given, over: Partial<BuildFacts> = {}) => {
  const found = levelled({ ...facts(given), ...over });
  expect(levelledFaults(found)).toEqual([]);
  return found;
};
const stepOf = ({ question, steps }: Levelled, key: string): LevelledStep =>
  steps.find(({ at }) => question.schedule.network.nodes[at]!.key === key)!;
const daysOf = (found: Levelled, key: string) => {
  const { firstOn, lastOn, person } = stepOf(found, key);
  return [firstOn, lastOn, person?.name ?? null];
};

// The lead, Ottilie, has 10 h in a week of five days from Monday 2 March on, Tor of the crew 5 h.
describe('a levelled plan', () => {
  it('does one drawing after the other where each fills a week of the lead', () => {
    const draw = { kind: 'design', hours: 10 } as const;
    const found = plan({ jobs: [job(1, draw), job(2, draw)] });
    expect(found.steps.map(({ firstOn, lastOn }) => [firstOn, lastOn])).toEqual([
      ['2026-03-02', '2026-03-06'],
      ['2026-03-09', '2026-03-13'],
    ]);
    expect(found.question.schedule.finishOn).toBe('2026-03-06');
    expect(found.finishOn).toBe('2026-03-13');
    expect(found.lost).toEqual({ all: 7, hours: 7, spots: 0, gatherings: 0 });
    expect(found.steps[1]!.wait).toEqual({ days: 7, for: 'hours' });
    const ottilie = found.question.people[0]!;
    expect(weeksOf(found, ottilie, 3).map(({ used, there, work }) => [used, there, work.length])).toEqual([
      [expect.closeTo(10), 10, 1],
      [expect.closeTo(10), 10, 1],
      [0, 10, 0],
    ]);
  });

  it('puts as many short steps on one day as it has hours, and no more', () => {
    const short = { kind: 'other', hours: 0.5, personId: 1 } as const;
    const found = plan({ jobs: [1, 2, 3, 4, 5].map((id) => job(id, short)) });
    const days = found.steps.map(({ firstOn }) => firstOn);
    expect(days).toEqual(['2026-03-02', '2026-03-02', '2026-03-02', '2026-03-02', '2026-03-03']);
  });

  it('lets a step alone take more of a day, but not more of a week', () => {
    const saturday = { kind: 'other', hours: 4, days: 1, personId: 2 } as const;
    const found = plan({ jobs: [job(1, saturday), job(2, saturday)] });
    expect(found.steps.map(({ firstOn, workingDays }) => [firstOn, workingDays])).toEqual([
      ['2026-03-02', 1],
      ['2026-03-09', 1],
    ]);
  });

  it('stretches a step that asks more hours than its person has in any week', () => {
    const found = plan({ jobs: [job(1, { kind: 'other', hours: 8, days: 1, personId: 2 })] });
    expect(found.steps[0]).toMatchObject({ workingDays: 8, moreDays: 7, lastOn: '2026-03-11' });
    expect(found.lost).toMatchObject({ all: 9, hours: 9 });
  });

  it('runs a step that is longer than a week on into the next', () => {
    const found = plan({ jobs: [job(1, { kind: 'design', hours: 14 })] });
    const [first, second] = weeksOf(found, found.question.people[0]!, 2);
    expect([first!.used, second!.used]).toEqual([expect.closeTo(10), expect.closeTo(4)]);
    expect(first!.work[0]).toMatchObject({ from: '2026-03-02', until: '2026-03-06' });
  });

  it('gives work without a name to whoever can end it soonest, the crew before the lead', () => {
    const work = { kind: 'other', hours: 4, days: 1 } as const;
    const found = plan({ jobs: [job(1, work), job(2, work)] });
    expect(found.steps.map(({ firstOn, person }) => [firstOn, person!.name]).sort()).toEqual([
      ['2026-03-02', 'Ottilie'],
      ['2026-03-02', 'Tor'],
    ]);
  });

  it('waits for who is away, and has fewer hours in a week of which days are over or free', () => {
    const away = plan({
      jobs: [job(1, { kind: 'other', hours: 1, personId: 2 })],
      away: [[2, '2026-03-01', '2026-03-04']],
    });
    expect(daysOf(away, 'job-1')).toEqual(['2026-03-05', '2026-03-05', 'Tor']);
    const thursday = plan({ today: '2026-03-05', jobs: [job(1, { kind: 'design', hours: 1 })] });
    expect(
      weeksOf(thursday, thursday.question.people[0]!, 2).map(({ monday, there }) => [monday, there]),
    ).toEqual([
      ['2026-03-02', 4],
      ['2026-03-09', 10],
    ]);
  });

  it('counts an hour a day where nobody wrote hours down', () => {
    const given: Given = { jobs: [job(1, { kind: 'other', hours: 7, personId: 2 })] };
    const people = new Map(facts(given).people);
    people.set(2, { ...people.get(2)!, weeklyHours: 0 });
    const found = plan(given, { people });
    expect(found.question.people).toEqual([{ id: 2, name: 'Tor', weeklyHours: 5, isKnown: false }]);
    expect(stepOf(found, 'job-1').workingDays).toBe(7);
  });

  it('takes the hours of work under way that are left', () => {
    const begun = { kind: 'design', hours: 10, startedAt: '2026-02-26T08:00:00Z' } as const;
    const found = plan({ jobs: [job(1, begun)] });
    expect(found.steps[0]!.workingDays).toBe(3);
    expect(found.steps[0]!.hours).toBeCloseTo(6);
    expect(found.question.hours[found.steps[0]!.at]!.because).toContain('begun, 60 in 100 left');
  });

  it('goes on with what is under way before anything is begun', () => {
    const draw = { kind: 'design', hours: 10 } as const;
    const begun = { ...draw, startedAt: '2026-02-27T08:00:00Z' };
    const longer = { kind: 'trial', hours: 0.5, days: 20, personId: 2 } as const;
    const found = plan({
      jobs: [job(1, draw), job(2, begun), job(3, longer)],
      links: [{ fromId: 1, toId: 3, type: 'FS', lag: 0 }],
    });
    expect(stepOf(found, 'job-2').firstOn).toBe('2026-03-02');
    expect(stepOf(found, 'job-1').firstOn > '2026-03-02').toBe(true);
  });

  it('lets one job at a time into a spot, however it is written, and into a part', () => {
    const inside = (id: number, spot: string) => job(id, { kind: 'other', hours: 0.5, days: 3, spot });
    const found = plan({ jobs: [inside(1, 'Inside the case'), inside(2, ' inside the CASE')] });
    expect(found.steps.map(({ firstOn }) => firstOn)).toEqual(['2026-03-02', '2026-03-05']);
    expect(found.steps[1]!.wait).toEqual({ days: 3, for: 'spot' });
    expect(found.lost).toMatchObject({ hours: 0, spots: 5, gatherings: 0 });
    const trial = (id: number) => job(id, { kind: 'trial', partId: 1, hours: 0.5, days: 2 });
    const parts = [part(1, { kind: 'stock' })];
    expect(plan({ parts, jobs: [trial(1), trial(2)] }).lost.spots).toBe(2);
  });

  it('takes a place for each job at a gathering, one for a person with several, and nothing else of theirs there', () => {
    const meets = (id: number, personId: number | null) =>
      job(id, { kind: 'other', hours: 3, days: 1, gatheringId: 1, personId });
    const given: Given = {
      jobs: [
        meets(1, 2),
        meets(2, 2),
        meets(3, null),
        job(4, { kind: 'other', hours: 1, personId: 2, days: 6 }),
      ],
      gatherings: [[1, '2026-03-07', '2026-03-08']],
    };
    const gatherings = new Map([[1, { ...facts(given).gatherings.get(1)!, places: 1 }]]);
    const found = plan(given, { gatherings });
    const there = ['job-1', 'job-2', 'job-3'].map((key) => daysOf(found, key));
    expect(there.filter(([day]) => day === '2026-03-07').length).toBeGreaterThanOrEqual(1);
    expect(there[0]![0]).toBe(there[1]![0]);
    expect(there[2]![0]).not.toBe(there[0]![0]);
    expect(there[2]![2]).toBeNull();
    expect(found.lost.gatherings).toBeGreaterThanOrEqual(0);
    expect(stepOf(found, 'job-4').workedOn).not.toContain('2026-03-07');
    const [week] = weeksOf(found, found.question.people.find(({ name }) => name === 'Tor')!, 1);
    expect(week!.atGatherings).toBeCloseTo(6);
    expect(week!.used).toBeCloseTo(5 / 6);
  });

  it('keeps to the hours of a day at the gathering, and to the days and hours that those who come said', () => {
    const meets = (id: number) => job(id, { kind: 'other', hours: 3, days: 1, gatheringId: 1, personId: 2 });
    const given: Given = { jobs: [meets(1), meets(2)], gatherings: [[1, '2026-03-07', '2026-03-09']] };
    const firstDays = (over: Partial<GatheringFacts>) => {
      const gatherings = new Map([[1, { ...facts(given).gatherings.get(1)!, ...over }]]);
      return plan(given, { gatherings })
        .steps.map(({ firstOn }) => firstOn)
        .sort();
    };
    const says = (fromOn: string | null, untilOn: string | null, hours: number | null) =>
      firstDays({ comers: new Map([[2, { fromOn, untilOn, hours }]]) });
    expect(firstDays({})).toEqual(['2026-03-07', '2026-03-07']);
    expect(firstDays({ dayHours: 5 })).toEqual(['2026-03-07', '2026-03-08']);
    expect(says(null, null, 4)).toEqual(['2026-03-07', '2026-03-08']);
    expect(says('2026-03-09', null, null)).toEqual(['2026-03-09', '2026-03-09']);
    expect(says(null, '2026-03-07', 3)).toEqual(['2026-03-07', '2026-03-10']);
    // Days that lie in it no more: nobody is there, and the work goes on after it.
    expect(says('2026-03-20', null, null)[0]! > '2026-03-09').toBe(true);
  });

  it('holds for a gathering that is over, for one job only, and for nothing', () => {
    const over = job(1, { kind: 'other', hours: 1, gatheringId: 1 });
    const found = plan({ jobs: [over], gatherings: [[1, '2026-02-07', '2026-02-08']] });
    expect(daysOf(found, 'job-1')).toEqual(['2026-03-02', '2026-03-02', 'Tor']);
    expect(found.question.gatherings).toEqual([]);
    const nothing = plan({});
    expect(nothing).toMatchObject({ finishOn: null, steps: [], lost: { all: 0 } });
  });

  it('needs a lead for the lead’s work even where nobody has that role', () => {
    const given: Given = { jobs: [job(1, { kind: 'design', hours: 2 })] };
    const people = new Map(facts(given).people);
    people.delete(1);
    const found = plan(given, { people });
    expect(found.question.people).toEqual([{ id: 0, name: 'the lead', weeklyHours: 10, isKnown: true }]);
  });

  it('keeps every rule, for any build', () => {
    fc.assert(
      fc.property(anyBuild, (build) => {
        expect(levelledFaults(levelled(build))).toEqual([]);
      }),
      { seed: 31, numRuns: 400 },
    );
  });

  it('is the plan without limits where nothing is scarce', () => {
    fc.assert(
      fc.property(anyBuild, (drawn) => {
        const build: BuildFacts = {
          ...drawn,
          leadWeeklyHours: 1000,
          away: new Map(),
          jobs: drawn.jobs.map((one) => ({
            ...one,
            hours: 0.01,
            gatheringId: null,
            spot: `spot ${one.id}`,
            personId: one.kind === 'purchase' ? null : one.personId,
          })),
        };
        const { outcome, lost, question } = levelled(build);
        const { dates } = question.schedule;
        expect(lost).toEqual({ all: 0, hours: 0, spots: 0, gatherings: 0 });
        expect([...outcome.ends]).toEqual([...dates.earlyEnds]);
        expect([...outcome.starts]).toEqual([...dates.earlyStarts]);
      }),
      { seed: 32, numRuns: 200 },
    );
  });

  it('is the same each time for the same build, seed and number of schedules', () => {
    fc.assert(
      fc.property(anyBuild, (build) => {
        expect(levelled(build, 90).outcome).toEqual(levelled(build, 90).outcome);
      }),
      { seed: 33, numRuns: 40 },
    );
  });

  it('ends as early as the best of all orders of work, for small builds', () => {
    let compared = 0;
    fc.assert(
      fc.property(anyBuild, (build) => {
        const schedule = scheduleOf(build);
        const count = schedule.network.nodes.length;
        if (count === 0 || count > 7) return;
        compared++;
        expect(levelled(build, 400).outcome.finish).toBe(leastFinish(schedule));
      }),
      { seed: 34, numRuns: 400 },
    );
    expect(compared).toBeGreaterThan(40);
  });
});

/** The least finish of all lists of steps in which none comes before one it waits for. */
function leastFinish(schedule: ReturnType<typeof scheduleOf>): number {
  const { model } = levelledQuestion(schedule, { seed: 1, schedules: 1, seconds: 1 });
  const { count } = model.graph;
  const into = linksInto(model.graph);
  const pass = levelledPass(model, LIMITS.all);
  const made = { starts: new Int32Array(count), ends: new Int32Array(count), options: new Int32Array(count) };
  let least = Number.POSITIVE_INFINITY;
  const extend = (list: number[]) => {
    if (list.length === count) least = Math.min(least, pass.forwards(Int32Array.from(list), made));
    for (let k = 0; k < count; k++) {
      const before = [...into.sources.subarray(into.firstLink[k]!, into.firstLink[k + 1]!)];
      if (!list.includes(k) && before.every((source) => list.includes(source))) extend([...list, k]);
    }
  };
  extend([]);
  return least;
}

describe('the checker of levelled plans', () => {
  const two: Given = {
    jobs: [
      job(1, { kind: 'design', hours: 10 }),
      job(2, { kind: 'design', hours: 10 }),
      job(3, { kind: 'other', hours: 1, days: 2, spot: 'Bench' }),
      job(4, { kind: 'other', hours: 1, days: 2, spot: 'Bench' }),
      job(5, { kind: 'other', hours: 1, days: 1, gatheringId: 1 }),
      job(6, { kind: 'other', hours: 1, days: 1, gatheringId: 1 }),
    ],
    links: [{ fromId: 3, toId: 1, type: 'SS', lag: 0 }],
    gatherings: [[1, '2026-03-07', '2026-03-08']],
  };
  const build = {
    ...facts(two),
    gatherings: new Map([[1, { ...facts(two).gatherings.get(1)!, places: 1 }]]),
  };
  const moved = (key: string, to: number): string[] => {
    const found = levelled(build);
    expect(levelledFaults(found)).toEqual([]);
    const at = found.question.schedule.network.nodes.findIndex((node) => node.key === key);
    const by = to - found.outcome.starts[at]!;
    expect(by).not.toBe(0);
    found.outcome.starts[at]! += by;
    found.outcome.ends[at]! += by;
    return levelledFaults(found);
  };
  const sooner = (one: string, other: string) => {
    const { outcome, question } = levelled(build);
    const at = (key: string) => question.schedule.network.nodes.findIndex((node) => node.key === key);
    const [first, second] =
      outcome.starts[at(one)]! < outcome.starts[at(other)]! ? [one, other] : [other, one];
    return { second, start: outcome.starts[at(first)]! };
  };

  it('sees hours, spots, places, links and days that are not kept', () => {
    const drawings = sooner('job-1', 'job-2');
    expect(moved(drawings.second, drawings.start).join('\n')).toMatch(/day 1 \d+: 4 h of 2 in 2 steps/);
    expect(moved(drawings.second, drawings.start).join('\n')).toMatch(/week 1 2026-03-02: 20 h of 10/);
    const bench = sooner('job-3', 'job-4');
    expect(moved(bench.second, bench.start).join('\n')).toContain('bench: job-3 and job-4 at once');
    const meeting = sooner('job-5', 'job-6');
    expect(moved(meeting.second, meeting.start).join('\n')).toContain('2 places of 1');
    expect(moved('job-3', 21).join('\n')).toContain('breaks its SS link');
    expect(moved('job-4', -7).join('\n')).toContain('begins on -7');
    expect(moved('job-5', 4).join('\n')).toContain('not before 5');
    expect(moved('job-4', 5).join('\n')).toContain('is worked on for 0 days');
  });
});
