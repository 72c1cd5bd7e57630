import { CsvError, parse } from 'csv-parse/sync';

export type Delimiter = ',' | ';' | '\t' | '|';

/** What can stand between the cells of a list, with its word. */
export const importDelimiters: readonly { sign: Delimiter; name: string }[] = [
  { sign: ',', name: 'comma' },
  { sign: ';', name: 'semicolon' },
  { sign: '\t', name: 'tab' },
  { sign: '|', name: 'upright bar' },
];

export interface ImportRow {
  /** Lines of the file on which the row begins and ends, counted from 1. */
  line: number;
  lastLine: number;
  /** One cell for each column of the header, blanks around them taken off; cells that are missing are empty. */
  cells: string[];
  /** How the row does not fit the header, as a sentence; null when it does. */
  ragged: string | null;
}

export interface ImportTable {
  delimiter: Delimiter;
  /** Names of the columns, made up (`Column 3`) where the header leaves one empty or there is no header. */
  header: string[];
  /** Line of the header; null when there is none. */
  headerLine: number | null;
  rows: ImportRow[];
}

export interface ImportTableOptions {
  /** Guessed where left out. */
  delimiter?: Delimiter | undefined;
  /** The line of the header, or null for a list without one; guessed where left out. */
  headerLine?: number | null | undefined;
  /** False where a quote is only an inch sign and never encloses a cell. */
  quotes?: boolean | undefined;
}

export type ImportTableRefusal = 'open-quote' | 'too-many-rows' | 'no-rows' | 'no-header' | 'unreadable';

export type ImportTableReading =
  | { ok: true; table: ImportTable }
  | { ok: false; code: ImportTableRefusal; sentence: string; line: number | null };

export const mostImportRows = 20_000;
const mostColumns = 200;

interface Raw {
  line: number;
  lastLine: number;
  cells: string[];
}

/**
 * Rows and cells of a list, with their lines in the file.
 *
 * Follows RFC 4180 (quoted cells, doubled quotes, line ends inside quotes) and lets pass what people's files do
 * besides: a quote in the middle of a cell, blanks around quotes, rows shorter or longer than the header (kept, with a
 * note), empty rows (left out), a first line `sep=;`.
 *
 * @param text the list with `\n` line ends, as readImportText gives it
 */
export function readImportTable(text: string, options: ImportTableOptions = {}): ImportTableReading {
  const hint = /^sep=([,;\t|])[ \t]*(?:\n|$)/i.exec(text);
  // The hint line stays in the text as an empty one, so that lines keep their numbers.
  const body = hint ? text.slice(hint[0].replace(/\n$/, '').length) : text;
  const quotes = options.quotes ?? true;
  const delimiter = options.delimiter ?? (hint?.[1] as Delimiter | undefined) ?? guessDelimiter(body, quotes);
  const raw = parsed(body, delimiter, quotes);
  if (!Array.isArray(raw)) return raw;
  if (raw.length === 0) return refusal('no-rows', 'There is nothing in the list but blanks.', null);

  const headerAt = options.headerLine === undefined ? guessHeader(raw) : lineIndex(raw, options.headerLine);
  if (headerAt === null) return refusal('no-header', `Line ${options.headerLine} holds no row.`, null);
  const first = raw[headerAt];
  const rest = raw.slice(headerAt + 1);
  if (rest.length === 0)
    return refusal('no-rows', 'The list has a header but no rows below it.', first?.line ?? null);
  if (rest.length > mostImportRows) {
    return refusal('too-many-rows', `The list has more than ${mostImportRows} rows: split it.`, null);
  }
  const width = first ? filledWidth(first.cells) : Math.max(...rest.map(({ cells }) => filledWidth(cells)));
  if (width > mostColumns) {
    return refusal(
      'unreadable',
      `The list has ${width} columns: at most ${mostColumns} are read.`,
      first?.line ?? null,
    );
  }
  const header = Array.from({ length: width }, (_, column) => first?.cells[column] || `Column ${column + 1}`);
  const rows = rest.map((row) => fitted(row, header, first?.cells.length ?? width));
  return { ok: true, table: { delimiter, header, headerLine: first?.line ?? null, rows } };
}

/**
 * The delimiter that cuts most rows into as many cells as the first full one, more cells before fewer; comma when none
 * cuts anything.
 */
export function guessDelimiter(text: string, quotes = true): Delimiter {
  const sample = text.slice(0, 60_000);
  let best: { sign: Delimiter; score: number; width: number } = { sign: ',', score: 0, width: 1 };
  for (const { sign } of importDelimiters) {
    const widths = cellCounts(sample, sign, quotes);
    const counts = new Map<number, number>();
    for (const width of widths) counts.set(width, (counts.get(width) ?? 0) + 1);
    const [width, alike] = [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0] ?? [1, 0];
    if (width < 2) continue;
    const score = Math.round((alike / widths.length) * 10);
    if (score > best.score || (score === best.score && width > best.width)) best = { sign, score, width };
  }
  return best.sign;
}

/** Cells in each row that is not empty, for up to 200 rows; a rough count that minds quotes only at a cell's start. */
function cellCounts(text: string, sign: Delimiter, quotes: boolean): number[] {
  const counts: number[] = [];
  let cells = 1;
  let filled = false;
  let quoted = false;
  let cellStart = true;
  for (let at = 0; at < text.length && counts.length < 200; at++) {
    const char = text[at];
    if (quoted) {
      if (char === '"' && text[at + 1] === '"') at += 1;
      else if (char === '"') quoted = false;
    } else if (char === '"' && quotes && cellStart) {
      quoted = true;
      filled = true;
    } else if (char === sign) {
      cells += 1;
      cellStart = true;
      continue;
    } else if (char === '\n') {
      if (filled) counts.push(cells);
      cells = 1;
      filled = false;
      cellStart = true;
      continue;
    } else if (char !== ' ') {
      filled = true;
    }
    if (char !== ' ') cellStart = false;
  }
  if (filled && counts.length < 200) counts.push(cells);
  return counts;
}

function parsed(
  text: string,
  delimiter: Delimiter,
  quotes: boolean,
): Raw[] | (ImportTableReading & { ok: false }) {
  const rows: Raw[] = [];
  let line = 1;
  try {
    parse(text, {
      delimiter,
      quote: quotes ? '"' : null,
      record_delimiter: '\n',
      relax_column_count: true,
      relax_quotes: true,
      ltrim: true,
      to: 2 * mostImportRows,
      on_record: (cells: string[], { lines }) => {
        const trimmed = cells.map(tidyCell);
        if (trimmed.some((cell) => cell !== '')) rows.push({ line, lastLine: lines, cells: trimmed });
        line = lines + 1;
        return null;
      },
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    if (error.code === 'CSV_QUOTE_NOT_CLOSED') {
      return refusal(
        'open-quote',
        `A quote opens in the row on line ${line} and never closes. If quotes are inch signs here, say that they enclose nothing.`,
        line,
      );
    }
    return refusal('unreadable', `The row on line ${line} cannot be read.`, line);
  }
  return rows;
}

/** A blank behind a closing quote makes the parser keep the quotes: they are taken off here. */
function tidyCell(cell: string): string {
  const quoted = /^"(.*)"\s+$/s.exec(cell);
  return (quoted?.[1] ?? cell).trim();
}

/** The place of the header: a line the person names, -1 for none; null where the line holds no row. */
function lineIndex(raw: readonly Raw[], line: number | null): number | null {
  if (line === null) return -1;
  const at = raw.findIndex((row) => row.line <= line && line <= row.lastLine);
  return at === -1 ? null : at;
}

/** The first row that is as wide as most and holds words in most of its cells; titles above a table are narrower. */
function guessHeader(raw: readonly Raw[]): number {
  const widths = raw.slice(0, 50).map(({ cells }) => filledWidth(cells));
  const usual = [...widths].sort((a, b) => a - b)[Math.floor(widths.length / 2)] ?? 1;
  const found = raw.slice(0, 20).findIndex(({ cells }) => {
    const filled = cells.filter((cell) => cell !== '');
    const words = filled.filter((cell) => /\p{L}{2}/u.test(cell) && !/^[\d$€£.,\s]+/.test(cell));
    return filledWidth(cells) >= usual && filled.length * 2 > usual && words.length * 2 > filled.length;
  });
  return Math.max(found, 0);
}

/** Cells up to the last one that is not empty. */
function filledWidth(cells: readonly string[]): number {
  return cells.findLastIndex((cell) => cell !== '') + 1;
}

/**
 * The row in the width of the header. A row is ragged when it has other than the cells of the header's own line; empty
 * cells too many are harmless.
 */
function fitted({ line, lastLine, cells }: Raw, header: readonly string[], headerCells: number): ImportRow {
  const inWidth = header.map((_, column) => cells[column] ?? '');
  const extra = cells.slice(header.length).filter((cell) => cell !== '');
  let ragged: string | null = null;
  if (cells.length < header.length) {
    const missing = header.slice(cells.length).map((name) => `"${name}"`);
    const count = missing.length === 1 ? 'One cell is' : `${missing.length} cells are`;
    ragged = `${count} missing at the end (${cells.length} of ${headerCells}): nothing for ${missing.join(', ')}.`;
  } else if (extra.length > 0) {
    const count = extra.length === 1 ? 'One cell is' : `${extra.length} cells are`;
    const shown = extra.map((cell) => `"${cell.slice(0, 40)}"`).join(', ');
    ragged = `${count} too many (${cells.length} of ${headerCells}), a delimiter may stand inside a cell: ${shown}.`;
  }
  return { line, lastLine, cells: inWidth, ragged };
}

function refusal(
  code: ImportTableRefusal,
  sentence: string,
  line: number | null,
): ImportTableReading & { ok: false } {
  return { ok: false, code, sentence, line };
}
