/** Sizes in which a material is sold, in mm, as far as its entry says them in figures. */
export interface StockSizes {
  /** thicknesses of sheet and plate, from and to: a single one twice */
  thicknesses: [from: number, to: number][];
  /** the largest sheets, longer side first */
  sheets: [number, number][];
  /** the thickest round bar; null where none is named */
  barMm: number | null;
}

const NUMBER = String.raw`\d+(?:\.\d+)?`;
const LIST = new RegExp(
  String.raw`^(sheet|plate|round bar)\s+(?:(${NUMBER}) to (${NUMBER})|(${NUMBER}(?:, ${NUMBER})*)) mm(?:, (.*))?$`,
  'i',
);
const SHEET = new RegExp(`(${NUMBER}) × (${NUMBER})`, 'g');

/**
 * Reads the sizes of stock that stand in sentences such as "sheet 1, 1.5, 2 mm", "plate 5 to 60 mm, 1000 × 2000 mm",
 * "sheets 1250 × 2500, 1500 × 3000 mm" and "round bar 6 to 100 mm". Any other sentence is passed over.
 */
export function stockSizes(sentences: readonly string[]): StockSizes {
  const sizes: StockSizes = { thicknesses: [], sheets: [], barMm: null };
  for (const sentence of sentences) {
    const [, what, from, to, list, more = ''] = LIST.exec(sentence.trim()) ?? [];
    const sheets = /^sheets\s/i.test(sentence) ? sentence : more;
    for (const [, a, b] of sheets.matchAll(SHEET)) {
      sizes.sheets.push([Math.max(Number(a), Number(b)), Math.min(Number(a), Number(b))]);
    }
    if (!what) continue;
    const spans = list
      ? list.split(', ').map((one): [number, number] => [Number(one), Number(one)])
      : [[Number(from), Number(to)] as [number, number]];
    if (/bar/i.test(what)) sizes.barMm = Math.max(sizes.barMm ?? 0, ...spans.map(([, end]) => end));
    else sizes.thicknesses.push(...spans);
  }
  return sizes;
}
