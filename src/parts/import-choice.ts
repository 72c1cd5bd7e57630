import type { ImportLine, ImportPlan, ImportUse, NewAssembly } from './import-types.ts';

/** What the person says to a plan. */
export interface ImportChoice {
  /** Lines of the unusual rows to take. */
  unusual: 'all' | 'none' | readonly number[];
  /** Take the good rows although some are bad. */
  despiteBad: boolean;
  /** Lines to leave out although they are good. */
  leaveOut: readonly number[];
}

/** What is to be done, in this order: the assemblies, then the parts, then the uses. */
export interface ImportTaking {
  assemblies: NewAssembly[];
  /** New and changed parts; further uses have none. */
  parts: ImportLine[];
  /** New and changed uses, with the line they come from. */
  uses: { line: ImportLine; use: ImportUse & { quantityMilli: number } }[];
  /** Rows that are not taken, and uses that cannot be, with the reason. */
  left: { line: number; reason: string }[];
}

export type ImportChoiceReading =
  | { ok: true; taking: ImportTaking }
  | { ok: false; code: 'has-bad-rows' | 'nothing-to-take'; sentence: string };

/**
 * What of a plan is taken.
 *
 * Bad rows never are, and the good ones beside them only when the person says so. A row that goes into a row left out
 * comes in without that use. A use whose quantity the person has not said waits.
 */
export function takeFromPlan(plan: ImportPlan, choice: ImportChoice): ImportChoiceReading {
  const bad = plan.lines.filter(({ verdict }) => verdict === 'bad');
  if (bad.length > 0 && !choice.despiteBad) {
    const rows = bad.length === 1 ? 'One row is' : `${bad.length} rows are`;
    const sentence = `${rows} bad (${lineWords(bad)}): mend the list, or say that the other rows are to be taken.`;
    return { ok: false, code: 'has-bad-rows', sentence };
  }
  const left = bad.map(({ line, reasons }) => ({ line, reason: reasons.join(' ') }));
  const leftOut = new Set(choice.leaveOut);
  const taken = new Map<number, ImportLine>();
  for (const line of plan.lines) {
    if (line.verdict === 'bad' || line.verdict === 'same') continue;
    const main = line.sameAsLine;
    if (leftOut.has(line.line)) left.push({ line: line.line, reason: 'Left out by choice.' });
    else if (line.verdict === 'unusual' && !takesUnusual(choice, line.line)) {
      left.push({ line: line.line, reason: `Not taken unless you say so: ${line.reasons.join(' ')}` });
    } else if (main !== null && line.partId === null && !taken.has(main)) {
      left.push({ line: line.line, reason: `Line ${main}, which describes the part, is not taken.` });
    } else taken.set(line.line, line);
  }

  const uses: ImportTaking['uses'] = [];
  for (const line of taken.values()) {
    for (const use of line.uses) {
      const { quantityMilli } = use;
      if (use.verdict === 'same') continue;
      if (quantityMilli === null)
        left.push({ line: line.line, reason: `How many go into "${use.assembly}" is not said.` });
      else if ('line' in use.parent && !taken.has(use.parent.line)) {
        const reason = `"${use.assembly}" is on line ${use.parent.line}, which is not taken.`;
        left.push({ line: line.line, reason });
      } else uses.push({ line, use: { ...use, quantityMilli } });
    }
  }
  const assemblies = plan.newAssemblies.filter(({ lines }) => lines.some((line) => taken.has(line)));
  const parts = [...taken.values()].filter(({ part, changes }) => part !== null && changes.length > 0);
  if (parts.length === 0 && uses.length === 0 && assemblies.length === 0) {
    return {
      ok: false,
      code: 'nothing-to-take',
      sentence: 'There is nothing to take: the list changes nothing.',
    };
  }
  left.sort((a, b) => a.line - b.line);
  return { ok: true, taking: { assemblies, parts, uses, left } };
}

function takesUnusual({ unusual }: ImportChoice, line: number): boolean {
  return unusual === 'all' || (unusual !== 'none' && unusual.includes(line));
}

function lineWords(lines: readonly ImportLine[]): string {
  const shown = lines.slice(0, 10).map(({ line }) => line);
  return `${lines.length === 1 ? 'line' : 'lines'} ${shown.join(', ')}${lines.length > 10 ? ' and more' : ''}`;
}
