import { addDays, type Day } from '../platform/day.ts';
import { earliestStart, endOf, lagAfter } from './calendar.ts';
import type { GatheringWork } from './gathering-work.ts';

/**
 * What becomes of the finish when a supply comes only after a gathering: work kept for that one then waits for the next
 * gathering, other work goes on when it is there.
 *
 * @returns calendar days by which the finish of the plan moves, and the day it moves to; never below 0
 */
export function finishIfMissed(
  { schedule, until, into }: Pick<GatheringWork, 'schedule' | 'until' | 'into'>,
  supply: number,
): { days: number; finishOn: Day | null } {
  const { network, graph, dates, finishOn } = schedule;
  if (dates.earlyEnds[supply]! >= until) return { days: 0, finishOn };
  const { nodes, links, calendar, calendars } = network;
  const starts = dates.earlyStarts.slice();
  const ends = dates.earlyEnds.slice();
  ends[supply] = until;
  const isMoved = new Uint8Array(nodes.length);
  isMoved[supply] = 1;
  // Forward from the supply as `calendarPass` goes, over what it reaches and nothing else.
  for (let place = graph.places[supply]! + 1; place < nodes.length; place++) {
    const at = graph.order[place]!;
    const { duration, calendar: own } = nodes[at]!;
    const counted = calendars[own]!;
    let start = starts[at]!;
    let isReached = false;
    for (let k = into.first[at]!; k < into.first[at + 1]!; k++) {
      const { from, type, lag } = links[into.links[k]!]!;
      if (!isMoved[from]) continue;
      isReached = true;
      let moment = lagAfter(calendar, type === 'SS' || type === 'SF' ? starts[from]! : ends[from]!, lag);
      if (type === 'FF' || type === 'SF') {
        moment = earliestStart(counted, moment, duration.days, duration.working);
      }
      start = Math.max(start, moment);
    }
    if (!isReached || start === starts[at]) continue;
    starts[at] = start;
    ends[at] = endOf(counted, start, duration.days, duration.working);
    isMoved[at] = 1;
  }
  let finish = 0;
  for (const end of ends) if (end > finish) finish = end;
  const days = Math.max(0, finish - dates.finish);
  return { days, finishOn: finishOn === null ? null : addDays(finishOn, days) };
}
