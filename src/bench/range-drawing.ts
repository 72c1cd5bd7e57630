import { figure } from './figures.ts';

/** A range of a quantity, drawn as a bar with the line that tells it from the others. */
export interface DrawnRange {
  name: string;
  min: number;
  max: number;
  line: 'thin' | 'thick' | 'double' | 'dashed';
  /** a point in the range, as a mean */
  mark?: number;
}

const WIDTH = 340;
const EDGE = 14;
const ROW = 34;

/**
 * Ranges under one another on one scale, zero included where it is near.
 *
 * @param ranges  finite, min <= max
 * @param unit    after the figures of the scale
 * @param write   makes a figure of a number
 */
export function rangeDrawing(
  ranges: readonly DrawnRange[],
  unit: string,
  write: (value: number) => string = figure,
) {
  const ends = ranges.flatMap(({ min, max }) => [min, max]);
  let [from, to] = [Math.min(...ends), Math.max(...ends)];
  const span = to - from;
  // zero is what a gap or a difference is measured from: it is shown unless that would squeeze the rest
  if (from > 0 && from < 2 * span) from = 0;
  if (to < 0 && -to < 2 * span) to = 0;
  const width = to - from || 1;
  const x = (value: number) => round(EDGE + ((value - from) / width) * (WIDTH - 2 * EDGE));
  const height = ranges.length * ROW + 22;
  return {
    width: WIDTH,
    height,
    zero: from <= 0 && to >= 0 ? x(0) : null,
    axis: {
      y: height - 20,
      from: EDGE,
      to: WIDTH - EDGE,
      left: write(from),
      right: `${write(to)} ${unit}`,
    },
    bars: ranges.map(({ name, min, max, line, mark }, at) => ({
      name,
      line,
      y: at * ROW + 24,
      x1: x(min),
      x2: Math.max(x(max), x(min) + 1),
      mark: mark === undefined ? null : x(mark),
    })),
    words: ranges
      .map(({ name, min, max }) => `${name} from ${write(min)} to ${write(max)} ${unit}`)
      .join(', '),
  };
}

const round = (value: number) => Math.round(value * 100) / 100;
