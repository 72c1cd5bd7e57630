import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';

export type Sheet = 'problems' | 'redesigns' | 'trials' | 'decisions' | 'gatherings';

const COUNTS: Record<Sheet, string> = {
  problems: `SELECT COUNT(*) FROM Problem
    WHERE removedAt IS NULL AND acceptedAt IS NULL AND curedAt IS NULL AND sameAsId IS NULL AND @today <> ''`,
  redesigns: `SELECT COUNT(*) FROM Redesign WHERE closedAt IS NULL AND droppedAt IS NULL AND @today <> ''`,
  trials: `SELECT COUNT(*) FROM Trial WHERE passed IS NULL AND @today <> ''`,
  decisions: `SELECT COUNT(*) FROM Decision WHERE decidedAt IS NULL AND droppedAt IS NULL AND @today <> ''`,
  gatherings: 'SELECT COUNT(*) FROM Gathering WHERE droppedAt IS NULL AND untilOn >= @today',
};

const LABELS: Record<Sheet, string> = {
  problems: 'Problems',
  redesigns: 'Redesigns',
  trials: 'Trials',
  decisions: 'Decisions',
  gatherings: 'Gatherings',
};

const SHEETS = Object.keys(COUNTS) as Sheet[];

/** The strip along the top of the five lists, with how much is open on each. */
export function loopTabs({ hot }: Pick<Database, 'hot'>, current: Sheet, today: Day) {
  return SHEETS.map((sheet) => ({
    href: `/${sheet}`,
    label: LABELS[sheet],
    current: sheet === current,
    count: hot.prepare<[{ today: Day }], number>(COUNTS[sheet]).pluck().get({ today }) ?? 0,
  }));
}
