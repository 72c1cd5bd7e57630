// How bad, how often and how hardly noticed: three scales of 1 to 10, and the order of problems that follows. Pure.
//
// Source, from memory: ranks of 1 to 10 and their product, the risk priority number, are those of failure mode and
// effects analysis, IEC 60812:2006, clause 5.3, which has a table for each scale. The words here are our own, for a
// workshop. The rates beside the ranks of occurrence are the standard's. The categories of severity are those of
// MIL-STD-1629A, I (catastrophic) to IV (minor); which rank lies in which is our own reading.

export const RANKS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10] as const;
export type Rank = (typeof RANKS)[number];

export type ScaleName = 'severity' | 'occurrence' | 'detection';

export interface ScaleStep {
  rank: Rank;
  /** a few words, beside the rank in lists */
  word: string;
  /** what it means at the machine */
  meaning: string;
}

export interface SeverityStep extends ScaleStep {
  /** of MIL-STD-1629A */
  category: 'I' | 'II' | 'III' | 'IV';
}

export interface OccurrenceStep extends ScaleStep {
  /** the highest rate of failures by run, hour or piece that still has this rank; above the last all have it */
  upTo: number;
}

export const SEVERITY: readonly SeverityStep[] = [
  { rank: 1, word: 'nobody notices', meaning: 'Only who made it knows.', category: 'IV' },
  {
    rank: 2,
    word: 'a blemish',
    meaning: 'Seen by who looks for it; nothing has to be done.',
    category: 'IV',
  },
  {
    rank: 3,
    word: 'a nuisance',
    meaning: 'Seen or heard by anybody; it works as it should.',
    category: 'IV',
  },
  {
    rank: 4,
    word: 'asks for a touch',
    meaning: 'It works once somebody wipes, turns or tightens it.',
    category: 'III',
  },
  {
    rank: 5,
    word: 'works poorly',
    meaning: 'It works, slower, rougher or louder than wanted.',
    category: 'III',
  },
  {
    rank: 6,
    word: 'hinders',
    meaning: 'Something beside the main work fails, or needs mending each time.',
    category: 'III',
  },
  {
    rank: 7,
    word: 'hinders badly',
    meaning: 'The machine works in part, or wears itself out.',
    category: 'III',
  },
  {
    rank: 8,
    word: 'stops the machine',
    meaning: 'The machine can’t do what it is built for. Nobody is in danger.',
    category: 'II',
  },
  {
    rank: 9,
    word: 'can hurt',
    meaning: 'Somebody could get hurt, and it gives a sign before: a noise, heat, play.',
    category: 'II',
  },
  {
    rank: 10,
    word: 'can hurt unawares',
    meaning: 'Somebody could get hurt without a sign before, or could be killed.',
    category: 'I',
  },
];

export const OCCURRENCE: readonly OccurrenceStep[] = [
  {
    rank: 1,
    word: 'hardly thinkable',
    meaning: 'It has not happened, and nothing says that it will.',
    upTo: 1e-5,
  },
  { rank: 2, word: 'very seldom', meaning: 'Once in ten thousand runs.', upTo: 1e-4 },
  { rank: 3, word: 'seldom', meaning: 'Once in two thousand runs.', upTo: 5e-4 },
  { rank: 4, word: 'once in a long while', meaning: 'Once in a thousand runs.', upTo: 1e-3 },
  { rank: 5, word: 'now and then', meaning: 'Once in five hundred runs.', upTo: 2e-3 },
  { rank: 6, word: 'now and again', meaning: 'Once in two hundred runs.', upTo: 5e-3 },
  { rank: 7, word: 'often', meaning: 'Once in a hundred runs.', upTo: 1e-2 },
  { rank: 8, word: 'very often', meaning: 'Once in fifty runs.', upTo: 2e-2 },
  { rank: 9, word: 'again and again', meaning: 'Once in twenty runs.', upTo: 5e-2 },
  { rank: 10, word: 'nearly always', meaning: 'Once in ten runs or more; each time.', upTo: 1e-1 },
];

export const DETECTION: readonly ScaleStep[] = [
  { rank: 1, word: 'can’t be missed', meaning: 'It shows at once, to anybody, before it does harm.' },
  { rank: 2, word: 'shows itself', meaning: 'Who works beside it sees or hears it in time.' },
  { rank: 3, word: 'found by the usual check', meaning: 'The inspection of the part finds it.' },
  { rank: 4, word: 'found at the fit-up', meaning: 'It will not go together, or does not turn by hand.' },
  { rank: 5, word: 'found when looked for', meaning: 'A check that is on the list, and is mostly made.' },
  { rank: 6, word: 'found with care', meaning: 'A measurement that somebody has to think of.' },
  { rank: 7, word: 'may be found', meaning: 'A trial shows it about every other time.' },
  { rank: 8, word: 'hard to find', meaning: 'Only a long trial shows it, or taking things apart.' },
  { rank: 9, word: 'found by luck', meaning: 'No check looks for it.' },
  { rank: 10, word: 'not to be found', meaning: 'Nothing shows before the harm is done.' },
];

const SCALES: Record<ScaleName, readonly ScaleStep[]> = {
  severity: SEVERITY,
  occurrence: OCCURRENCE,
  detection: DETECTION,
};

/** Counted for what nobody has judged: what is not known is taken as bad. */
export const NOT_JUDGED: Rank = 10;

/** A whole number of 1 to 10 as a rank. @throws RangeError  any other number */
export function rankOf(value: number): Rank {
  const rank = RANKS.find((known) => known === value);
  if (rank === undefined) throw new RangeError(`rank ${value}: expected a whole number from 1 to 10`);
  return rank;
}

/** The words of a rank: 'stops the machine'. */
export function rankWord(scale: ScaleName, rank: Rank): string {
  return SCALES[scale][rank - 1]!.word;
}

/** How a problem is judged; null: not judged. */
export interface Judged {
  severity: Rank;
  occurrence: Rank | null;
  detection: Rank | null;
}

/** The ranks of a stored row. @throws RangeError  a number that is no rank */
export function ranksOf(row: {
  severity: number;
  occurrence: number | null;
  detection: number | null;
}): Judged {
  const orNone = (value: number | null) => (value === null ? null : rankOf(value));
  return {
    severity: rankOf(row.severity),
    occurrence: orNone(row.occurrence),
    detection: orNone(row.detection),
  };
}

/** Whether somebody could get hurt. */
export function canHurt(severity: Rank): boolean {
  return severity >= 9;
}

/** Whether a problem is grave whatever its product: it can hurt, or the machine can't do its work. */
export function isGrave(severity: Rank): boolean {
  return severity >= 8;
}

/**
 * The risk priority number: severity by occurrence by detection, 1 to 1000; what is not judged counts as 10.
 *
 * Ranks only say more or less, so that their product says no more than an order, and a poor one: 10 x 1 x 1 can kill and
 * gives 10, 1 x 10 x 10 is never noticed and gives 100. Hence severity goes first, in isGrave and byPriority.
 *
 * Source: IEC 60812:2006, 5.3 (from memory). Weakness: J. B. Bowles, "An assessment of RPN prioritization in a failure
 * modes effects and criticality analysis", Proc. Reliability and Maintainability Symposium 2003 (from memory).
 * Example: 7 x 6 x 7 -> 294; 8, not judged, 3 -> 240.
 */
export function priorityNumber({ severity, occurrence, detection }: Judged): number {
  return severity * (occurrence ?? NOT_JUDGED) * (detection ?? NOT_JUDGED);
}

/** How the number comes about: '7 × 6 × 7', and what in it is not judged. */
export function priorityWords({ severity, occurrence, detection }: Judged): { sum: string; open: string } {
  const missing = [
    ...(occurrence === null ? ['how often'] : []),
    ...(detection === null ? ['how hardly noticed'] : []),
  ];
  return {
    sum: [severity, occurrence ?? NOT_JUDGED, detection ?? NOT_JUDGED].join(' × '),
    open: missing.length ? `${missing.join(' and ')} not judged: counted as ${NOT_JUDGED}` : '',
  };
}

/** The order in which problems press: what can hurt first, then by the product, the graver, the older. */
export function byPriority(a: Judged & { id: number }, b: Judged & { id: number }): number {
  return (
    Number(canHurt(b.severity)) - Number(canHurt(a.severity)) ||
    priorityNumber(b) - priorityNumber(a) ||
    b.severity - a.severity ||
    a.id - b.id
  );
}

/** The worse of two ranks where two problems become one; a judged one goes before none. */
export function worseRank(a: Rank | null, b: Rank | null): Rank | null {
  if (a === null || b === null) return a ?? b;
  return a > b ? a : b;
}

/**
 * The rank of occurrence of a count of failures, as words say it: '3 of 10 runs', '1 in 200'. The rate is taken as the
 * share itself; with few runs that is a guess, which is why it is only offered.
 *
 * @returns null where the words name no such count
 */
export function occurrenceOf(often: string): Rank | null {
  const counts = /(?:^|[^\d.,])(\d{1,7})\s*(?:of|in|out of|\/)\s*(\d{1,7})(?![\d.,]*\d)/i.exec(often);
  if (!counts) return null;
  const [failures, runs] = [Number(counts[1]), Number(counts[2])];
  // None seen in a few runs says little about how often it happens.
  if (failures === 0 || failures > runs) return null;
  return OCCURRENCE.find(({ upTo }) => failures / runs <= upTo * (1 + 1e-9))?.rank ?? 10;
}

/** The choices of a scale for a form: '8: stops the machine'. */
export function rankChoices(scale: ScaleName): { value: string; label: string }[] {
  return SCALES[scale].map(({ rank, word }) => ({ value: String(rank), label: `${rank}: ${word}` }));
}
