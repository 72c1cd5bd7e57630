import { plainNumber } from '../specs/index.ts';
import type { Size } from './size.ts';

const WIDTH = 400;
const HEIGHT = 190;
const [TOP, BOTTOM] = [18, 160];

/** Both zones about the nominal size of the hole, deviations in micrometres upwards. */
export function fitDrawing(hole: Size, shaft: Size) {
  const zero = hole.nominal;
  const ends = [hole.lower, hole.upper, shaft.lower, shaft.upper].map((size) => (size - zero) * 1000);
  const [from, to] = [Math.min(0, ...ends), Math.max(0, ...ends)];
  const reach = to - from || 1;
  const y = (deviation: number) =>
    Math.round((BOTTOM - ((deviation - from) / reach) * (BOTTOM - TOP)) * 10) / 10;
  const words = (deviation: number) => {
    const text = plainNumber(Number(deviation.toFixed(1))).replace('-', '−');
    return deviation > 0 ? `+${text}` : text;
  };
  const zone = (name: string, size: Size, x: number) => {
    const [lower, upper] = [(size.lower - zero) * 1000, (size.upper - zero) * 1000];
    return {
      name,
      x,
      y: y(upper),
      height: Math.max(1, Math.round((y(lower) - y(upper)) * 10) / 10),
      upper: { y: y(upper) - 4, text: words(upper) },
      lower: { y: y(lower) + 13, text: words(lower) },
    };
  };
  const zones = [zone('hole', hole, 110), zone('shaft', shaft, 250)];
  return {
    width: WIDTH,
    height: HEIGHT,
    zeroY: y(0),
    nominal: `${plainNumber(zero)} mm`,
    zones,
    words: `Zones about ${plainNumber(zero)} mm, in micrometres: hole ${words((hole.lower - zero) * 1000)} to ${words((hole.upper - zero) * 1000)}, shaft ${words((shaft.lower - zero) * 1000)} to ${words((shaft.upper - zero) * 1000)}.`,
  };
}
