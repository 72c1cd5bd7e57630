import {
  earliestStart,
  endOf,
  lagAfter,
  latestBefore,
  latestStart,
  type WorkingCalendar,
} from './calendar.ts';
import { linkCode, type NetworkGraph } from './network-graph.ts';

/** What the pass needs of the steps beside their graph, by step. */
export interface StepTimes {
  /** whole days >= 0 */
  readonly durations: Int32Array;
  /** whose working days the duration counts, as a place among the calendars; -1 where it counts calendar days */
  readonly calendars: Int16Array;
  /** no start before this moment; 0 for most */
  readonly notBefore: Int32Array;
}

/** Moments (see calendar.ts) and floats by step. */
export interface StepDates {
  /** the greatest early end; 0 without steps */
  finish: number;
  readonly earlyStarts: Int32Array;
  readonly earlyEnds: Int32Array;
  readonly lateStarts: Int32Array;
  readonly lateEnds: Int32Array;
  /** working days between early and late start; 0 where the step drives the finish */
  readonly floats: Int32Array;
  /** the step whose link sets the early start, -1 where today or a fixed day does */
  readonly drivers: Int32Array;
}

const fromStart = linkCode.SS;
const toFinish = linkCode.FF;

/**
 * Early and late dates where the lead's work counts the build's or the lead's own working days, work at a gathering its
 * days, and a maker's and the post's count calendar days.
 *
 * The length of a working step depends on the day it begins, so the additive pass of network-pass.ts does not serve:
 * here every link carries a moment forward (`endOf`, `lagAfter`) and the exact reverse of the same step back
 * (`latestStart`, `latestBefore`: the latest moment from which the way forward still arrives in time). Early dates are
 * thus never after late ones. Slack of less than a working day, a parcel that comes on Saturday for work on Monday, is
 * none: late dates are then the early ones, which keeps the chain that drives the finish whole through weekends. (Only a
 * link to a finish can leave a driving step with a day: what must not end before Sunday ends on Monday.)
 *
 * @param calendars  the build's first: lags and floats count its working days; then those of people and gatherings
 *
 * A step is not split. Linear in steps and links.
 * Source: Kelley, "Critical-path planning and scheduling: mathematical basis" (1961), with calendars as common
 * practice has them, no source.
 */
export function calendarPass(
  graph: NetworkGraph,
  times: StepTimes,
  calendars: readonly WorkingCalendar[],
): StepDates {
  const { count, order, firstLink, linkTargets, linkTypes, lags } = graph;
  const { durations, calendars: calendarOf, notBefore } = times;
  const calendar = calendars[0]!;
  const earlyStarts = Int32Array.from(notBefore, (moment) => Math.max(0, moment));
  const earlyEnds = new Int32Array(count);
  const lateStarts = new Int32Array(count);
  const lateEnds = new Int32Array(count);
  const floats = new Int32Array(count);
  const drivers = new Int32Array(count).fill(-1);

  let finish = 0;
  for (let place = 0; place < count; place++) {
    const i = order[place]!;
    const start = earlyStarts[i]!;
    const own = calendarOf[i]!;
    const end = endOf(calendars[own] ?? calendar, start, durations[i]!, own >= 0);
    earlyEnds[i] = end;
    finish = Math.max(finish, end);
    for (let link = firstLink[place]!; link < firstLink[place + 1]!; link++) {
      const j = order[linkTargets[link]!]!;
      const type = linkTypes[link]!;
      let moment = lagAfter(calendar, type & fromStart ? start : end, lags[link]!);
      if (type & toFinish) {
        const ofTarget = calendarOf[j]!;
        moment = earliestStart(calendars[ofTarget] ?? calendar, moment, durations[j]!, ofTarget >= 0);
      }
      if (moment > earlyStarts[j]! || (moment === earlyStarts[j] && moment > 0 && drivers[j] === -1)) {
        earlyStarts[j] = moment;
        drivers[j] = i;
      }
    }
  }

  for (let place = count - 1; place >= 0; place--) {
    const i = order[place]!;
    const duration = durations[i]!;
    const isWorking = calendarOf[i]! >= 0;
    const own = calendars[calendarOf[i]!] ?? calendar;
    let latestEnd = finish;
    let latest = Number.MAX_SAFE_INTEGER;
    for (let link = firstLink[place]!; link < firstLink[place + 1]!; link++) {
      const j = order[linkTargets[link]!]!;
      const type = linkTypes[link]!;
      const moment = latestBefore(calendar, type & toFinish ? lateEnds[j]! : lateStarts[j]!, lags[link]!);
      if (type & fromStart) latest = Math.min(latest, moment);
      else latestEnd = Math.min(latestEnd, moment);
    }
    const end = earlyEnds[i]!;
    if (calendar.workingBefore(latestEnd) === calendar.workingBefore(end)) latestEnd = end;
    latest = Math.min(latest, latestStart(own, latestEnd, duration, isWorking));
    const start = earlyStarts[i]!;
    const float = calendar.workingBefore(latest) - calendar.workingBefore(start);
    const late = float > 0 ? latest : start;
    floats[i] = float;
    lateStarts[i] = late;
    lateEnds[i] = endOf(own, late, duration, isWorking);
  }
  return { finish, earlyStarts, earlyEnds, lateStarts, lateEnds, floats, drivers };
}
