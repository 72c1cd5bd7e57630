import { type ListWork, listWork } from './level-lists.ts';
import { breed, chanceOf } from './level-population.ts';
import { type LevelledEffort, type LevelledModel, type LevelledOutcome, LIMITS } from './levelled-model.ts';
import { type LevelledPass, type LevelledPlan, levelledPass } from './levelled-pass.ts';
import { linksInto } from './network-graph.ts';

/** Where a thread finds this module. */
export const levelledModule = import.meta.url;

/** `levelBuild` by the clock of this thread. */
export function levelBuildNow(model: LevelledModel): LevelledOutcome {
  return levelBuild(model, () => performance.now());
}

/** Of the effort, so much goes to the plan with all limits; the rest is shared by those with one limit each. */
const SHARE_OF_ALL = 0.55;
const SHARE_OF_ONE = 0.15;

/**
 * The plan of a build in which people have limited hours, the machine one job at a time in one spot, and gatherings
 * limited places, so that all is finished as early as can be found; and what the finish were with one of these limits
 * only. A finish is never before that of the plan without limits.
 *
 * @param now  milliseconds from any beginning, read now and then; without it only the number of schedules counts, and
 *             the same model has the same outcome
 *
 * Source: serial schedule generation, Kelley (1963); justification and breeding as in `levelSearch` and `breed`, over
 * the calendars of the network.
 */
export function levelBuild(model: LevelledModel, now?: () => number): LevelledOutcome {
  const { graph, effort } = model;
  const { count, order } = graph;
  const all = searched(model, LIMITS.all, share(effort, SHARE_OF_ALL), now);
  const alone = (limit: number) =>
    Math.min(all.finish, searched(model, limit, share(effort, SHARE_OF_ONE), now).finish);
  const [finishByHours, finishBySpots, finishByGatherings] = [
    alone(LIMITS.hours),
    alone(LIMITS.spots),
    alone(LIMITS.gatherings),
  ];

  const plan = emptyPlan(count);
  const waits = new Int32Array(count);
  const reasons = new Uint8Array(count);
  const finish = levelledPass(model, LIMITS.all).explained(all.list, plan, waits, reasons);
  const byStep = <A extends Int32Array | Uint8Array>(values: A, made: A): A => {
    for (let k = 0; k < count; k++) made[order[k]!] = values[k]!;
    return made;
  };
  return {
    finish,
    starts: byStep(plan.starts, new Int32Array(count)),
    ends: byStep(plan.ends, new Int32Array(count)),
    options: byStep(plan.options, new Int32Array(count)),
    waits: byStep(waits, new Int32Array(count)),
    reasons: byStep(reasons, new Uint8Array(count)),
    finishByHours,
    finishBySpots,
    finishByGatherings,
    schedulesTried: all.tried,
  };
}

function share({ seed, schedules, seconds }: LevelledEffort, part: number): LevelledEffort {
  return { seed, schedules: Math.max(1, Math.ceil(schedules * part)), seconds: seconds * part };
}

const emptyPlan = (count: number): LevelledPlan => ({
  starts: new Int32Array(count),
  ends: new Int32Array(count),
  options: new Int32Array(count).fill(-1),
});

interface Found {
  list: Int32Array;
  finish: number;
  tried: number;
}

/** Days of the finish count before everything; among equal ones, the plan whose steps end sooner on average. */
const FINE = 1024;

function searched(
  model: LevelledModel,
  limits: number,
  effort: LevelledEffort,
  now: (() => number) | undefined,
): Found {
  const { graph, earlyEnds } = model;
  const { count, order } = graph;
  if (count === 0) return { list: new Int32Array(0), finish: 0, tried: 0 };
  const begun = now?.() ?? 0;
  const pass = levelledPass(model, limits);
  const chance = chanceOf(effort.seed);
  const before = linksInto(graph);
  const after = { first: graph.firstLink, ids: graph.linkTargets };
  const tails = tailsOf(model);
  const inOrder = orders(model);
  const wished = new Int32Array(count);
  const span = earlyEnds.reduce((last, end) => Math.max(last, end), 0);
  const lists: ListWork = {
    ...listWork({ count, before: { first: before.firstLink, ids: before.sources }, after }, tails, chance),
    // by late start and a chance of some days: thousands of steps are often ready at once, too many to choose among
    sample(sampled, bias) {
      for (let k = 0; k < count; k++) wished[k] = chance(2 + (span >> (bias - 1))) - tails[k]!;
      inOrder.byStart(wished, sampled);
    },
  };

  const list = new Int32Array(count);
  const turned = new Int32Array(count);
  const plan = emptyPlan(count);
  const back = emptyPlan(count);
  const best: Found & { score: number } = {
    list: new Int32Array(count),
    finish: 0,
    score: Number.POSITIVE_INFINITY,
    tried: 0,
  };
  let tried = 0;
  const spent = () => Math.max(tried / effort.schedules, now ? (now() - begun) / (1000 * effort.seconds) : 0);
  const scoreOf = (finish: number, ends: Int32Array) => {
    let sum = 0;
    for (let k = 0; k < count; k++) sum += ends[k]!;
    return finish * FINE + Math.round((sum / count / (finish + 1)) * (FINE - 1));
  };
  const leastScore = scoreOf(span, earlyEnds);
  const ended = () => best.score <= leastScore || spent() >= 1;

  const laidOut = () => {
    const finish = pass.forwards(list, plan);
    tried++;
    const score = scoreOf(finish, plan.ends);
    if (score < best.score) {
      best.score = score;
      best.finish = finish;
      best.list.set(list);
    }
    return { finish, score };
  };
  /** Lays `list` out and justifies it for as long as that helps; leaves there the order of the starts. */
  const improved = () => {
    let { finish, score } = laidOut();
    let least = Number.POSITIVE_INFINITY;
    while (score < least && !ended()) {
      least = score;
      justify(pass, finish);
      ({ finish, score } = laidOut());
    }
    inOrder.byStart(plan.starts, list);
    return score;
  };
  function justify({ backwards }: LevelledPass, finish: number): void {
    inOrder.byEndFromLast(plan.ends, turned);
    backwards(turned, finish, back);
    tried++;
    inOrder.byStart(back.starts, list);
  }

  lists.byLatestFinish(list);
  breed({
    count,
    lists,
    chance,
    list,
    finishes: plan.ends,
    durations: Int32Array.from(order, (step) => earlyEnds[step]! - model.earlyStarts[step]!),
    work: Float64Array.from(order, (step) => workOf(model, step)),
    improved,
    ended,
    spent,
    tried: () => tried,
  });
  return { list: best.list, finish: best.finish, tried };
}

/** Days from the late start of each step to the finish, by place; what waits for another has no longer one. */
function tailsOf({ graph, lateStarts, earlyEnds }: LevelledModel): Int32Array {
  const { count, order, firstLink, linkTargets } = graph;
  const finish = earlyEnds.reduce((last, end) => Math.max(last, end), 0);
  const tails = Int32Array.from(order, (step) => Math.max(0, finish - lateStarts[step]!));
  for (let k = count - 1; k >= 0; k--) {
    for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
      tails[k] = Math.max(tails[k]!, tails[linkTargets[link]!]!);
    }
  }
  return tails;
}

/** How much a step takes of what is scarce: days of a person's, and those in its spot or at a gathering. */
function workOf({ firstOption, optionDays, spotOf, windowOf, days }: LevelledModel, step: number): number {
  const option = firstOption[step]!;
  const ofPeople = option < firstOption[step + 1]! ? optionDays[option]! : 0;
  return ofPeople + (spotOf[step]! >= 0 ? days[step]! : 0) + (windowOf[step]! >= 0 ? days[step]! : 0);
}

/** Sorts the places of a graph by moments, without letting any come before what it waits for. */
function orders({ graph }: LevelledModel) {
  const { count, firstLink, linkTargets } = graph;
  const moments = new Int32Array(count);
  const keys = new Float64Array(count);
  const sorted = (list: Int32Array) => {
    for (let k = 0; k < count; k++) keys[k] = moments[k]! * count + k;
    keys.sort();
    for (let at = 0; at < count; at++) list[at] = ((keys[at]! % count) + count) % count;
  };
  return {
    /** What begins first comes first. */
    byStart(starts: Int32Array, list: Int32Array): void {
      moments.set(starts);
      for (let k = 0; k < count; k++) {
        for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
          const j = linkTargets[link]!;
          if (moments[j]! < moments[k]!) moments[j] = moments[k]!;
        }
      }
      sorted(list);
    },
    /** What ends last comes first, and nothing before what waits for it. */
    byEndFromLast(ends: Int32Array, list: Int32Array): void {
      moments.set(ends);
      for (let k = count - 1; k >= 0; k--) {
        for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
          const j = linkTargets[link]!;
          if (moments[k]! > moments[j]!) moments[k] = moments[j]!;
        }
      }
      sorted(list);
      list.reverse();
    },
  };
}
