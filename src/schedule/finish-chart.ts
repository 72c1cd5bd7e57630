import { addDays, type Day, dayNumber, daysBetween, dayWords, weekday } from '../platform/day.ts';
import { type DateScale, dateScale } from './drawing.ts';

/** The finish as it was estimated on a day. */
export interface FinishEstimate {
  day: Day;
  finishOn: Day;
  /** by the simulation: of a hundred runs eighty are over by then; null where none was stored */
  at80On: Day | null;
}

/** The last estimate of each week, in the order given (that of their days). */
export function weeklyEstimates<T extends { day: Day }>(estimates: readonly T[]): T[] {
  const weeks = new Map<number, T>();
  for (const estimate of estimates) {
    weeks.set(dayNumber(addDays(estimate.day, 1 - weekday(estimate.day))), estimate);
  }
  return [...weeks.values()];
}

const WIDTH = 400;
const HEIGHT = 240;
const LEFT = 62;
const RIGHT = 10;
const TOP = 14;
const BOTTOM = 24;
const MOST_DOTS = 70;

const round = (place: number) => Math.round(place * 100) / 100;

/** A day alone is seen as a short dash. */
function dash({ x, y }: { x: number; y: number }, right: number): { x: number; y: number }[] {
  return [
    { x: Math.max(LEFT, x - 6), y },
    { x: Math.min(right, x + 6), y },
  ];
}

export interface FinishChart {
  width: number;
  height: number;
  frame: { left: number; right: number; top: number; bottom: number };
  /** points of the line of estimates, and of each unbroken line of the eighty per cent */
  finish: string;
  at80: string[];
  dots: { x: number; y: number }[];
  /** the kept plan: its finish from the day it was kept on */
  planned: { x: number; y: number } | null;
  xTicks: { at: number; label: string }[];
  yTicks: { at: number; label: string }[];
  /** the drawing in words */
  words: string;
}

/** The months of a scale, or the days it is about where no month begins in it. */
function ticksOf({ ticks, place }: DateScale, from: Day, until: Day): DateScale['ticks'] {
  if (ticks.length > 1) return ticks;
  const ends = from === until ? [from] : [from, until];
  return ends.map((day) => ({ at: place(day), label: dayWords(day, day) }));
}

/**
 * The estimates of the finish over the days they were made on: weeks run to the right, a later finish stands higher.
 *
 * @param estimates  in the order of their days
 * @param planned    a kept plan, drawn as a level line from its day on
 * @returns          lengths of the drawing's own unit; null when there are fewer than two estimates
 */
export function finishChart(
  estimates: readonly FinishEstimate[],
  planned: { day: Day; finishOn: Day } | null,
): FinishChart | null {
  const first = estimates[0];
  const last = estimates.at(-1);
  if (!first || !last || estimates.length < 2) return null;
  const days = [...estimates.map(({ day }) => day), ...(planned ? [planned.day] : [])].sort();
  const finishes = [
    ...estimates.flatMap(({ finishOn, at80On }) => (at80On ? [finishOn, at80On] : [finishOn])),
    ...(planned ? [planned.finishOn] : []),
  ].sort();
  const across = dateScale(days[0]!, days.at(-1)!);
  // A little air above and below, so that a finish that never moved is a line in the middle.
  const air = Math.max(7, Math.ceil(daysBetween(finishes[0]!, finishes.at(-1)!) * 0.06));
  const up = dateScale(addDays(finishes[0]!, -air), addDays(finishes.at(-1)!, air));
  const right = WIDTH - RIGHT;
  const bottom = HEIGHT - BOTTOM;
  const x = (share: number) => round(LEFT + (share / 100) * (right - LEFT));
  const y = (share: number) => round(bottom - (share / 100) * (bottom - TOP));
  const place = (day: Day, finishOn: Day) => ({ x: x(across.place(day)), y: y(up.place(finishOn)) });
  const points = (list: { x: number; y: number }[]) => list.map((at) => `${at.x},${at.y}`).join(' ');

  const line = estimates.map(({ day, finishOn }) => place(day, finishOn));
  const at80: { x: number; y: number }[][] = [[]];
  for (const { day, at80On } of estimates) {
    if (at80On) at80.at(-1)!.push(place(day, at80On));
    else if (at80.at(-1)!.length) at80.push([]);
  }
  const moved = daysBetween(first.finishOn, last.finishOn);
  return {
    width: WIDTH,
    height: HEIGHT,
    frame: { left: LEFT, right, top: TOP, bottom },
    finish: points(line),
    at80: at80
      .filter((run) => run.length > 0)
      .map((run) => points(run.length > 1 ? run : dash(run[0]!, right))),
    dots: line.length <= MOST_DOTS ? line : [],
    planned: planned && place(planned.day, planned.finishOn),
    xTicks: ticksOf(across, days[0]!, days.at(-1)!).map(({ at, label }) => ({ at: x(at), label })),
    yTicks: ticksOf(up, finishes[0]!, finishes.at(-1)!).map(({ at, label }) => ({ at: y(at), label })),
    words:
      `The finish as estimated from ${dayWords(first.day)} to ${dayWords(last.day)}: ` +
      `${dayWords(first.finishOn)} at first, ${dayWords(last.finishOn)} at last` +
      `${moved === 0 ? ', the same' : `, ${Math.abs(moved)} days ${moved > 0 ? 'later' : 'sooner'}`}` +
      `${planned ? `; the kept plan said ${dayWords(planned.finishOn)}` : ''}.`,
  };
}
