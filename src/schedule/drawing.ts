import { type Day, dayNumber, dayOf } from '../platform/day.ts';

/** Places along a drawing of dates, in hundredths of its width. */
export interface DateScale {
  /** the first of some months, with its place and what is written there */
  ticks: { at: number; label: string }[];
  /** the place of a day; the width of the drawing runs from 0 to 100 */
  place(day: Day): number;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
/** So many words of a month fit across a telephone. */
const MOST_TICKS = 6;

function round(place: number): number {
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
    ticks.push({ at, label: at > 90 ? '' : label });
  }
  return { ticks, place };
}

/** A step as a bar: from its start to its end, and the float after it. */
export interface Bar {
  at: number;
  width: number;
  floatFrom: number;
  floatTo: number;
}

/** The bar of a step; a day has its whole width, so that work of one day is seen. */
export function barOf(
  scale: DateScale,
  { earlyStart, earlyEnd, lateEnd }: { earlyStart: Day; earlyEnd: Day; lateEnd: Day },
): Bar {
  const after = (day: Day) => scale.place(dayOf(dayNumber(day) + 1));
  const at = scale.place(earlyStart);
  const end = after(earlyEnd);
  return { at, width: round(end - at), floatFrom: end, floatTo: after(lateEnd) };
}
