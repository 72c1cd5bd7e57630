import { formatQuantity, type Unit } from '../parts/index.ts';

/** So much of one part. */
export interface PartShare {
  partId: number | null;
  name: string;
  unit: Unit;
  milli: number;
}

/** What the tables say that somebody did, since the beginning. */
export interface Counts {
  parcels: number;
  drawings: number;
  problems: number;
  answers: number;
  questions: number;
  inspections: number;
  received: number;
  trials: number;
  work: number;
  gatherings: number;
}

/** What one person gave to the build. */
export interface Contribution {
  personId: number;
  /** accepted as drawn or by concession */
  made: PartShare[];
  /** claimed, and not accepted yet */
  inHand: PartShare[];
  counts: Counts;
  /** what else the log thanks them for: 'planning', 'drawing' */
  reasons: string[];
  /** the moment of the first thing they did, as ISO text */
  firstAt: string;
}

export const NO_COUNTS: Counts = {
  parcels: 0,
  drawings: 0,
  problems: 0,
  answers: 0,
  questions: 0,
  inspections: 0,
  received: 0,
  trials: 0,
  work: 0,
  gatherings: 0,
};

const COUNT_WORDS: [keyof Counts, one: string, many: string][] = [
  ['drawings', 'drawing', 'drawings'],
  ['parcels', 'parcel posted', 'parcels posted'],
  ['work', 'job finished', 'jobs finished'],
  ['problems', 'problem found', 'problems found'],
  ['questions', 'question asked', 'questions asked'],
  ['answers', 'question answered', 'questions answered'],
  ['received', 'parcel taken in', 'parcels taken in'],
  ['inspections', 'inspection', 'inspections'],
  ['trials', 'trial made', 'trials made'],
  ['gatherings', 'gathering come to', 'gatherings come to'],
];

export const MOST_PARTS = 12;

/** '12 pieces of Planet gear', the most first; what is beyond the first few in one line. */
export function shareLines(shares: readonly PartShare[]): string[] {
  const lines = [...shares]
    .filter(({ milli }) => milli > 0)
    .sort((a, b) => b.milli - a.milli || a.name.localeCompare(b.name, 'en'))
    .map(({ name, unit, milli }) => `${formatQuantity(milli, unit)} of ${name}`);
  if (lines.length <= MOST_PARTS) return lines;
  return [...lines.slice(0, MOST_PARTS - 1), `and ${lines.length - MOST_PARTS + 1} other parts`];
}

/** '3 parcels posted', one line for each thing that is counted. */
export function countLines(counts: Counts): string[] {
  return COUNT_WORDS.flatMap(([key, one, many]) =>
    counts[key] > 0 ? [`${counts[key]} ${counts[key] === 1 ? one : many}`] : [],
  );
}

/** What of several people together: those who are not named. */
export function together(contributions: readonly Contribution[]): { made: PartShare[]; counts: Counts } {
  const made = new Map<string, PartShare>();
  const counts = { ...NO_COUNTS };
  for (const contribution of contributions) {
    for (const share of contribution.made) {
      const key = `${share.partId} ${share.name}`;
      made.set(key, { ...share, milli: share.milli + (made.get(key)?.milli ?? 0) });
    }
    for (const key of Object.keys(counts) as (keyof Counts)[]) counts[key] += contribution.counts[key];
  }
  return { made: [...made.values()], counts };
}
