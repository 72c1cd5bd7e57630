import { signed } from './figures.ts';

/** A tolerance band: deviations from the nominal size, all in one unit. */
export interface Band {
  name: string;
  upper: number;
  lower: number;
  fill: 'hatch' | 'cross';
}

/** Where the lines and words of the drawing go, in its own units. */
export interface BandDrawing {
  width: number;
  height: number;
  /** y of the zero line, and what it stands for */
  zero: number;
  nominal: string;
  bands: {
    name: string;
    fill: Band['fill'];
    x: number;
    y: number;
    width: number;
    height: number;
    labels: { text: string; y: number }[];
  }[];
  /** said to those who do not see it */
  words: string;
}

const WIDTH = 340;
const TOP = 34;
const BOTTOM = 26;
const SPAN = 150;
const LEFT = 60;
const THINNEST = 2;
const LABEL_HEIGHT = 14;

/**
 * Tolerance bands beside each other over the zero line, as ISO 286-1 draws them: the height of a band and its distance
 * from the line are to one scale.
 *
 * @param bands   one or two
 * @param unit    after the figures, as 'mm'
 * @param nominal what the zero line stands for, as '25 mm'
 */
export function bandDrawing(bands: readonly Band[], unit: string, nominal: string): BandDrawing {
  const highest = Math.max(0, ...bands.map(({ upper }) => upper));
  const lowest = Math.min(0, ...bands.map(({ lower }) => lower));
  const scale = highest === lowest ? 0 : SPAN / (highest - lowest);
  const y = (deviation: number) => round(TOP + (highest - deviation) * scale);
  const column = (WIDTH - LEFT) / bands.length;
  // a word that the zero line would strike through moves to the side of it where its band is not
  const beside = (at: number, outwards: 1 | -1) => {
    const line = y(0);
    if (at <= line - 2 || at >= line + 12) return at;
    return outwards < 0 ? line - 4 : line + 13;
  };
  return {
    width: WIDTH,
    height: TOP + SPAN + BOTTOM,
    zero: y(0),
    nominal,
    bands: bands.map(({ name, upper, lower, fill }, at) => {
      const top = y(upper);
      const height = Math.max(THINNEST, round(y(lower) - top));
      // the two words at a thin band keep their distance
      const gap = Math.max(0, LABEL_HEIGHT - height) / 2;
      return {
        name,
        fill,
        x: LEFT + column * at + 12,
        y: top,
        width: Math.min(84, column - 84),
        height,
        labels: [
          { text: signed(upper), y: beside(round(top + 4 - gap), -1) },
          { text: signed(lower), y: beside(round(top + height + 4 + gap), 1) },
        ],
      };
    }),
    words: `Tolerance bands over the zero line at ${nominal}: ${bands
      .map(({ name, upper, lower }) => `${name} from ${signed(lower)} to ${signed(upper)} ${unit}`)
      .join(', ')}.`,
  };
}

const round = (value: number) => Math.round(value * 100) / 100;
