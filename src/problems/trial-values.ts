import { plainUnit, type TrialKind } from './trial-kinds.ts';

export const MOST_VALUES = 10_000;
/** Characters that so many values, with their units, may take. */
export const MOST_TYPED = 200_000;
const LARGEST = 1e12;
/** No level lies further from its reference: beyond, its energy would be lost to rounding. */
const LARGEST_LEVEL = 500;
/** Yes and no are written one by one up to so many, or where their order would be lost. */
const WRITTEN_OUT = 40;

export type ReadValues = { ok: true; values: number[] } | { ok: false; sentence: string };

interface Piece {
  text: string;
  line: number;
  /** which of its line, from 1 */
  at: number;
}

class Unreadable extends Error {}

const shown = (text: string) => (text.length > 30 ? `${text.slice(0, 30)}…` : text);
const amount = (count: number) => count.toLocaleString('en');
const where = ({ line, at, text }: Piece) => `Line ${line}, value ${at}, “${shown(text)}”,`;

/** The pieces of a text between blanks, tabs, line breaks, semicolons and commas before a blank; a header line left out. */
function piecesOf(lines: readonly string[]): Piece[] {
  const inLines = lines.map((line, index) =>
    line
      .split(/[\s;|]+|,(?=\s)|,$/)
      .filter((text) => text !== '')
      .map((text, at) => ({ text, line: index + 1, at: at + 1 })),
  );
  const filled = inLines.filter(({ length }) => length > 0);
  const [first] = filled;
  // words above a column are its name; words alone are a mistake
  const header = filled.length > 1 && first && !first.some(({ text }) => isFigure(text)) ? first : null;
  return filled.flatMap((pieces) => (pieces === header ? [] : pieces));
}

const isFigure = (text: string) => /^[+\-−–]?[.,]?\d/.test(text) || /^(yes|no|y|n)$/i.test(text);

const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&');

/** The unit of the trial may stand after each number; of levels any weighting. */
function withoutUnit(line: string, unit: string): string {
  if (unit === '') return line;
  const form = /^dB/.test(unit) ? 'dB(?:\\([A-Z]\\)|[A-Z])?' : escaped(unit).replace(/µ/g, '[µμ]');
  return line.replace(new RegExp(`(?<=\\d[.,]?)[ \\t\\u00a0\\u202f]*${form}(?![\\p{L}\\p{N}(])`, 'gu'), ' ');
}

/** Marks between thousands that can be nothing else: narrow blanks and apostrophes before three digits. */
const withoutMarks = (line: string) => line.replace(/(?<=\d)[\u00a0\u2009\u202f'’](?=\d{3}(?!\d))/g, '');

const POINT = /^[+-]?(\d+\.\d*|\.\d+)(e[+-]?\d{1,3})?$/i;
const COMMA = /^[+-]?(\d+,\d*|,\d+)(e[+-]?\d{1,3})?$/i;
const WHOLE = /^[+-]?\d+(e[+-]?\d{1,3})?$/i;
/** 1.234 or 1,234: a number with three decimals, or a thousand and more. */
const EITHER = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;
const COMMA_THOUSANDS = /^[+-]?[1-9]\d{0,2}((,\d{3})+\.\d*|(,\d{3}){2,})$/;
const POINT_THOUSANDS = /^[+-]?[1-9]\d{0,2}((\.\d{3})+,\d*|(\.\d{3}){2,})$/;

/** One whole number with marks for thousands, or several with commas between. */
const isGrouped = (text: string) => /^[1-9]\d{0,2}([.,]\d{3})+$/.test(text);

/** Numbers with commas between and points in them; of whole numbers no point is needed. */
function isList(text: string, whole: boolean): boolean {
  const pieces = text.split(',');
  return (
    pieces.length > 1 &&
    pieces.every((piece) => (whole ? /^\d+$/.test(piece) : WHOLE.test(piece) || POINT.test(piece))) &&
    (whole || pieces.filter((piece) => piece.includes('.')).length > 1)
  );
}

/** How points and commas are meant, as far as the other numbers of the text tell. */
interface Marks {
  decimalPoint: boolean;
  decimalComma: boolean;
  thousandsComma: boolean;
  thousandsPoint: boolean;
}

function numberIn(piece: Piece, marks: Marks): number {
  const { text } = piece;
  if (COMMA_THOUSANDS.test(text)) return Number(text.replace(/,/g, ''));
  if (POINT_THOUSANDS.test(text)) return Number(text.replace(/\./g, '').replace(',', '.'));
  if (EITHER.test(text)) {
    const [thousands, other, same] = text.includes(',')
      ? [marks.thousandsComma, marks.decimalPoint, marks.decimalComma]
      : [marks.thousandsPoint, marks.decimalComma, marks.decimalPoint];
    if (thousands && !same) return Number(text.replace(/[.,]/, ''));
    if (thousands || (other && !same)) {
      const [decimals, thousand] = [text.replace(',', '.'), text.replace(/[.,]/, '')];
      throw new Unreadable(
        `${where(piece)} can be ${decimals} or ${thousand}: type ${thousand} for the one, ${decimals}0 for the other.`,
      );
    }
  }
  if (WHOLE.test(text) || POINT.test(text)) return Number(text);
  if (COMMA.test(text)) return Number(text.replace(',', '.'));
  throw new Unreadable(
    /^[+-]?[\d.,]+$/.test(text)
      ? `${where(piece)} is not a number. Put blanks, line breaks or semicolons between numbers; a comma is a decimal comma.`
      : '',
  );
}

function numbersIn(text: string, unit: string, kind: TrialKind): number[] {
  const whole = kind === 'failures';
  const lines = text.split(/\r\n?|\n/).map((line) => withoutUnit(withoutMarks(line), unit));
  const pieces = piecesOf(lines)
    .map((piece) => ({ ...piece, text: piece.text.replace(/^[\u2212\u2013]/, '-') }))
    .flatMap((piece) =>
      isList(piece.text, whole) && !(whole && isGrouped(piece.text))
        ? piece.text.split(',').map((text) => ({ ...piece, text }))
        : [piece],
    );
  const some = (form: RegExp) => pieces.some(({ text }) => form.test(text) && !EITHER.test(text));
  const marks = {
    decimalPoint: some(POINT),
    decimalComma: some(COMMA),
    thousandsComma: some(COMMA_THOUSANDS),
    thousandsPoint: some(POINT_THOUSANDS),
  };
  if (pieces.length > MOST_VALUES) {
    throw new Unreadable(`At most ${amount(MOST_VALUES)} values; this has ${amount(pieces.length)}.`);
  }
  return pieces.map((piece) => {
    if (whole && isGrouped(piece.text)) {
      throw new Unreadable(
        `${where(piece)} can be one number or several: type it without the mark, or put blanks between.`,
      );
    }
    let value: number;
    try {
      value = numberIn(piece, marks);
    } catch (fault) {
      if (!(fault instanceof Unreadable) || fault.message) throw fault;
      throw new Unreadable(
        `${where(piece)} is not a number. ${unit ? `Only the unit ${unit} may stand after one.` : 'This trial has no unit: type the numbers alone.'}`,
      );
    }
    if (kind === 'level' && Math.abs(value) > LARGEST_LEVEL) {
      throw new Unreadable(
        `${where(piece)} is no level: in dB it lies between −${LARGEST_LEVEL} and ${LARGEST_LEVEL}.`,
      );
    }
    if (Math.abs(value) > LARGEST)
      throw new Unreadable(`${where(piece)} is too large: choose a larger unit.`);
    if (whole && (!Number.isSafeInteger(value) || value < 0)) {
      throw new Unreadable(`${where(piece)} is no count: type whole numbers of 0 or more.`);
    }
    return value;
  });
}

function yesAndNo(text: string): number[] {
  const marked = text.replace(/(\d+)[ \t]*(?:of|\/)[ \t]*(\d+)/gi, ' $1/$2 ');
  const pieces = piecesOf(marked.split(/\r\n?|\n/)).flatMap((piece) =>
    piece.text
      .split(',')
      .filter(Boolean)
      .map((one) => ({ ...piece, text: one })),
  );
  const values: number[] = [];
  for (const piece of pieces) {
    const [, yes, of] = /^(\d{1,9})\/(\d{1,9})$/.exec(piece.text)?.map(Number) ?? [];
    if (yes !== undefined && of !== undefined) {
      if (yes > of) throw new Unreadable(`Line ${piece.line}: ${yes} of ${of} is more than all.`);
      if (values.length + of > MOST_VALUES) throw tooMany(values.length + of);
      for (let at = 0; at < of; at += 1) values.push(at < yes ? 1 : 0);
    } else if (/^(yes|y|1)$/i.test(piece.text)) values.push(1);
    else if (/^(no|n|0)$/i.test(piece.text)) values.push(0);
    else throw new Unreadable(`${where(piece)} is neither yes nor no: type yes and no, 1 and 0, or 7 of 10.`);
  }
  if (values.length > MOST_VALUES) throw tooMany(values.length);
  return values;
}

const tooMany = (count: number) =>
  new Unreadable(`At most ${amount(MOST_VALUES)} runs; this has ${amount(count)}.`);

/**
 * Reads typed or pasted measurements.
 *
 * Blanks, tabs, line breaks, semicolons, or a comma and a blank stand between numbers. A point or a comma is for the
 * decimals; where both stand in one number the first is for thousands, as are apostrophes and narrow blanks. `1,234`
 * beside `0.5` may be either and is asked back. The unit may stand after each number, the name of the column above.
 *
 * @param kind  failures: whole numbers of 0 or more; yes-no: yes, no, 1, 0 or `7 of 10`, given as ones and noughts
 * @param unit  of the trial
 * @returns     the values, or a sentence that names the line and the first piece that can't be read
 */
export function readValues(text: string, kind: TrialKind = 'other', unit = ''): ReadValues {
  try {
    const values = kind === 'yes-no' ? yesAndNo(text) : numbersIn(text, plainUnit(unit), kind);
    return { ok: true, values };
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    return { ok: false, sentence: fault.message };
  }
}

/** Values as they are stored, back as numbers. */
export function storedValues(json: string): number[] {
  const values: unknown = JSON.parse(json);
  return Array.isArray(values) ? values.filter((value): value is number => typeof value === 'number') : [];
}

/** Values as they are shown in a box to be changed; reading them gives the same again. */
export function writtenValues(values: readonly number[], kind: TrialKind = 'other'): string {
  if (kind !== 'yes-no') return values.join(' ');
  const sorted = values.every((value, at) => at === 0 || value <= (values[at - 1] ?? 0));
  return sorted && values.length > WRITTEN_OUT
    ? `${values.filter(Boolean).length} of ${values.length}`
    : values.map((value) => (value ? 'yes' : 'no')).join(' ');
}
