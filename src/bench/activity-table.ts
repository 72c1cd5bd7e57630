import { type PastedLine, quoted, type Typed, typedNumber } from './typed.ts';

type LinkType = 'FS' | 'SS' | 'FF' | 'SF';

export interface TypedPredecessor {
  id: string;
  type?: LinkType;
  lag?: number;
}

// A comma parts two predecessors, except inside a lag: "A FS+2,5".
const betweenPredecessors = /,(?=\s|\D|$)|,(?<!\b(?:FS|SS|FF|SF)\s*[+\u2212-]\s*\d+,)/i;
const predecessor = /^(.+?)(?:\s+(FS|SS|FF|SF)(?:\s*([+\u2212-])\s*(\d+(?:[.,]\d+)?))?)?$/i;

/**
 * Predecessors as they are typed in a cell: `A, B SS+2, C FF-1`. Without a type the start waits for the finish; the
 * lag is in days.
 */
export function predecessorsTyped(cell: string): TypedPredecessor[] {
  return cell
    .split(betweenPredecessors)
    .map((piece) => piece.trim())
    .filter((piece) => piece !== '')
    .map((piece) => {
      const [, id = piece, type, sign, size] = predecessor.exec(piece) ?? [];
      if (!type) return { id };
      const lag = size === undefined ? undefined : typedNumber(`${sign === '+' ? '' : '-'}${size}`);
      return { id, type: type.toUpperCase() as LinkType, ...(lag === undefined ? {} : { lag }) };
    });
}

/** The lines of a table of activities, without a heading whose first cell says so. */
export function activityLines(typed: Typed, field: string, most: number): PastedLine[] {
  const lines = typed.lines(field, most);
  if (/^(id|activity|name)$/i.test(lines[0]?.cells[0] ?? '')) lines.shift();
  if (lines.length === 0) typed.wrong(field, 'Paste at least one activity, as in the example.');
  for (const { line, cells } of lines) {
    if (!cells[0]) typed.wrong(field, `Line ${line}: the first cell, the id, is empty.`);
  }
  return lines;
}

/** A number of days in a cell that must hold one. */
export function daysTyped(
  typed: Typed,
  field: string,
  { line, cells }: PastedLine,
  at: number,
  what: string,
): number {
  const text = cells[at] ?? '';
  const value = typedNumber(text);
  if (text === '') typed.wrong(field, `Line ${line}: the ${what} is missing.`);
  else if (Number.isNaN(value))
    typed.wrong(field, `Line ${line}: ${quoted(text)} is not a number of days (${what}).`);
  else if (value < 0) typed.wrong(field, `Line ${line}: the ${what} is below 0.`);
  return value;
}

/** Complains about cells beyond those the table has. */
export function refuseMoreCells(
  typed: Typed,
  field: string,
  lines: readonly PastedLine[],
  most: number,
): void {
  for (const { line, cells } of lines) {
    if (cells.slice(most).some((cell) => cell !== '')) {
      typed.wrong(
        field,
        `Line ${line} has ${cells.length} cells; ${most} are read. Part predecessors by commas.`,
      );
    }
  }
}
