import type { LengthUnit } from '../specs/pure/index.ts';

// How the bench writes figures: a true minus, as many decimals as make sense in a workshop, the same in a column.

/** Decimals of a length: a tenth of a micrometre in mm, and about as fine in inches. */
export const placesOf = (unit: LengthUnit) => (unit === 'mm' ? 4 : 5);

/** A number with at most so many decimals, closing zeros left out: 25.0210 -> 25.021, -0.5 -> −0.5. */
export function figure(value: number, places = 4): string {
  if (value !== 0 && Math.abs(value) >= 1e15) return minus(value.toExponential(3));
  const text = value.toFixed(places);
  const short = places > 0 ? text.replace(/\.?0+$/, '') : text;
  return minus(short === '-0' ? '0' : short);
}

/** The same for several numbers that stand together, with the same number of decimals, not fewer than `least`. */
export function figures(values: readonly number[], places = 4, least = 3): string[] {
  const needed = Math.max(least, ...values.map((value) => decimalsOf(figure(value, places))));
  return values.map((value) => minus(zeroless(value.toFixed(needed))));
}

/** With its sign, a deviation: +0.021, 0, −0.007. */
export function signed(value: number, places = 4): string {
  const text = figure(value, places);
  return value > 0 && text !== '0' ? `+${text}` : text;
}

/** A chance or a share as a person says it: 4.3 %, under 0.01 %, 100 %. */
export function percent(share: number): string {
  if (share > 0 && share < 0.0001) return 'under 0.01 %';
  if (share < 1 && share > 0.9999) return 'over 99.99 %';
  return `${figure(share * 100, share < 0.01 || share > 0.99 ? 2 : 1)} %`;
}

const minus = (text: string) => text.replace('-', '−');
const zeroless = (text: string) => (/^-0\.?0*$/.test(text) ? text.slice(1) : text);
const decimalsOf = (text: string) => text.split('.')[1]?.length ?? 0;
