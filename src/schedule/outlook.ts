import { addDays, type Day, dayWords } from '../platform/day.ts';
import { buildModel, type Change } from './build-model.ts';
import type { Telling } from './durations.ts';
import { findDuration, makeDuration } from './durations-makers.ts';
import { type ClaimInHand, claimsInHand } from './late-claims.ts';
import { type LeadStep, leadSteps } from './lead-steps.ts';
import { type Schedule, scheduleOf } from './schedule.ts';
import { type BuildModel, type BuildOutcome, shareOf } from './simulate.ts';
import { SPREAD_KNOTS, type Spread } from './spread.ts';
import { type Try, tried } from './what-if.ts';

/** The finish by the simulation; days are those of the last work, as the plan tells its own. */
export interface FinishSpread {
  at50: Day;
  at80: Day;
  at95: Day;
  /** share of the runs that are finished by the end of each day, for those days on which some are */
  curve: { day: Day; share: number }[];
}

/** What a step of the lead's saves, done today rather than a week from today. */
export interface NextStep extends LeadStep {
  /** calendar days of the finish, in the middle and at 80 of a hundred runs */
  saved50: number;
  saved80: number;
  /** of the mean finish */
  savedMean: number;
  /** the mean of saved50 and saved80, by hour of attention */
  perHour: number;
}

/** Something that would help where a claim may come late. */
export interface Help {
  kind: 'reminder' | 'second maker' | 'later gathering' | 'other order';
  /** days by which the mean finish comes nearer; may be below zero */
  gainDays: number;
  because: string;
}

/** What a maker has in hand, and what it may do to the finish. */
export interface LateClaim extends ClaimInHand {
  /** share of the runs in which it is posted after the day it is needed */
  chance: number;
  /** days of the mean finish that being late costs */
  damageDays: number;
  /** by which day 50 and 80 of a hundred runs have it posted */
  at50On: Day;
  at80On: Day;
  helps: Help[];
}

/** What the simulation says of a schedule. */
export interface Outlook {
  schedule: Schedule;
  outcome: BuildOutcome;
  meanFinish: number;
  /** null when nothing is left to do */
  finish: FinishSpread | null;
  /** what saves most by the hour first */
  next: NextStep[];
  /** what hurts most first */
  late: LateClaim[];
}

/** The model of a schedule with all that is asked of it, and what the answers will mean. */
export interface Questions {
  schedule: Schedule;
  model: BuildModel;
  steps: LeadStep[];
  claims: ClaimInHand[];
}

/** The first round: the finish, the lead's steps, the claims in hand. */
export function questionsOf(schedule: Schedule): Questions {
  const steps = leadSteps(schedule);
  const claims = claimsInHand(schedule);
  const tries: Change[][] = [
    ...steps.map(({ now }) => now),
    ...steps.map(({ later }) => later),
    ...claims.map(({ inTime }) => inTime),
  ];
  const due = claims.map(({ step, needBy }) => ({ step, by: needBy }));
  return { schedule, model: buildModel(schedule, { due, tries, inDetail: true }), steps, claims };
}

/** Puts the answers of the first round together. */
export function outlookOf({ schedule, steps, claims }: Questions, outcome: BuildOutcome): Outlook {
  const { calendar } = schedule.network;
  const { variantMean, variantAt50, variantAt80, lateShare, at50, at80 } = outcome;
  const meanFinish = outcome.finishes.reduce((sum, finish) => sum + finish, 0) / outcome.runs;
  const next = steps.map((step, at): NextStep => {
    const later = steps.length + at;
    const saved50 = variantAt50[later]! - variantAt50[at]!;
    const saved80 = variantAt80[later]! - variantAt80[at]!;
    const savedMean = variantMean[later]! - variantMean[at]!;
    return { ...step, saved50, saved80, savedMean, perHour: (saved50 + saved80) / 2 / step.hours };
  });
  next.sort(
    (a, b) =>
      b.perHour - a.perHour ||
      b.savedMean / b.hours - a.savedMean / a.hours ||
      a.floatDays - b.floatDays ||
      b.waiting - a.waiting ||
      (a.label < b.label ? -1 : 1),
  );
  const late = claims.map((claim, at): LateClaim => {
    const inTime = 2 * steps.length + at;
    return {
      ...claim,
      chance: lateShare[at]!,
      damageDays: meanFinish - variantMean[inTime]!,
      at50On: calendar.dayAt(at50[claim.step]!),
      at80On: calendar.dayAt(at80[claim.step]!),
      helps: [],
    };
  });
  late.sort((a, b) => b.damageDays - a.damageDays || b.chance - a.chance || a.claimId - b.claimId);
  return { schedule, outcome, meanFinish, finish: finishSpread(schedule, outcome), next, late };
}

export function finishSpread(
  { dates, finishOn, network }: Schedule,
  { finishes, runs }: BuildOutcome,
): FinishSpread | null {
  if (finishOn === null) return null;
  const { calendar } = network;
  // The morning after the last work, or the day of it: as in the plan.
  const past = dates.finish - calendar.momentOf(finishOn);
  const dayOf = (moment: number) => calendar.dayAt(Math.max(0, moment - past));
  const sorted = finishes.slice().sort();
  const curve: FinishSpread['curve'] = [];
  for (let run = 0; run < runs; run++) {
    if (run + 1 < runs && sorted[run + 1] === sorted[run]) continue;
    curve.push({ day: dayOf(sorted[run]!), share: (run + 1) / runs });
  }
  return {
    at50: dayOf(shareOf(sorted, 50)),
    at80: dayOf(shareOf(sorted, 80)),
    at95: dayOf(shareOf(sorted, 95)),
    curve,
  };
}

/** Help is worked out for so many claims, those that hurt most, and for none that costs less than this. */
const MOST_HELPED = 12;
export const LEAST_DAMAGE_DAYS = 0.1;

interface Ask {
  claim: LateClaim;
  kind: Help['kind'];
  because: string;
  change: Change;
}

/** The second round: what would help with the claims that hurt. */
export interface HelpQuestions {
  model: BuildModel;
  asks: Ask[];
}

/** @returns null when no claim hurts */
export function helpQuestions({ schedule, late }: Outlook): HelpQuestions | null {
  const { facts, network } = schedule;
  const telling: Telling = { facts, calendar: network.calendar, history: network.history };
  const asks = late
    .filter(({ damageDays }) => damageDays >= LEAST_DAMAGE_DAYS)
    .slice(0, MOST_HELPED)
    .flatMap((claim): Ask[] => {
      const { step, promised, partId, jobId } = claim;
      const job = network.openJobs.find(({ id }) => id === jobId) ?? null;
      const part = partId === null ? null : (facts.parts.get(partId) ?? null);
      const find = findDuration(telling, null);
      const make = makeDuration(telling, job && { ...job, claims: [] }, part);
      const asked: Ask[] = [
        {
          claim,
          kind: 'reminder',
          because:
            'counted as halving what would go beyond the promised day: common practice, no source; the day itself is only a promise',
          change: { step, kind: 'halfBeyond', value: Math.max(0, promised) },
        },
      ];
      if (find.spread && make.spread) {
        const perDay = make.working ? 7 / network.calendar.perWeek : 1;
        asked.push({
          claim,
          kind: 'second maker',
          because: `the sooner of the two: finding one takes ${find.days} days, making ${make.days} ${make.working ? 'working days' : 'days'} as the history has it`,
          change: { step, kind: 'soonerOf', value: oneAfterOther(find.spread, make.spread, perDay) },
        });
      }
      return asked;
    });
  if (asks.length === 0) return null;
  return { asks, model: buildModel(schedule, { tries: asks.map(({ change }) => [change]) }) };
}

/** Adds what the second round says. */
export function withHelps(outlook: Outlook, { asks }: HelpQuestions, { variantMean }: BuildOutcome): Outlook {
  const helps = new Map<number, Help[]>();
  asks.forEach(({ claim, kind, because }, at) => {
    const own = helps.get(claim.claimId) ?? [];
    own.push({ kind, because, gainDays: outlook.meanFinish - variantMean[at]! });
    helps.set(claim.claimId, own);
  });
  return {
    ...outlook,
    late: outlook.late.map((claim) => ({ ...claim, helps: helps.get(claim.claimId) ?? [] })),
  };
}

/** Other networks that are tried for claims that hurt. */
export interface OtherPlan {
  claimIds: number[];
  kind: 'later gathering' | 'other order';
  because: string;
  model: BuildModel;
}

/** So many other networks are tried at most: each is derived anew. */
const MOST_OTHER_PLANS = 8;
const LATER_BY_DAYS = [7, 14];

/**
 * The third round: a later date for the gathering ahead that a claim is needed at, and the fit-up that begins without
 * it. Each is a build of its own.
 *
 * A generator, so that deriving them does not hold up a page for longer than one of them takes.
 */
export function* otherPlans({ schedule, late, outcome }: Outlook): Generator<OtherPlan> {
  const { facts, network } = schedule;
  const hurting = late.filter(({ damageDays }) => damageDays >= LEAST_DAMAGE_DAYS).slice(0, MOST_HELPED);
  if (hurting.length === 0) return;
  let left = MOST_OTHER_PLANS;
  const modelOf = (tries: readonly Try[]) => {
    const { facts: changed, tweaks } = tried(facts, tries);
    return buildModel(scheduleOf(changed, { ...tweaks, history: network.history.for(changed) }), {
      runs: outcome.runs,
    });
  };
  const next = [...facts.gatherings].find(([, { fromOn }]) => fromOn >= facts.today);
  if (next) {
    const [gatheringId, gathering] = next;
    const atIt = new Set(
      network.nodes.flatMap(({ job }, at) => (job?.gatheringId === gatheringId ? [at] : [])),
    );
    const needed = hurting.filter(({ step }) => leadsTo(schedule, step, atIt));
    if (needed.length > 0) {
      for (const by of LATER_BY_DAYS) {
        const [fromOn, untilOn] = [addDays(gathering.fromOn, by), addDays(gathering.untilOn, by)];
        left -= 1;
        yield {
          claimIds: needed.map(({ claimId }) => claimId),
          kind: 'later gathering',
          because: `${gathering.title} ${by} days later, from ${dayWords(fromOn, facts.today)}`,
          model: modelOf([{ kind: 'gathering', gatheringId, fromOn, untilOn }]),
        };
      }
    }
  }
  for (const { claimId, partId } of hurting) {
    if (left === 0 || partId === null) continue;
    const parentId = facts.uses.find(({ childId }) => childId === partId)?.parentId;
    const parent = parentId === undefined ? undefined : facts.parts.get(parentId);
    if (parent?.kind !== 'assembly' || !network.readyMarks.has(parent.id)) continue;
    left -= 1;
    yield {
      claimIds: [claimId],
      kind: 'other order',
      because: `${parent.name} begun without it, and the part joins last`,
      model: modelOf([{ kind: 'without', partId, parentId: parent.id }]),
    };
  }
}

/** Whether any of some steps comes after a step, directly or not. */
function leadsTo({ graph }: Schedule, step: number, steps: ReadonlySet<number>): boolean {
  const { places, order, firstLink, linkTargets } = graph;
  const seen = new Set<number>([places[step]!]);
  // A set grows while it is gone through: what is found is looked at in its turn.
  for (const place of seen) {
    if (steps.has(order[place]!)) return true;
    for (let link = firstLink[place]!; link < firstLink[place + 1]!; link++) seen.add(linkTargets[link]!);
  }
  return false;
}

/** Adds what other plans come to: of the gathering's dates the better one. */
export function withOtherPlans(
  outlook: Outlook,
  plans: readonly { plan: OtherPlan; outcome: BuildOutcome }[],
): Outlook {
  const late = outlook.late.map((claim) => {
    const own = plans
      .filter(({ plan }) => plan.claimIds.includes(claim.claimId))
      .map(({ plan: { kind, because }, outcome: { finishes, runs } }): Help => {
        const mean = finishes.reduce((sum, finish) => sum + finish, 0) / runs;
        return { kind, because, gainDays: outlook.meanFinish - mean };
      });
    const best = new Map<Help['kind'], Help>();
    for (const help of own) {
      const before = best.get(help.kind);
      if (!before || help.gainDays > before.gainDays) best.set(help.kind, help);
    }
    return { ...claim, helps: [...claim.helps, ...best.values()].sort((a, b) => b.gainDays - a.gainDays) };
  });
  return { ...outlook, late };
}

/** The days of one thing and then another, neither of which tells of the other; the second in days of `scale`. */
function oneAfterOther(first: Spread, second: Spread, scale: number): Spread {
  // Each knot stands for an equal share: the sums of all pairs, in order, are the quantiles of the sum.
  const sums = new Float64Array(SPREAD_KNOTS * SPREAD_KNOTS);
  const [one, other] = [first.days(), second.days()];
  for (let k = 0; k < SPREAD_KNOTS; k++) {
    for (let l = 0; l < SPREAD_KNOTS; l++) sums[k * SPREAD_KNOTS + l] = one[k]! + other[l]! * scale;
  }
  sums.sort();
  const days = Float64Array.from(
    { length: SPREAD_KNOTS },
    (_, k) => sums[Math.round((k * (sums.length - 1)) / (SPREAD_KNOTS - 1))]!,
  );
  return { days: () => days, personId: 0 };
}
