import { addDays, type Day, dayNumber, dayOf } from '../platform/day.ts';
import type { DayRange } from './build-facts.ts';

/** Places along a drawing of dates, in hundredths of its width. */
export interface DateScale {
  /** the first of some months, with its place and what is written there */
  ticks: { at: number; label: string }[];
  /** the place of a day's morning; the width of the drawing runs from 0 to 100 */
  place(day: Day): number;
  /** the place of a day's end */
  after(day: Day): number;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
/** So many words of a month fit across a telephone. */
const MOST_TICKS = 6;

/** To hundredths, so that a drawing is the same text wherever it is made. */
export function round(place: number): number {
  return Math.round(place * 100) / 100;
}

/** A scale from the morning of one day to the end of another. */
export function dateScale(from: Day, until: Day): DateScale {
  const first = dayNumber(from);
  const width = Math.max(1, dayNumber(until) + 1 - first);
  const place = (day: Day) => round(((dayNumber(day) - first) / width) * 100);

  const [year, month] = from.split('-').map(Number) as [number, number];
  const months = Math.ceil(width / 30.4);
  const every = [1, 2, 3, 6, 12, 24, 60, 120].find((step) => months / step <= MOST_TICKS) ?? 120;
  const ticks: DateScale['ticks'] = [];
  for (let n = month; ; n++) {
    const y = year + Math.floor(n / 12);
    const m = n % 12;
    const day = dayOf(Date.UTC(y, m, 1) / 86_400_000);
    if (day > until) break;
    const isTick = every >= 12 ? m === 0 && y % (every / 12) === 0 : m % every === 0;
    if (!isTick) continue;
    const at = place(day);
    // A label at the very edge would be cut off.
    const label = every >= 12 ? String(y) : m === 0 || ticks.length === 0 ? `${MONTHS[m]} ${y}` : MONTHS[m]!;
    ticks.push({ at, label: at > (label.length > 3 ? 83 : 90) ? '' : label });
  }
  return { ticks, place, after: (day) => place(addDays(day, 1)) };
}

/** Days between which something ends, as a line; its ends are marked only where they lie within the drawing. */
export interface RangeLine {
  from: number;
  to: number;
  beginsHere: boolean;
  endsHere: boolean;
}

/** A step as a bar: from its start to its end, and the float after it. */
export interface Bar {
  at: number;
  width: number;
  floatFrom: number;
  floatTo: number;
  /** soonest to latest day of the promise it rests on */
  promise: RangeLine | null;
  /** between which days it ends in eight of ten runs of the simulation */
  simulated: RangeLine | null;
}

export interface BarDays {
  earlyStart: Day;
  earlyEnd: Day;
  lateEnd: Day;
  promise?: DayRange | null;
  simulated?: DayRange | null;
}

/** The bar of a step; a day has its whole width, so that work of one day is seen. */
export function barOf(scale: DateScale, days: BarDays): Bar {
  const at = scale.place(days.earlyStart);
  const end = scale.after(days.earlyEnd);
  return {
    at,
    width: round(end - at),
    floatFrom: end,
    floatTo: scale.after(days.lateEnd),
    promise: rangeLine(scale, days.promise),
    simulated: rangeLine(scale, days.simulated),
  };
}

/** @returns null where there is no range, or all of it lies outside of the drawing */
function rangeLine(scale: DateScale, range: DayRange | null | undefined): RangeLine | null {
  if (!range) return null;
  const from = scale.place(range.fromOn);
  const to = scale.after(range.untilOn);
  if (from >= 100 || to <= 0) return null;
  return { from: Math.max(0, from), to: Math.min(100, to), beginsHere: from >= 0, endsHere: to <= 100 };
}

/**
 * How far a drawing of bars reaches: to the finish, and to the ends of ranges after it, but never so far that the
 * bars would take less than four fifths of it.
 */
export function lastDayDrawn(today: Day, finishOn: Day, ranges: readonly (DayRange | null)[]): Day {
  const finish = dayNumber(finishOn);
  const most = finish + Math.ceil((finish - dayNumber(today) + 1) / 4);
  const ends = ranges.map((range) => (range ? dayNumber(range.untilOn) : finish));
  return dayOf(
    Math.min(
      most,
      ends.reduce((last, end) => Math.max(last, end), finish),
    ),
  );
}
