/** What a browser sent for a form, by field. */
export type TypedValues = Record<string, unknown>;

const hidden =
  /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]/;
const shownAtMost = 30;

/** A number as people write it, with a point or a comma for the decimals; NaN when it is none. */
export function typedNumber(text: string): number {
  const plain = text.trim().replace(/^[\u2212\u2013]/, '-');
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d{1,3})?$/i.test(plain)) return Number.NaN;
  const value = Number(plain.replace(',', '.'));
  return Number.isFinite(value) ? value : Number.NaN;
}

/** A piece of what was typed, short enough for a sentence. */
export const quoted = (text: string) =>
  `"${text.length > shownAtMost ? `${text.slice(0, shownAtMost)}…` : text}"`;

/** A line of a pasted table and its number, from 1; blank lines are left out. */
export interface PastedLine {
  line: number;
  cells: string[];
}

/** Reads the fields of a bench form one by one and gathers a sentence for each that does not fit. */
export class Typed {
  readonly errors: Record<string, string> = {};
  readonly #values: TypedValues;

  constructor(values: TypedValues) {
    this.#values = values;
  }

  /** Says what is wrong with a field; the first complaint stays. */
  wrong(field: string, sentence: string): void {
    this.errors[field] ??= sentence;
  }

  /** One line, trimmed; '' when nothing was typed. */
  text(field: string, most = 200): string {
    const text = this.#raw(field).trim();
    if (hidden.test(text)) this.wrong(field, 'This holds characters that cannot be seen; type it again.');
    else if (text.length > most) this.wrong(field, `At most ${most} characters; this has ${text.length}.`);
    return text;
  }

  ticked(field: string): boolean {
    return this.#raw(field) !== '';
  }

  /** One of a few words, or undefined when nothing was chosen. */
  choice<const T extends string>(field: string, of: readonly T[]): T | undefined {
    const text = this.#raw(field);
    const chosen = of.find((one) => one === text);
    if (text !== '' && !chosen) this.wrong(field, 'Choose one of the list.');
    return chosen;
  }

  /** A number, or undefined when nothing was typed. */
  optionalNumber(field: string): number | undefined {
    const text = this.text(field, 40);
    if (text === '') return undefined;
    const value = typedNumber(text);
    if (Number.isNaN(value)) this.wrong(field, `${quoted(text)} is not a number; type it like 12.5 or 12,5.`);
    return value;
  }

  /** A number that must be there. */
  number(field: string, sentence = 'Type a number.'): number {
    const value = this.optionalNumber(field);
    if (value === undefined) this.wrong(field, sentence);
    return value ?? Number.NaN;
  }

  /** Numbers with blanks, line breaks or semicolons between them. */
  numbers(field: string, most: number): number[] {
    const pieces = this.#raw(field)
      .split(/[\s;]+|,(?=\s)|,$/)
      .filter((piece) => piece !== '');
    if (pieces.length > most) {
      this.wrong(
        field,
        `At most ${most.toLocaleString('en')} values; this has ${pieces.length.toLocaleString('en')}.`,
      );
      return [];
    }
    return pieces.map((piece, at) => {
      const value = typedNumber(piece);
      if (Number.isNaN(value)) {
        this.wrong(
          field,
          `Value ${at + 1}, ${quoted(piece)}, is not a number. Put blanks, line breaks or semicolons between numbers; a comma is a decimal comma.`,
        );
      }
      return value;
    });
  }

  /** The lines of a pasted table, cut at tabs where a line has one, else at semicolons. */
  lines(field: string, most: number): PastedLine[] {
    const lines = this.#raw(field)
      .split(/\r\n?|\n/)
      .map((text, at) => ({ line: at + 1, text }))
      .filter(({ text }) => text.trim() !== '');
    if (lines.length > most) {
      this.wrong(
        field,
        `At most ${most.toLocaleString('en')} lines; this has ${lines.length.toLocaleString('en')}.`,
      );
      return [];
    }
    return lines.map(({ line, text }) => ({
      line,
      cells: text.split(text.includes('\t') ? '\t' : ';').map((cell) => cell.trim()),
    }));
  }

  #raw(field: string): string {
    const value = this.#values[field];
    return typeof value === 'string' ? value : '';
  }
}
