import { addDays, type Day, daysBetween, dayWords } from '../platform/day.ts';
import { type DateScale, dateScale, round } from './drawing.ts';

/** How the finish of the build came out over the runs of a simulation. */
export interface FinishSpread {
  /** share of the runs (0..1) finished by the end of a day, by day; never falling, 1 at the end */
  points: readonly { day: Day; share: number }[];
  at50: Day;
  at80: Day;
  at95: Day;
  /** the finish when everything takes its likely time */
  likely: Day | null;
  today: Day;
}

/** A place of the curve that is marked: hundredths of the width from the left and of the height from the top. */
export interface CurveMark {
  x: number;
  y: number;
  text: string;
}

export interface SCurve {
  /** the curve as a path, in hundredths of the width and of the height */
  curve: string;
  marks: CurveMark[];
  /** the likely finish; its words stand left of its line where there is no room right of it */
  likely: { x: number; text: string; left: boolean } | null;
  /** whether the drawing begins today; else it begins so many days later, for the curve would be too thin to read */
  fromToday: boolean;
  beginsLater: number;
  ticks: DateScale['ticks'];
  /** the same for those who read */
  rows: { share: string; day: string; fromToday: string }[];
  /** in one sentence, to be read aloud */
  words: string;
}

/** The curve takes at least this share of the width. */
const LEAST_SHARE = 1 / 3;
/** Steps of the curve smaller than this, in hundredths of the drawing, can't be seen. */
const FINEST = 0.2;
const ROWS = [10, 25, 50, 80, 95];

const percent = (share: number) => `${Math.round(share * 100)} %`;
const inDays = (days: number) => `${days} ${Math.abs(days) === 1 ? 'day' : 'days'}`;

/**
 * The S-curve of the finish: what share of the runs is finished by the end of each day.
 *
 * It begins today, unless that would leave the curve less than a third of the width.
 *
 * @returns null without points
 */
export function sCurveDrawing({ points, at50, at80, at95, likely, today }: FinishSpread): SCurve | null {
  const first = points[0];
  const last = points.at(-1);
  if (!first || !last) return null;
  const days = [first.day, last.day, at50, at80, at95, ...(likely ? [likely] : [])].sort();
  const from = days[0]!;
  const until = days.at(-1)!;
  const span = daysBetween(from, until) + 1;
  const lead = Math.ceil(span / LEAST_SHARE) - span;
  const begin = daysBetween(today, from) > lead ? addDays(from, -lead) : from < today ? from : today;
  const scale = dateScale(begin, until);
  const marks = [
    { share: 0.5, day: at50 },
    { share: 0.8, day: at80 },
    { share: 0.95, day: at95 },
  ].map(({ share, day }) => ({
    x: scale.after(day),
    y: round(100 - share * 100),
    text: `${percent(share)}: ${dayWords(day, today)}`,
  }));
  const row = (share: string, day: Day) => ({
    share,
    day: dayWords(day),
    fromToday: inDays(daysBetween(today, day)),
  });
  const named = new Map([
    [50, at50],
    [80, at80],
    [95, at95],
  ]);
  const rows = ROWS.map((share) => {
    const reached = points.find((point) => point.share * 100 >= share) ?? last;
    return row(`${share} %`, named.get(share) ?? reached.day);
  });
  if (likely !== null) rows.push(row(`likely times, ${percent(shareBy(points, likely))}`, likely));
  return {
    curve: curvePath(points, scale),
    marks,
    likely:
      likely === null
        ? null
        : {
            x: scale.after(likely),
            text: `likely ${dayWords(likely, today)}`,
            left: scale.after(likely) > 60,
          },
    fromToday: begin === today,
    beginsLater: Math.max(0, daysBetween(today, begin)),
    ticks: scale.ticks,
    rows,
    words: `Finished in half of the runs by ${dayWords(at50)}, in 80 of 100 by ${dayWords(at80)}, in 95 of 100 by ${dayWords(at95)}.`,
  };
}

/** The share of runs finished by a day. */
function shareBy(points: FinishSpread['points'], day: Day): number {
  let share = 0;
  for (const point of points) if (point.day <= day) share = point.share;
  return share;
}

/** In steps: the share is what it was until a day's end. Steps that nobody can tell apart are drawn as one. */
function curvePath(points: FinishSpread['points'], scale: DateScale): string {
  let lastX = scale.place(points[0]!.day);
  let lastY = 100;
  let path = `M${lastX} ${lastY}`;
  for (const [at, { day, share }] of points.entries()) {
    const x = scale.after(day);
    const y = round(100 - share * 100);
    if (x - lastX < FINEST && lastY - y < FINEST && at < points.length - 1) continue;
    path += `H${x}V${y}`;
    lastX = x;
    lastY = y;
  }
  return path;
}
