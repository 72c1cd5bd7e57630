import { describe, expect, it } from 'vitest';
import { LEFT_FOR_DAYS, leadSteps } from '../../src/schedule/lead-steps.ts';
import { hoursThisWeek, leadWeek } from '../../src/schedule/lead-week.ts';
import { reasonOfNext } from '../../src/schedule/next-view.ts';
import {
  helpQuestions,
  otherPlans,
  outlookOf,
  questionsOf,
  withHelps,
  withOtherPlans,
} from '../../src/schedule/outlook.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { simulateBuild } from '../../src/schedule/simulate.ts';
import { claim, facts, frame, type Given, job, part } from './derive-facts.ts';

/** The outlook of a small build, with both rounds, from its facts. */
function outlook(given: Given) {
  const questions = questionsOf(scheduleOf(facts(given)));
  const first = outlookOf(questions, simulateBuild(questions.model));
  const more = helpQuestions(first);
  return more ? withHelps(first, more, simulateBuild(more.model)) : first;
}

/** A frame of a post that a maker has in hand for long, and of a plate that nobody has drawn. */
const build: Given = {
  parts: [frame, part(2, { name: 'Post' }), part(3, { name: 'Plate', designHours: 10 })],
  uses: [
    [1, 2, 1],
    [1, 3, 1],
  ],
  released: [2],
  jobs: [
    job(7, {
      partId: 2,
      revisionId: 2,
      offeredAt: '2026-02-20T08:00:00.000Z',
      claims: [claim(70, { jobId: 7, soonestDays: 50, likelyDays: 60, latestDays: 120 })],
    }),
  ],
};

describe('outlookOf', () => {
  it('gives the finish at 50, 80 and 95 of a hundred, in order, and a curve that rises to one', () => {
    const { finish, schedule } = outlook(build);
    expect(finish!.at50 <= finish!.at80 && finish!.at80 <= finish!.at95).toBe(true);
    expect(finish!.at50 >= schedule.facts.today).toBe(true);
    const shares = finish!.curve.map(({ share }) => share);
    expect(shares.at(-1)).toBe(1);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(new Set(finish!.curve.map(({ day }) => day)).size).toBe(shares.length);
  });

  it('finds by recomputing what a step saves: nothing beside a longer branch, a week on the longest', () => {
    const beside = outlook(build).next.find(({ act }) => act === 'draw')!;
    expect(beside).toMatchObject({ key: 'part-3-design', hours: 10 });
    expect(Math.abs(beside.saved50)).toBeLessThan(0.2);
    // without the maker's long promise the drawing is what everything waits for
    const alone = outlook({ ...build, jobs: [], released: [] }).next;
    const longest = alone.find(({ key }) => key === 'part-3-design')!;
    expect(longest.saved50).toBeGreaterThan(0);
    expect(longest.saved50).toBeLessThanOrEqual(LEFT_FOR_DAYS + 2);
    expect(longest.perHour).toBeCloseTo((longest.saved50 + longest.saved80) / 2 / 10, 9);
    const shares = alone.map(({ perHour }) => perHour);
    expect(shares).toEqual([...shares].sort((a, b) => b - a));
  });

  it('says why in a sentence, and who sits idle', () => {
    const given: Given = {
      ...build,
      jobs: [],
      parts: [frame, part(2, { name: 'Post' }), part(3, { name: 'Plate', designHours: 10, processId: 5 })],
      toolsFor: [[5, [3, 4]]],
    };
    const { next, schedule } = outlook(given);
    const step = next.find(({ key }) => key === 'part-3-design')!;
    expect(step.idle).toEqual([3, 4]);
    const reason = reasonOfNext(step, schedule);
    expect(reason).toContain('Frame waits for it');
    expect(reason).toContain('Imre, Aud have the tools and nothing in hand');
    // who has something in hand is not idle
    const busy = outlook({ ...given, jobs: build.jobs! }).next;
    expect(busy.find(({ key }) => key === 'part-3-design')!.idle).toEqual([4]);
  });

  it('tells the chance and the damage of a claim that is needed sooner than promised, and what would help', () => {
    const { late } = outlook({
      ...build,
      jobs: [
        {
          ...build.jobs![0]!,
          claims: [claim(70, { jobId: 7, soonestDays: 20, likelyDays: 60, latestDays: 240 })],
        },
      ],
    });
    expect(late).toHaveLength(1);
    const [one] = late;
    expect(one!.chance).toBeGreaterThan(0.3);
    expect(one!.chance).toBeLessThan(0.7);
    expect(one!.damageDays).toBeGreaterThan(1);
    const gain = Object.fromEntries(one!.helps.map(({ kind, gainDays }) => [kind, gainDays]));
    expect(gain.reminder).toBeGreaterThan(0);
    // a second maker from the pool takes 7 + 14 days where the first takes sixty
    expect(gain['second maker']).toBeGreaterThan(gain.reminder!);
  });

  it('computes a later gathering and another order of fitting for a claim that is needed there', () => {
    const given: Given = {
      ...build,
      parts: [{ ...frame, makeDays: 40 }, part(2, { name: 'Post' })],
      uses: [[1, 2, 1]],
      gatherings: [
        [5, '2026-04-25', '2026-04-28'],
        [6, '2026-11-02', '2026-11-04'],
      ],
      jobs: [
        {
          ...build.jobs![0]!,
          claims: [claim(70, { jobId: 7, soonestDays: 20, likelyDays: 45, latestDays: 60 })],
        },
        job(9, { kind: 'fit-up', partId: 1, gatheringId: 5, days: 3 }),
      ],
    };
    const first = outlook(given);
    const plans = [...otherPlans(first)];
    expect(plans.map(({ kind }) => kind)).toEqual(['later gathering', 'later gathering', 'other order']);
    const { late } = withOtherPlans(
      first,
      plans.map((plan) => ({ plan, outcome: simulateBuild(plan.model) })),
    );
    const gathering = late[0]!.helps.find(({ kind }) => kind === 'later gathering')!;
    // in April many of the posts come too late and wait for November; a week or two later most are there
    expect(gathering.gainDays).toBeGreaterThan(20);
    expect(gathering.because).toContain('14 days later');
    expect(late[0]!.helps.filter(({ kind }) => kind === 'later gathering')).toHaveLength(1);
    expect(late[0]!.helps.map(({ gainDays }) => gainDays)).toEqual(
      late[0]!.helps.map(({ gainDays }) => gainDays).sort((a, b) => b - a),
    );
    expect([...otherPlans(outlook(build))].every(({ kind }) => kind === 'other order')).toBe(true);
  });

  it('needs a claim by the day of the plan as promised: one long overdue is late in every run', () => {
    const { late } = outlook({
      ...build,
      jobs: [
        { ...build.jobs![0]!, claims: [claim(70, { jobId: 7, claimedAt: '2025-11-01T08:00:00.000Z' })] },
      ],
      parts: [frame, part(2, { name: 'Post' })],
      uses: [[1, 2, 1]],
    });
    expect(late[0]).toMatchObject({ claimId: 70, needByOn: '2026-03-02', chance: 1 });
    expect(late[0]!.damageDays).toBeGreaterThan(0);
  });

  it('does not blame a claim that nothing waits for', () => {
    const { late } = outlook({
      ...build,
      jobs: [
        ...build.jobs!,
        job(8, {
          partId: 3,
          offeredAt: '2026-02-20T08:00:00.000Z',
          claims: [claim(80, { jobId: 8, likelyDays: 2, soonestDays: 1, latestDays: 3 })],
        }),
      ],
    });
    const harmless = late.find(({ claimId }) => claimId === 80)!;
    expect(harmless.damageDays).toBeCloseTo(0, 6);
    expect(harmless.helps).toEqual([]);
    expect(late[0]!.claimId).toBe(70);
  });

  it('counts a query as a week of making, and a decision as a week for all that waits for it', () => {
    const { next } = outlook({
      ...build,
      queries: [{ id: 4, jobId: 7, askedById: 3, askedAt: '2026-03-01T08:00:00.000Z' }],
      jobs: [...build.jobs!, job(9, { kind: 'other', title: 'Clear the room', days: 90 })],
      decisions: [{ id: 6, jobId: 9, partId: null, question: 'Which room?', gatheringId: null }],
    });
    const query = next.find(({ act }) => act === 'answer')!;
    expect(query).toMatchObject({ key: 'query-4', label: 'Answer Imre on Post', idle: [3] });
    const decision = next.find(({ act }) => act === 'decide')!;
    expect(decision).toMatchObject({ key: 'decision-6', jobId: 9 });
    // ninety working days are the longest: a week later they end a week later
    expect(decision.saved50).toBeCloseTo(7, 0);
  });

  it('has nothing to say of a build with nothing left to do', () => {
    expect(outlook({})).toMatchObject({ finish: null, next: [], late: [] });
  });
});

describe('leadSteps', () => {
  it('takes the hours of the job, then of the part, then usual ones, and says which', () => {
    const steps = leadSteps(
      scheduleOf(
        facts({
          ...build,
          parts: [...build.parts!, part(4, { name: 'Pin' }), part(5, { name: 'Cap' })],
          uses: [...build.uses!, [1, 4, 1], [1, 5, 1]],
          jobs: [job(11, { kind: 'design', partId: 4, hours: 3 })],
        }),
      ),
    );
    const of = (key: string) => steps.find((step) => step.key === key)!;
    expect(of('job-11')).toMatchObject({ hours: 3, hoursBecause: 'job 11 says 3 h' });
    expect(of('part-3-design')).toMatchObject({ hours: 10, hoursBecause: 'the part says 10 h' });
    expect(of('part-5-design').hoursBecause).toBe('nobody estimated it: usually 4 h');
  });
});

describe('leadSteps, bad figures', () => {
  it('takes an estimate of no hours as none: days by the hour stay a number', () => {
    const { next } = outlook({
      parts: [frame, part(3, { designHours: 0 }), part(4)],
      uses: [
        [1, 3, 1],
        [1, 4, 1],
      ],
      jobs: [job(8, { kind: 'design', partId: 4, hours: 0 })],
    });
    const drawings = next.filter(({ act }) => act === 'draw');
    expect(drawings).toHaveLength(2);
    for (const { hours, perHour } of drawings) {
      expect(hours).toBe(4);
      expect(Number.isFinite(perHour)).toBe(true);
    }
  });
});

describe('leadWeek', () => {
  it('fills the hours with what saves most by the hour, then with what has least float, and begins what is too long', () => {
    const { next } = outlook({ ...build, jobs: [], released: [] });
    const { plan, left } = leadWeek(next, 6);
    expect(plan.reduce((sum, { hours }) => sum + hours, left)).toBe(6);
    expect(plan.filter(({ isWhole }) => !isWhole).length).toBeLessThanOrEqual(1);
    for (const { step, hours, isWhole } of plan)
      expect(isWhole ? step.hours === hours : step.hours > hours).toBe(true);
    expect(leadWeek(next, 0)).toEqual({ plan: [], left: 0 });
    expect(leadWeek([], 6)).toEqual({ plan: [], left: 6 });
  });

  it('leaves out days away and closures', () => {
    expect(hoursThisWeek(facts({})).hours).toBe(10);
    expect(hoursThisWeek(facts({ closures: [['2026-03-03', '2026-03-04']] }))).toEqual({
      hours: 6,
      because: '10 h a week by the settings, 3 of 5 working days in the next seven',
    });
    expect(hoursThisWeek(facts({ away: [[1, '2026-03-01', '2026-04-01']] })).hours).toBe(0);
  });
});
