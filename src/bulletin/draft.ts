import { type LogRow, noted } from '../log/index.ts';
import { formatQuantity } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import { KINDS, TOLD_OTHERWISE } from './acts-told.ts';
import { SECTIONS, type Telling, type Words } from './telling.ts';

export type { Words } from './telling.ts';

export interface DraftLine {
  /** stays the same while the facts do: the lead leaves a line out by it */
  key: string;
  words: Words;
  /** a public page of this build that it leads to */
  href?: string;
}

export interface DraftSection {
  key: string;
  title: string;
  /** said instead of lines when there are none */
  absent: string;
  lines: DraftLine[];
  /** the lead's Markdown to it */
  own?: string;
}

/** Who is thanked, and what for. */
export interface Thank {
  person: number;
  for: string;
}

/** A week told from the log and the facts of the day, and nothing else. */
export interface Draft {
  sections: DraftSection[];
  /** in the order of their first act, those thanked by hand last */
  thanks: Thank[];
  /** as it stands now; of a week that is over, as it stood at its end */
  finishOn: Day | null;
  /** the finish as it stood a week before; null when nobody computed it then */
  finishBefore: Day | null;
  /** the day that what is late, what is needed and what comes next is told as of */
  asOf?: Day;
}

/** A section of more lines says how many more there are. */
const MOST_LINES = 60;

/**
 * What was done in a week, by section, from its log rows.
 *
 * @param rows  the log of the week, oldest first
 */
export function doneInWeek(rows: readonly LogRow[]): DraftSection[] {
  const lines = new Map<string, DraftLine[]>(SECTIONS.map(([key]) => [key, []]));
  const groups = new Map<string, { telling: Telling; rows: LogRow[] }>();
  for (const row of rows) {
    const told = KINDS[row.kind]?.told;
    if (told === undefined || typeof told === 'string') continue;
    const after = noted(row.after);
    for (const telling of [told, ...(TOLD_OTHERWISE[row.kind] ?? [])]) {
      if (telling.without?.(row, after)) continue;
      const key = `${telling.section}-${telling.together ? telling.together(row) : `act-${row.id}`}`;
      const group = groups.get(key);
      if (group) group.rows.push(row);
      else groups.set(key, { telling, rows: [row] });
    }
  }
  for (const [key, group] of groups) {
    const line = lineOf(key, group);
    if (line) lines.get(group.telling.section)!.push(line);
  }
  lines.get('accepted')!.push(...acceptedLines(rows));
  return SECTIONS.map(([key, title, absent]) => ({
    key,
    title,
    absent,
    lines: shortened(key, lines.get(key)!),
  }));
}

function lineOf(key: string, { telling, rows }: { telling: Telling; rows: LogRow[] }): DraftLine | null {
  const known = rows.filter(({ milli }) => milli !== null);
  const sum = known.reduce((milli, row) => milli + added(row), 0);
  if (telling.together && known.length > 0 && sum <= 0) return null;
  const row = rows[0]!;
  const amount = known.length ? formatQuantity(sum, row.partUnit ?? 'piece') : 'some';
  return {
    // What was left out is seen again once something is added to it.
    key: known.length && telling.together ? `${key}-${sum}` : key,
    words: telling.words({ row, after: noted(rows.at(-1)!.after), amount }),
  };
}

function added(row: LogRow): number {
  const told = KINDS[row.kind]!.told as Telling;
  return told.adds ? told.adds(row, noted(row.after)) : row.milli!;
}

function shortened(section: string, lines: DraftLine[]): DraftLine[] {
  if (lines.length <= MOST_LINES) return lines;
  const more = lines.length - MOST_LINES + 1;
  return [
    ...lines.slice(0, MOST_LINES - 1),
    { key: `more-${section}-${more}`, words: [`And ${more} more.`] },
  ];
}

const accepted = new Set<unknown>(['accept', 'concession']);

/** Inspections of one job in one line: how many were accepted, how many not. */
function acceptedLines(rows: readonly LogRow[]): DraftLine[] {
  const byJob = new Map<number, { row: LogRow; yes: number; no: number }>();
  for (const row of rows) {
    const corrects = row.kind === 'correct-inspection';
    if ((!corrects && row.kind !== 'inspect-units') || row.jobId === null) continue;
    const sum = byJob.get(row.jobId) ?? { row, yes: 0, no: 0 };
    const milli = row.milli ?? 0;
    if (accepted.has(noted(row.after).disposition)) sum.yes += milli;
    else sum.no += milli;
    // What was said of the unit before holds no longer.
    if (corrects && accepted.has(noted(row.before).disposition)) sum.yes -= milli;
    else if (corrects) sum.no -= milli;
    byJob.set(row.jobId, sum);
  }
  const changed = [...byJob].filter(([, { yes, no }]) => yes > 0 || no > 0);
  return changed.map(([jobId, { row, yes, no }]) => {
    const unit = row.partUnit ?? 'piece';
    const words = [
      yes > 0 ? `${formatQuantity(yes, unit)} accepted` : '',
      no > 0 ? `${formatQuantity(no, unit)} to be made good` : '',
    ].filter(Boolean);
    return {
      key: `inspected-${jobId}-${yes}-${no}`,
      words: [`${row.jobTitle ?? row.partName ?? 'a job'}: ${words.join(', ')}.`],
    };
  });
}
