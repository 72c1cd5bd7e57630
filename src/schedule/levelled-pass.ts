import {
  type DayCounter,
  earliestStart,
  endOf,
  lagAfter,
  latestBefore,
  latestStart,
  tableCalendar,
} from './calendar.ts';
import { type LevelledModel, LIMITS, WAITS } from './levelled-model.ts';
import { roomOf, type Work } from './levelled-room.ts';
import { linkCode, linksInto } from './network-graph.ts';

/** A plan while it is being searched: by place in the order of work. Moments as in calendar.ts. */
export interface LevelledPlan {
  starts: Int32Array;
  ends: Int32Array;
  options: Int32Array;
}

/** Lays a build out in an order of its steps, forwards from today or backwards from a finish. */
export interface LevelledPass {
  /**
   * Serial schedule generation: step after step as early as its links and what is left allow, work under way first.
   *
   * @param list  places in the order of work, none before one it waits for
   * @returns     the greatest end
   */
  forwards(list: Int32Array, plan: LevelledPlan): number;
  /**
   * The same from the end: step after step as late as allows the finish. Days before today are free and have room for
   * everything, and nothing is held by a day before which it can't begin: it tells an order, not a plan.
   *
   * @param list  none after one it waits for
   */
  backwards(list: Int32Array, finish: number, plan: LevelledPlan): void;
  /** `forwards`, telling for each step by how many days it waits, and why: values of `WAITS`. */
  explained(list: Int32Array, plan: LevelledPlan, waits: Int32Array, reasons: Uint8Array): number;
}

const toFinish = linkCode.FF;
const fromStart = linkCode.SS;

/** The pass over a model; `limits` are bits of `LIMITS`. Arrays are made once. */
export function levelledPass(model: LevelledModel, limits: number): LevelledPass {
  const { graph, firstOption, optionPeople, optionDays, optionHours } = model;
  const { count, order, firstLink, linkTargets, linkTypes, lags } = graph;
  const into = linksInto(graph);
  const calendars = model.calendars.map(tableCalendar);
  const build = calendars[0]!;
  const room = roomOf(model, limits);
  const hasHours = (limits & LIMITS.hours) !== 0;
  const hasSpots = (limits & LIMITS.spots) !== 0;
  const hasGatherings = (limits & LIMITS.gatherings) !== 0;

  // by place in the order of work, as the pass goes through memory
  const notBefore = Int32Array.from(order, (step) => Math.max(0, model.earlyStarts[step]!));
  const days = Int32Array.from(order, (step) => model.days[step]!);
  const own = Array.from(order, (step): DayCounter | null => calendars[model.calendarOf[step]!] ?? null);
  /** the ways in which a step can be done; none where it needs nothing that is scarce */
  const ways = Array.from(order, (step) => waysOf(step));

  function waysOf(step: number): { work: Work; option: number }[] {
    const calendar = calendars[model.calendarOf[step]!];
    const length = model.days[step]!;
    if (!calendar || length === 0) return [];
    const window = model.windowOf[step]!;
    const spot = model.spotOf[step]!;
    const isNamed = model.isNamed[step] === 1;
    const options = Array.from(
      { length: firstOption[step + 1]! - firstOption[step]! },
      (_, k) => firstOption[step]! + k,
    );
    if (window >= 0 && (hasHours || hasGatherings)) {
      const people = options.length > 0 ? options : [-1];
      return people.map((option) => ({
        option,
        work: {
          calendar,
          days: length,
          hours: option < 0 ? 0 : (optionHours[option]! * optionDays[option]!) / length,
          person: option < 0 ? -1 : optionPeople[option]!,
          spot,
          window,
          isNamed,
        },
      }));
    }
    if (hasHours && window < 0 && options.length > 0) {
      return options.map((option) => {
        const person = optionPeople[option]!;
        return {
          option,
          work: {
            calendar: calendars[model.people.calendars[person]!]!,
            days: optionDays[option]!,
            hours: optionHours[option]!,
            person,
            spot,
            window: -1,
            isNamed,
          },
        };
      });
    }
    if (!hasSpots || spot < 0) return [];
    return [
      { option: -1, work: { calendar, days: length, hours: 0, person: -1, spot, window: -1, isNamed } },
    ];
  }

  // work under way is never set aside: what has the least float comes first
  const isFirst = new Uint8Array(count);
  const begun: number[] = [];
  for (let k = 0; k < count; k++) {
    const waits = into.firstLink[k + 1]! > into.firstLink[k]!;
    if (model.isBegun[order[k]!] === 0 || waits || ways[k]!.length === 0) continue;
    isFirst[k] = 1;
    begun.push(k);
  }
  begun.sort(
    (one, other) => model.lateStarts[order[one]!]! - model.lateStarts[order[other]!]! || one - other,
  );

  /** Visits what is under way, then the rest in the order of the list. */
  function inTurn(list: Int32Array, visit: (k: number) => void): void {
    for (const k of begun) visit(k);
    for (let at = 0; at < count; at++) if (isFirst[list[at]!] === 0) visit(list[at]!);
  }

  /** The bounds that links and days put on a step: it must not begin before the one nor end before the other. */
  let startBound = 0;
  let endBound = 0;
  function boundsFrom(k: number, { starts, ends }: LevelledPlan): void {
    startBound = notBefore[k]!;
    endBound = 0;
    for (let link = into.firstLink[k]!, last = into.firstLink[k + 1]!; link < last; link++) {
      const source = into.sources[link]!;
      const type = into.types[link]!;
      const moment = lagAfter(build, type & fromStart ? starts[source]! : ends[source]!, into.lags[link]!);
      if (type & toFinish) endBound = Math.max(endBound, moment);
      else startBound = Math.max(startBound, moment);
    }
  }

  function soonest(calendar: DayCounter | null, length: number): number {
    const isWorking = calendar !== null;
    return Math.max(startBound, earliestStart(calendar ?? build, endBound, length, isWorking));
  }

  function place(k: number, plan: LevelledPlan): void {
    boundsFrom(k, plan);
    const choices = ways[k]!;
    if (choices.length === 0) {
      const calendar = own[k]!;
      const start = soonest(calendar, days[k]!);
      plan.starts[k] = start;
      plan.ends[k] = endOf(calendar ?? build, start, days[k]!, calendar !== null);
      plan.options[k] = -1;
      return;
    }
    let best = choices[0]!;
    let bestFrom = 0;
    let bestStart = 0;
    let bestEnd = Number.MAX_SAFE_INTEGER;
    for (const choice of choices) {
      const { work } = choice;
      const start = soonest(work.calendar, work.days);
      const first = work.calendar.workingBefore(start);
      if (work.calendar.workingDay(first + work.days - 1) + 1 >= bestEnd) continue;
      const from = room.room(work, first, 1);
      const end = work.calendar.workingDay(from + work.days - 1) + 1;
      if (end >= bestEnd) continue;
      best = choice;
      bestFrom = from;
      bestStart = from === first ? start : work.calendar.workingDay(from);
      bestEnd = end;
    }
    room.take(best.work, bestFrom, 1);
    plan.starts[k] = bestStart;
    plan.ends[k] = bestEnd;
    plan.options[k] = best.option;
  }

  function forwards(list: Int32Array, plan: LevelledPlan): number {
    room.clear();
    let finish = 0;
    inTurn(list, (k) => {
      place(k, plan);
      if (plan.ends[k]! > finish) finish = plan.ends[k]!;
    });
    return finish;
  }

  function placeBack(k: number, finish: number, plan: LevelledPlan): void {
    let latestEnd = finish;
    let latest = Number.MAX_SAFE_INTEGER;
    for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
      const j = linkTargets[link]!;
      const type = linkTypes[link]!;
      const moment = latestBefore(build, type & toFinish ? plan.ends[j]! : plan.starts[j]!, lags[link]!);
      if (type & fromStart) latest = Math.min(latest, moment);
      else latestEnd = Math.min(latestEnd, moment);
    }
    const choices = ways[k]!;
    if (choices.length === 0) {
      const calendar = own[k]!;
      const isWorking = calendar !== null;
      const start = Math.min(latest, latestStart(calendar ?? build, latestEnd, days[k]!, isWorking));
      plan.starts[k] = start;
      plan.ends[k] = endOf(calendar ?? build, start, days[k]!, isWorking);
      return;
    }
    let best = choices[0]!;
    let bestFrom = 0;
    let bestStart = Number.MIN_SAFE_INTEGER;
    for (const choice of choices) {
      const { work } = choice;
      const byEnd = work.calendar.workingBefore(latestEnd) - 1;
      const byStart =
        latest === Number.MAX_SAFE_INTEGER
          ? byEnd
          : work.calendar.workingBefore(latest + 1) - 1 + (work.days - 1);
      const from = room.room(work, Math.min(byEnd, byStart), -1);
      const start = work.calendar.workingDay(from - work.days + 1);
      if (start <= bestStart) continue;
      best = choice;
      bestFrom = from;
      bestStart = start;
    }
    room.take(best.work, bestFrom, -1);
    plan.starts[k] = bestStart;
    plan.ends[k] = best.work.calendar.workingDay(bestFrom) + 1;
  }

  /** Why a step that is about to be placed waits, and how long: each limit alone, with what is left of it. */
  function explain(k: number, plan: LevelledPlan, waits: Int32Array, reasons: Uint8Array): void {
    waits[k] = 0;
    reasons[k] = WAITS.nothing;
    const option = plan.options[k]!;
    const choice = ways[k]!.find((one) => one.option === option);
    const calendar = own[k];
    if (!choice || !calendar) return;
    boundsFrom(k, plan);
    const from = calendar.workingBefore(soonest(calendar, days[k]!));
    const { work } = choice;
    const first = work.calendar.workingBefore(plan.starts[k]!);
    const waited = work.calendar.workingDay(first) - calendar.workingDay(from);
    if (waited <= 0) return;
    waits[k] = waited;
    const begin = work.calendar.workingBefore(soonest(work.calendar, work.days));
    const alone = (only: Partial<Work>) => room.room({ ...work, ...only }, begin, 1);
    const bySpot = alone({ person: -1, window: -1 });
    const byPeople = alone({ spot: -1 });
    reasons[k] =
      bySpot > byPeople ? WAITS.spot : work.window >= 0 && byPeople > begin ? WAITS.gathering : WAITS.hours;
  }

  return {
    forwards,

    backwards(list, finish, plan) {
      room.clear();
      for (let at = 0; at < count; at++) placeBack(list[at]!, finish, plan);
    },

    explained(list, plan, waits, reasons) {
      // placed once to know the options, and again beside what came before each step
      const finish = forwards(list, plan);
      room.clear();
      inTurn(list, (k) => {
        explain(k, plan, waits, reasons);
        place(k, plan);
      });
      return finish;
    },
  };
}
