import { addDays, type Day, daysBetween, dayWords } from '../platform/day.ts';
import { dateScale } from '../schedule/index.ts';
import { firstDayOf, lastDayOf, type Month } from './months.ts';

const WIDTH = 400;
const HEIGHT = 220;
const LEFT = 58;
const RIGHT = 10;
const TOP = 12;
const BOTTOM = 24;
const MOST_Y_TICKS = 5;

export interface Tick {
  at: number;
  label: string;
}

/** What every picture of the year has: lengths of the drawing's own unit. */
export interface Frame {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  xTicks: Tick[];
  yTicks: Tick[];
}

const round = (place: number) => Math.round(place * 100) / 100;
const across = (share: number) => round(LEFT + (share / 100) * (WIDTH - RIGHT - LEFT));
const up = (share: number) => round(HEIGHT - BOTTOM - share * (HEIGHT - BOTTOM - TOP));

/** Steps of 1, 2 or 5 times a power of ten, from 0 to no less than `most`. */
export function countTicks(most: number): number[] {
  let step = 1;
  for (let power = 1; most / step > MOST_Y_TICKS; power *= 10) {
    step =
      [1, 2, 5, 10].map((times) => times * power).find((size) => most / size <= MOST_Y_TICKS) ?? 10 * power;
  }
  const count = Math.max(1, Math.ceil(most / step));
  return Array.from({ length: count + 1 }, (_, at) => at * step);
}

function frame(months: readonly Month[], yTicks: Tick[]): Frame {
  const { ticks } = dateScale(firstDayOf(months[0]!), lastDayOf(months.at(-1)!));
  return {
    width: WIDTH,
    height: HEIGHT,
    left: LEFT,
    right: WIDTH - RIGHT,
    top: TOP,
    bottom: HEIGHT - BOTTOM,
    xTicks: ticks.map(({ at, label }) => ({ at: across(at), label })),
    yTicks,
  };
}

const byCount = (most: number) => {
  const values = countTicks(most);
  const top = values.at(-1)!;
  return {
    ticks: values.map((value) => ({ at: up(value / top), label: String(value) })),
    y: (value: number) => up(Math.max(0, Math.min(1, value / top))),
  };
};

export interface LinePicture extends Frame {
  lines: { kind: string; points: string }[];
}

/**
 * Counts at the ends of months as lines.
 *
 * @param lines  by kind: at the beginning of the first month and at the end of each; null where nothing is known
 * @param level  a line all across; null for none
 */
export function countLines(
  months: readonly Month[],
  lines: readonly { kind: string; values: readonly (number | null)[] }[],
  level: { kind: string; value: number } | null,
): LinePicture {
  const known = lines.flatMap(({ values }) => values.filter((value) => value !== null));
  const { ticks, y } = byCount(Math.max(1, level?.value ?? 0, ...known));
  const { place } = dateScale(firstDayOf(months[0]!), lastDayOf(months.at(-1)!));
  const xs = [
    across(0),
    ...months.map((month) => across(Math.min(100, place(addDays(lastDayOf(month), 1))))),
  ];
  const drawn = lines.flatMap(({ kind, values }) =>
    runs(values.map((value, at) => (value === null ? null : { x: xs[at]!, y: y(value) }))).map((points) => ({
      kind,
      points,
    })),
  );
  if (level) {
    const at = y(level.value);
    drawn.unshift({ kind: level.kind, points: `${across(0)},${at} ${across(100)},${at}` });
  }
  return { ...frame(months, ticks), lines: drawn };
}

/** The finish as it was estimated on a day. */
export interface Estimate {
  day: Day;
  finishOn: Day;
  at50On: Day | null;
  at80On: Day | null;
  at95On: Day | null;
}

/** Estimates of the finish over the days they were made on; later stands higher. Null without any. */
export function estimateLines(
  months: readonly Month[],
  estimates: readonly Estimate[],
  kinds: Readonly<Record<'finishOn' | 'at50On' | 'at80On' | 'at95On', string>>,
): LinePicture | null {
  const names = Object.keys(kinds) as (keyof typeof kinds)[];
  const all = estimates.flatMap((one) => names.flatMap((name) => one[name] ?? [])).sort();
  if (all.length === 0) return null;
  const air = Math.max(7, Math.ceil(daysBetween(all[0]!, all.at(-1)!) * 0.06));
  const low = addDays(all[0]!, -air);
  const high = addDays(all.at(-1)!, air);
  const x = dateScale(firstDayOf(months[0]!), lastDayOf(months.at(-1)!));
  const vertical = dateScale(low, high);
  const atDay = (day: Day) => up(vertical.place(day) / 100);
  const lines = names.flatMap((name) =>
    runs(
      estimates.map((one) =>
        one[name] === null ? null : { x: across(x.place(one.day)), y: atDay(one[name]) },
      ),
    ).map((points) => ({ kind: kinds[name], points })),
  );
  const marked =
    vertical.ticks.filter(({ label }) => label).length > 1
      ? vertical.ticks.map(({ at, label }) => ({ at: up(at / 100), label }))
      : [...new Set([all[0]!, all.at(-1)!])].map((day) => ({ at: atDay(day), label: dayWords(day, day) }));
  return { ...frame(months, marked), lines };
}

/** Unbroken runs of points; one alone is seen as a short dash. */
function runs(points: readonly ({ x: number; y: number } | null)[]): string[] {
  const found: { x: number; y: number }[][] = [[]];
  for (const point of points) {
    if (point) found.at(-1)!.push(point);
    else if (found.at(-1)!.length > 0) found.push([]);
  }
  return found
    .filter((run) => run.length > 0)
    .map((run) => (run.length > 1 ? run : [-4, 4].map((by) => ({ x: round(run[0]!.x + by), y: run[0]!.y }))))
    .map((run) => run.map(({ x, y }) => `${x},${y}`).join(' '));
}

export interface BarPicture extends Frame {
  bars: { kind: string; x: number; y: number; width: number; height: number }[];
}

/** Counts of months as bars, those of one month on top of one another in the order of the kinds. */
export function monthBars(
  months: readonly Month[],
  kinds: readonly { kind: string; values: readonly number[] }[],
): BarPicture {
  const totals = months.map((_, at) => kinds.reduce((sum, { values }) => sum + values[at]!, 0));
  const { ticks, y } = byCount(Math.max(1, ...totals));
  const { place } = dateScale(firstDayOf(months[0]!), lastDayOf(months.at(-1)!));
  const bars: BarPicture['bars'] = [];
  for (const [at, month] of months.entries()) {
    const from = across(place(firstDayOf(month)));
    const until = across(Math.min(100, place(addDays(lastDayOf(month), 1))));
    const gap = Math.min(3, (until - from) / 6);
    let under = 0;
    for (const { kind, values } of kinds) {
      const value = values[at]!;
      if (value <= 0) continue;
      const [foot, head] = [y(under), y(under + value)];
      under += value;
      bars.push({
        kind,
        x: round(from + gap),
        y: head,
        width: round(until - from - 2 * gap),
        height: round(foot - head),
      });
    }
  }
  return { ...frame(months, ticks), bars };
}
