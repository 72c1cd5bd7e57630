export const MOST_VALUES = 1000;
const LARGEST = 1e12;

export type ReadValues = { ok: true; values: number[] } | { ok: false; sentence: string };

/**
 * Reads pasted measurements: blanks, line breaks, tabs or semicolons between them; a point or a comma for the decimals.
 * `81,2 80,4` and `81.2; 80.4` are two values each.
 */
export function readValues(text: string): ReadValues {
  const pieces = text.split(/[\s;]+|,(?=\s)|,$/).filter((piece) => piece !== '');
  if (pieces.length > MOST_VALUES) {
    return { ok: false, sentence: `At most ${MOST_VALUES} values; this has ${pieces.length}.` };
  }
  const values: number[] = [];
  for (const [at, piece] of pieces.entries()) {
    const plain = piece.replace(/^[\u2212\u2013]/, '-');
    const value = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d{1,3})?$/i.test(plain)
      ? Number(plain.replace(',', '.'))
      : Number.NaN;
    if (Number.isNaN(value)) {
      const shown = piece.length > 30 ? `${piece.slice(0, 30)}…` : piece;
      return {
        ok: false,
        sentence: `Value ${at + 1}, “${shown}”, is not a number. Put blanks, line breaks or semicolons between numbers; a comma is a decimal comma.`,
      };
    }
    if (Math.abs(value) > LARGEST) {
      return { ok: false, sentence: `Value ${at + 1} is too large: choose a larger unit.` };
    }
    values.push(value);
  }
  return { ok: true, values };
}

/** Values as they are stored, back as numbers. */
export function storedValues(json: string): number[] {
  const values: unknown = JSON.parse(json);
  return Array.isArray(values) ? values.filter((value): value is number => typeof value === 'number') : [];
}

/** Values as they are shown in a box to be changed. */
export function writtenValues(values: readonly number[]): string {
  return values.join(' ');
}
