import type { ComparisonAnswer } from '../specs/index.ts';
import { figure } from './trial-words.ts';

const WIDTH = 400;
const EDGE = 16;
const ROW = 40;
const MOST_DOTS = 300;

interface Scale {
  x(value: number): number;
  ticks: { x: number; text: string }[];
}

const round = (value: number) => Math.round(value * 100) / 100;

/** A scale over the values with ticks at 1, 2 or 5 times a power of ten. */
function scaleOver(values: readonly number[]): Scale {
  let [from, to] = [Math.min(...values), Math.max(...values)];
  if (from === to) {
    const reach = Math.abs(from) / 10 || 1;
    [from, to] = [from - reach, to + reach];
  }
  const rough = (to - from) / 4;
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

/**
 * The values of a trial as dots on one scale with their means, and under it the difference with its 95 % interval and
 * the line at zero.
 *
 * @returns null when nothing was measured
 */
export function trialDrawing(
  before: readonly number[],
  after: readonly number[],
  compared: ComparisonAnswer | null,
) {
  if (before.length === 0 && after.length === 0) return null;
  const all = [...before, ...after, ...(compared ? [compared.beforeMean, compared.afterMean] : [])];
  const scale = scaleOver(all);
  const sides = [
    { name: 'before', values: before, mean: compared?.beforeMean },
    { name: 'after', values: after, mean: compared?.afterMean },
  ].filter(({ values }) => values.length > 0);
  const rows = sides.map(({ name, values, mean }, at) => ({
    name,
    y: at * ROW + 28,
    from: scale.x(Math.min(...values)),
    to: scale.x(Math.max(...values)),
    dots: values.length <= MOST_DOTS ? values.map(scale.x) : [],
    mean: mean === undefined ? null : scale.x(mean),
  }));
  const axisY = sides.length * ROW + 12;
  const interval = compared && intervalDrawing(compared, axisY + 62);
  return {
    width: WIDTH,
    height: interval ? interval.axisY + 22 : axisY + 22,
    rows,
    axis: { y: axisY, from: EDGE, to: WIDTH - EDGE, ticks: scale.ticks },
    interval,
  };
}

function intervalDrawing({ difference, interval95: { low, high } }: ComparisonAnswer, y: number) {
  const { x, ticks } = scaleOver([low, high, 0, difference]);
  return {
    y,
    x1: x(low),
    x2: Math.max(x(high), x(low) + 1),
    mark: x(difference),
    zero: x(0),
    axisY: y + 22,
    from: EDGE,
    to: WIDTH - EDGE,
    ticks,
  };
}

export type TrialDrawing = ReturnType<typeof trialDrawing>;
