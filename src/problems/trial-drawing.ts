import { figure, threeFigures } from './trial-figures.ts';
import type { Difference, Finding, Side, TrialData } from './trial-finding.ts';

const WIDTH = 400;
const EDGE = 16;
const ROW = 40;
const MOST_DOTS = 300;

interface Scale {
  x(value: number): number;
  ticks: { x: number; text: string }[];
}

const round = (value: number) => Math.round(value * 100) / 100;
const within = (x: number) => Math.min(WIDTH - EDGE, Math.max(EDGE, x));

/** Values that lie no further apart than this share of their size differ by mere rounding. */
const ROUNDING = 1e-9;

/** A scale over the values with ticks at 1, 2 or 5 times a power of ten. */
function scaleOver(values: readonly number[]): Scale {
  let [from, to] = [values[0] ?? 0, values[0] ?? 0];
  for (const value of values) [from, to] = [Math.min(from, value), Math.max(to, value)];
  const size = Math.max(Math.abs(from), Math.abs(to));
  if (to - from <= ROUNDING * size) {
    const reach = size / 10 || 1;
    [from, to] = [from - reach, to + reach];
  }
  // a fifth at the least gives two ticks at the least
  const rough = (to - from) / 5;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((times) => times * power).find((size) => size >= rough) ?? 10 * power;
  const places = Math.min(10, Math.max(0, -Math.floor(Math.log10(step) + 1e-9)));
  const x = (value: number) => round(EDGE + ((value - from) / (to - from)) * (WIDTH - 2 * EDGE));
  const ticks: Scale['ticks'] = [];
  for (let at = Math.ceil(from / step - 1e-9); at * step <= to + step * 1e-9; at += 1) {
    ticks.push({ x: x(at * step), text: figure(at * step, places) });
  }
  return { x, ticks };
}

/** A scale of ratios: as far from 1 to 2 as from 1 to a half. */
function ratioScale(values: readonly number[]): Scale {
  const seen = values.filter((value) => value > 0 && Number.isFinite(value));
  const logs = [...seen.map(Math.log10), Math.log10(0.5), Math.log10(2)];
  const [from, to] = [Math.max(-6, Math.min(...logs)), Math.min(6, Math.max(...logs))];
  const x = (value: number) =>
    within(round(EDGE + ((Math.log10(value) - from) / (to - from)) * (WIDTH - 2 * EDGE)));
  const steps = to - from > 2.5 ? [1] : [1, 2, 5];
  const ticks: Scale['ticks'] = [];
  for (let power = -6; power <= 6; power += 1) {
    for (const times of steps) {
      const value = Number(`${times}e${power}`);
      const at = Math.log10(value);
      if (at >= from - 1e-9 && at <= to + 1e-9) ticks.push({ x: x(value), text: threeFigures(value) });
    }
  }
  return { x, ticks };
}

/**
 * The values of a trial on one scale, as dots with their means or as a mark with its 95 % interval, with what was wanted
 * as a band; under it the difference, or the ratio, with its interval and the line at no change.
 *
 * @returns null when nothing was measured
 */
export function trialDrawing(finding: Finding | null, wanted: Pick<TrialData, 'wantedMin' | 'wantedMax'>) {
  if (!finding || finding.sides.length === 0) return null;
  const { sides, difference } = finding;
  const counted = sides.every(({ dots }) => dots.length === 0);
  const seen = [
    ...sides.flatMap(({ value, dots, interval }) =>
      dots.length > 0 ? [value, ...extremes(dots)] : [value, interval?.low ?? value, interval?.high ?? value],
    ),
    ...(counted ? [0] : []),
  ];
  const scale = scaleOver([...seen, ...roomFor(wanted, seen, counted)]);
  const axisY = sides.length * ROW + 12;
  const interval = difference && differenceDrawing(difference, axisY + 62);
  return {
    width: WIDTH,
    height: interval ? interval.axisY + 22 : axisY + 22,
    rows: sides.map((side, at) => rowDrawing(side, at * ROW + 28, scale)),
    wanted: wantedBand(wanted, scale),
    axis: { y: axisY, from: EDGE, to: WIDTH - EDGE, ticks: scale.ticks },
    interval,
    counted,
  };
}

/** Limits that are wanted, with room on their good side so that the band is seen. */
function roomFor(
  { wantedMin, wantedMax }: Pick<TrialData, 'wantedMin' | 'wantedMax'>,
  seen: readonly number[],
  counted: boolean,
): number[] {
  const limits = [wantedMin, wantedMax].filter((limit) => limit !== null);
  const [low = 0, high = 0] = extremes([...seen, ...limits]);
  const room = (high - low) / 8;
  return [
    ...limits,
    ...(wantedMax !== null && wantedMin === null && !counted ? [wantedMax - room] : []),
    ...(wantedMin !== null && wantedMax === null && !counted ? [wantedMin + room] : []),
  ];
}

function extremes(values: readonly number[]): number[] {
  return [
    values.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY),
    values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY),
  ];
}

function rowDrawing({ name, value, dots, interval }: Side, y: number, { x }: Scale) {
  const [from, to] = dots.length > 0 ? extremes(dots) : [interval?.low, interval?.high];
  return {
    name,
    y,
    from: x(from ?? value),
    to: x(to ?? value),
    dots: dots.length <= MOST_DOTS ? dots.map(x) : [],
    // too many for dots: the band they fill
    band: dots.length > MOST_DOTS,
    counted: dots.length === 0,
    mean: x(value),
  };
}

function wantedBand({ wantedMin, wantedMax }: Pick<TrialData, 'wantedMin' | 'wantedMax'>, { x }: Scale) {
  if (wantedMin === null && wantedMax === null) return null;
  const [from, to] = [
    wantedMin === null ? EDGE : within(x(wantedMin)),
    wantedMax === null ? WIDTH - EDGE : within(x(wantedMax)),
  ];
  return { from, width: Math.max(1, round(to - from)) };
}

function differenceDrawing({ kind, value, low, high, unit }: Difference, y: number) {
  const still = kind === 'ratio' ? 1 : 0;
  const seen = [low, high, value].filter((limit) => limit !== null);
  const { x, ticks } = kind === 'ratio' ? ratioScale(seen) : scaleOver([...seen, still]);
  // a ratio of 0 lies beyond every scale of ratios
  const open = low === null || (kind === 'ratio' && low <= 0);
  const x1 = open ? EDGE : x(low);
  const x2 = high === null ? WIDTH - EDGE : x(high);
  return {
    name: kind === 'ratio' ? 'after over before' : 'difference',
    unit,
    y,
    x1,
    x2: Math.max(x2, x1 + 1),
    // an interval without an end has no stroke there
    ends: [...(open ? [] : [x1]), ...(high === null ? [] : [x2])],
    mark: value === null ? null : kind === 'ratio' && value <= 0 ? EDGE : x(value),
    still: x(still),
    axisY: y + 22,
    from: EDGE,
    to: WIDTH - EDGE,
    ticks,
  };
}
