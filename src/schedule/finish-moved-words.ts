import { type LogRow, noted } from '../log/index.ts';
import { formatQuantity } from '../parts/index.ts';
import { dayWords } from '../platform/day.ts';
import { count } from './durations-estimate.ts';
import type { MovedWords } from './finish-moved.ts';
import { claimOfRow } from './finish-moved-groups.ts';
import type { Step } from './steps.ts';

type Notes = Record<string, unknown>;
/** What an act did, going on from the name of what it was done to; null where another act of the group says it. */
type Clause = (row: LogRow, before: Notes, after: Notes) => string | null;

const amount = (row: LogRow) => formatQuantity(row.milli ?? 0, row.partUnit ?? 'piece');
const text = (value: unknown) =>
  typeof value === 'string' || typeof value === 'number' ? String(value) : '';
const day = (value: unknown) => (typeof value === 'string' && value ? dayWords(value) : 'no day');
const kept = new Set(['accept', 'concession']);

/** '30 days later', '1 day sooner'. */
export function movedBy(days: number): string {
  return `${count(Math.abs(days), 'day')} ${days > 0 ? 'later' : 'sooner'}`;
}

function estimate(before: Notes, after: Notes): string | null {
  const told = [
    ['makeDays', 'days to make or fit'],
    ['days', 'working days'],
    ['leadDays', 'days to deliver'],
    ['designHours', 'hours to draw'],
    ['hours', 'hours'],
  ] as const;
  for (const [name, words] of told) {
    if (!(name in after) || before[name] === after[name]) continue;
    return `${words} ${text(before[name]) || 'not known'} before, ${text(after[name]) || 'not known'} now`;
  }
  return null;
}

const range = ({ fromOn, untilOn }: Notes) =>
  fromOn === untilOn ? day(fromOn) : `${day(fromOn)} to ${day(untilOn)}`;
/** Where a gathering was moved to: what of its days stayed is not noted. */
function movedTo({ fromOn, untilOn }: Notes): string {
  if (fromOn && untilOn) return `moved to ${range({ fromOn, untilOn })}`;
  if (fromOn) return `moved to begin on ${day(fromOn)}`;
  return untilOn ? `moved to end on ${day(untilOn)}` : 'changed';
}
const inspected: Clause = (row, _before, after) =>
  `${amount(row)} ${kept.has(text(after.disposition)) ? 'accepted' : 'to be made good'}`;

/** In the order in which they say the most: a group is told by the first kinds here that it has. */
const CLAUSES: Readonly<Record<string, Clause>> = {
  'import-part': () => 'taken in from a list',
  'create-part': () => 'added',
  'restore-part': () => 'put back',
  'remove-part': () => 'taken out',
  'drop-job': () => 'dropped',
  'finish-job': (row) => (row.jobKind === 'fit-up' ? 'fitted' : 'done'),
  'inspect-units': inspected,
  'correct-inspection': (row, before, after) => `${inspected(row, before, after)} after all`,
  'receive-parcel': (row) => `${amount(row)} arrived`,
  'receive-purchase': (row) => `${amount(row)} arrived`,
  'count-parcel': (row, _before, after) =>
    Number(after.shortMilli) > 0
      ? `${formatQuantity(Number(after.shortMilli), row.partUnit ?? 'piece')} short`
      : null,
  'release-revision': (_row, _before, after) => `revision ${text(after.letter)} released`,
  'withdraw-revision': (_row, _before, after) => `revision ${text(after.letter)} withdrawn`,
  'post-parcel': (row) => `${amount(row)} posted`,
  'report-work': (row) => (row.milli ? `${amount(row)} finished` : null),
  'correct-report': (row) => `${amount(row)} not finished after all`,
  'claim-job': (row, _before, after) =>
    `${amount(row)} taken on, likely in ${count(Number(after.likelyDays), 'day')}`,
  'hand-back': (row) => `${amount(row)} handed back`,
  'end-claim': (row) => `${amount(row)} taken off`,
  'renew-promise': (_row, before, after) => {
    const by = Number(after.likelyDays) - Number(before.likelyDays);
    return by === 0 ? 'promised anew' : `promised ${movedBy(by)}`;
  },
  'take-up-revision': (_row, _before, after) => `revision ${text(after.letter)} taken up`,
  'start-work': () => 'begun',
  'start-job': () => 'begun',
  'order-purchase': (_row, before, after) =>
    'promisedOn' in before
      ? `delivery named for ${day(after.promisedOn)}, before for ${day(before.promisedOn)}`
      : `ordered${after.promisedOn ? `, named for ${day(after.promisedOn)}` : ''}`,
  'hold-job': () => 'put on hold',
  'resume-job': () => 'taken up again',
  'offer-job': () => 'offered to makers',
  'withdraw-offer': () => 'offer taken back',
  'create-job': (_row, _before, after) => (after.fromJobId ? null : 'job opened'),
  'change-job': (_row, before, after) =>
    estimate(before, after) ?? ('gatheringId' in after ? 'put to another gathering' : 'changed'),
  'approve-first-piece': () => 'first piece approved',
  'end-first-piece-approval': () => 'a first piece is asked for again',
  'link-jobs': (_row, _before, after) => `made to wait for job ${text(after.fromId)}`,
  'unlink-jobs': (_row, before) => `waits for job ${text(before.fromId)} no more`,
  'decide-old-units': (row, _before, after) => `${amount(row)} of an old revision: ${text(after.decision)}`,
  'start-revision': (_row, _before, after) => `revision ${text(after.letter)} begun`,
  'move-job-to-revision': () => null,
  'supersede-revision': () => null,
  'add-document': () => 'drawn',
  'remove-document': () => 'a file taken off its drawing',
  'change-revision': () => 'drawing changed',
  'change-part': (_row, before, after) => estimate(before, after) ?? 'changed',
  'set-shelf': (_row, before, after) => {
    const by = Number(after.milli) - Number(before.milli);
    return by < 0 ? 'fewer counted on the shelf' : 'more counted on the shelf';
  },
  'add-use': (_row, _before, after) => `put into ${text(after.parent)}`,
  'change-use': (_row, before, after) =>
    `${Number(after.milli) > Number(before.milli) ? 'more' : 'less'} of it in ${text(after.parent)}`,
  'remove-use': (_row, before) => `taken out of ${text(before.parent)}`,
};

/** What is told without a name of its own. */
const ALONE: Readonly<Record<string, (row: LogRow, before: Notes, after: Notes) => string>> = {
  'change-settings': () => 'Settings of the build changed: its days, its place or the lead’s hours',
  'add-closure': (_row, _before, after) =>
    `Closed ${range(after)}${after.name ? `, ${text(after.name)}` : ''}`,
  'remove-closure': (_row, before) => `Not closed ${range(before)} after all`,
  // Whose days these are is nobody's business outside the shop.
  'add-away': () => 'Days away noted',
  'remove-away': () => 'Days away taken off the list',
  'change-role': () => 'Who does the drawings has changed',
  'open-account': () => 'An account opened again',
  'close-account': () => 'An account closed',
  'plan-gathering': (_row, _before, after) => `${text(after.title)} planned for ${range(after)}`,
  'change-gathering': (_row, _before, after) => `${text(after.title)} ${movedTo(after)}`,
  'drop-gathering': (_row, _before, after) => `${text(after.title)} called off`,
};

const RANKS = new Map([...Object.keys(ALONE), ...Object.keys(CLAUSES)].map((kind, at) => [kind, at]));
const MOST_CLAUSES = 3;
const MOST_TOGETHER = 3;

/** What a maker does with units, the furthest first: what went further went through all that stands behind it. */
const CHAIN = ['inspect-units', 'receive-parcel', 'post-parcel', 'report-work', 'claim-job'];
/** Said by those behind them, where one of these was done as well. */
const SAID_BY: Readonly<Record<string, readonly string[]>> = {
  'start-work': CHAIN,
  'offer-job': CHAIN,
  'create-job': [...CHAIN, 'offer-job', 'finish-job', 'drop-job'],
  'start-job': ['finish-job', 'drop-job'],
  'end-claim': ['drop-job'],
  'start-revision': ['release-revision', 'withdraw-revision'],
  'add-document': ['release-revision', 'withdraw-revision'],
  'remove-document': ['release-revision', 'withdraw-revision'],
  'change-revision': ['release-revision', 'withdraw-revision'],
};
const OF_MAKERS = new Set([
  ...CHAIN,
  'start-work',
  'correct-report',
  'hand-back',
  'renew-promise',
  'take-up-revision',
]);
/** The shop did it to what came from a maker. */
const FROM_MAKERS = new Set(['inspect-units', 'correct-inspection', 'receive-parcel', 'count-parcel']);

/** The maker of an act on a claim: who did it, or for whom it was written down. */
function makerOf(row: LogRow): number | null {
  if (claimOfRow(row) === null) return null;
  if (FROM_MAKERS.has(row.kind)) return row.aboutId;
  return OF_MAKERS.has(row.kind) ? (row.aboutId ?? row.personId) : null;
}

const nameOf = (row: LogRow) => {
  const line = row.kind.endsWith('-use') ? (noted(row.after).child ?? noted(row.before).child) : null;
  return text(line) || (row.jobTitle ?? row.partName ?? (text(noted(row.after).title) || 'Something'));
};

/** A fact of the week in a sentence: what it was done to, what, by whom, and how far it moved the finish. */
export function factWords(rows: readonly LogRow[], days: number): MovedWords {
  const stop = ALONE[byRankOf(rows)[0]!.kind] ? ':' : ';';
  return ended(factPhrase(rows), `${stop} ${movedBy(days)}.`);
}

/** Several things that moved the finish only together, in one sentence. */
export function togetherWords(phrases: readonly MovedWords[], days: number): MovedWords {
  const shown = phrases.slice(0, MOST_TOGETHER);
  const more = phrases.length - shown.length;
  const words: MovedWords = [`Together, ${phrases.length === 2 ? 'neither' : 'none of them'} alone: `];
  shown.forEach((phrase, at) => {
    const isLast = more === 0 && at === shown.length - 1;
    words.push(at === 0 ? '' : isLast ? '; and ' : '; ', ...phrase);
  });
  return ended(words, `${more > 0 ? `; and ${more} more` : ''}; ${movedBy(days)}.`);
}

/** Words with an end, and texts that follow one another as one. */
function ended(words: MovedWords, end: string): MovedWords {
  const joined: MovedWords = [];
  for (const word of [...words, end]) {
    const last = joined.at(-1);
    if (typeof word === 'string' && typeof last === 'string') joined[joined.length - 1] = last + word;
    else joined.push(word);
  }
  return joined;
}

const byRankOf = (rows: readonly LogRow[]) =>
  [...rows].sort((a, b) => (RANKS.get(a.kind) ?? 999) - (RANKS.get(b.kind) ?? 999));

/** A fact of the week without what it moved. */
export function factPhrase(rows: readonly LogRow[]): MovedWords {
  const byRank = byRankOf(rows);
  const main = byRank[0]!;
  const alone = ALONE[main.kind];
  // The last of a kind is how it is now.
  const last = rows.findLast(({ kind }) => kind === main.kind)!;
  if (alone) return [alone(last, noted(last.before), noted(last.after))];
  const name = nameOf(main);
  const own = byRank.filter((row) => nameOf(row) === name);
  const clauses = clausesOf(own);
  const others = new Set(rows.map(nameOf));
  others.delete(name);
  const more = others.size > 0 ? ` (and ${others.size} more with it)` : '';
  const makers = new Set(own.flatMap((row) => makerOf(row) ?? []));
  const what = `${name}${more}: ${clauses.join(', ') || 'changed'}`;
  const [person] = makers;
  return person !== undefined && makers.size === 1
    ? [`${what}, ${FROM_MAKERS.has(main.kind) ? 'from' : 'by'} `, { person }]
    : [what];
}

/** What was done to one thing, the furthest first; quantities of the same said once. @param rows  the most telling first */
function clausesOf(rows: readonly LogRow[]): string[] {
  const kinds = new Set(rows.map(({ kind }) => kind));
  const clauses: string[] = [];
  let furthest = 0;
  for (const kind of kinds) {
    if (SAID_BY[kind]?.some((other) => kinds.has(other))) continue;
    const ofKind = rows.filter((row) => row.kind === kind);
    const milli = ofKind.reduce((sum, row) => sum + (row.milli ?? 0), 0);
    if (CHAIN.includes(kind)) {
      if (milli <= furthest) continue;
      furthest = milli;
    }
    for (const clause of summed(ofKind)) if (!clauses.includes(clause)) clauses.push(clause);
  }
  return clauses.slice(0, MOST_CLAUSES);
}

/** Acts of one kind, each with what it did; those that differ in their quantity alone as one. */
function summed(rows: readonly LogRow[]): string[] {
  const say = CLAUSES[rows[0]!.kind];
  if (!say) return [];
  const sums = new Map<string, LogRow>();
  for (const row of rows) {
    const { disposition } = noted(row.after);
    const key = row.milli === null ? String(row.id) : disposition ? String(kept.has(text(disposition))) : '';
    const sum = sums.get(key);
    sums.set(key, sum ? { ...row, milli: (sum.milli ?? 0) + (row.milli ?? 0) } : row);
  }
  return [...sums.values()].flatMap((row) => say(row, noted(row.before), noted(row.after)) ?? []);
}

const WAITING: Readonly<Record<string, string>> = {
  design: 'still to be drawn',
  release: 'still to be released',
  find: 'still without a maker',
  make: 'no further than a week ago',
  post: 'not posted yet',
  travel: 'still in the post',
  inspect: 'still to be inspected',
  order: 'still to be ordered',
  delivery: 'still not delivered',
  'fit-up': 'still to be fitted up',
  '': 'still to be done',
};

/** What waited in the week, in a sentence. @param step  the first that should have gone on */
export function waitWords(step: Step, days: number): MovedWords {
  return ended(waitPhrase(step), `; ${movedBy(days)}.`);
}

/** The same without what it moved. */
export function waitPhrase({ word, part, job, claim }: Step): MovedWords {
  const name = job?.title || part?.name || 'Something';
  const what = `${name}: ${WAITING[word] ?? WAITING['']}`;
  return claim ? [`${what}, with `, { person: claim.personId }] : [what];
}
