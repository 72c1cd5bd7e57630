// How the figures of a trial are written: a true minus, as many decimals as make sense, odds that one can picture.

/** A number with so many decimals, and a true minus. */
export function figure(value: number, places: number): string {
  const text = value.toFixed(places);
  return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', '−');
}

/** Decimals that show two figures of a spread, eight at most. */
export function placesFor(size: number): number {
  return size > 0 ? Math.min(8, Math.max(0, 1 - Math.floor(Math.log10(size)))) : 2;
}

/** A number of 0 or more to so many figures that mean something, without an exponent. */
function figures(value: number, count: number): string {
  if (value === 0) return '0';
  const rounded = Number(value.toPrecision(count));
  return rounded < 1e-8
    ? 'under 0.00000001'
    : rounded.toLocaleString('en', { maximumFractionDigits: 10, useGrouping: rounded >= 10_000 });
}

/** 0.0123, 4.5, 1230 */
export const threeFigures = (value: number) => figures(value, 3);

/** 0.012, 4.5, 1200 */
export const twoFigures = (value: number) => figures(value, 2);

/** A number as it was typed, without an exponent: 0.0000001. */
export const plainNumber = (value: number) =>
  value.toLocaleString('en', { maximumFractionDigits: 20, useGrouping: false });

export const withUnit = (text: string, unit: string) => (unit ? `${text} ${unit}` : text);

export const countWords = (count: number, one: string, many = `${one}s`) =>
  `${count.toLocaleString('en')} ${count === 1 ? one : many}`;

export function pWords(p: number): string {
  if (p < 0.0001) return 'under 0.0001';
  return p < 0.1 ? String(Number(p.toPrecision(2))) : p.toFixed(2);
}

/** A chance as odds that a person can picture: '1 of 250', '34 of 100'. */
function oddsWords(p: number): string {
  if (p < 1e-6) return 'fewer than 1 of 1,000,000';
  if (p >= 0.995) return 'all';
  if (p >= 0.015) return `${Math.round(p * 100)} of 100`;
  const one = Number((1 / p).toPrecision(2));
  return `1 of ${one.toLocaleString('en')}`;
}

/** What the p-value means, for somebody who never heard of one. */
export const chanceWords = (p: number) =>
  `If nothing had changed, ${p >= 0.995 ? 'all trials like this one would come out at least as far apart' : `values this far apart would come about in ${oddsWords(p)} trials like this one`}.`;
