import { type LogRow, noted } from '../log/index.ts';
import { formatQuantity } from '../parts/index.ts';
import { type Day, daysBetween, dayWords } from '../platform/day.ts';

/** Words with people in them. People stand by their id: how they are named is looked up when it is read. */
export type Words = (string | { person: number })[];

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

/** A week told from the log, and nothing else. */
export interface Draft {
  sections: DraftSection[];
  /** everyone but the lead who did something in the week, in the order of their first act */
  thanks: { person: number; for: string }[];
  finishOn: Day | null;
  /** the finish as it stood a week before; null when nobody computed it then */
  finishBefore: Day | null;
  /** why the finish moved, a sentence each; none in those published before it was told */
  moved?: Words[];
}

/** An open job as the bulletin may tell of it. */
export interface ToldJob {
  id: number;
  title: string;
  /** when it is expected to be done; null when the schedule can't tell */
  expectedOn: Day | null;
  /** days past the latest day it was promised for; 0 when it is not late */
  lateDays: number;
  critical: boolean;
}

interface Telling {
  section: string;
  words(row: LogRow, after: Record<string, unknown>): Words;
}

const amount = (row: LogRow) =>
  row.milli === null ? 'some' : formatQuantity(row.milli, row.partUnit ?? 'piece');
const job = (row: LogRow) => row.jobTitle ?? row.partName ?? 'a job';
const maker = (row: LogRow): Words[number] => {
  const person = row.aboutId ?? row.personId;
  return person === null ? 'Somebody' : { person };
};
const text = (value: unknown) => (typeof value === 'string' ? value : '');
const accepted = new Set(['accept', 'concession']);

/** Which acts are told, where, and in which words. Refusals of work and personal matters are not for the audience. */
const tellings: Record<string, Telling> = {
  'report-work': {
    section: 'finished',
    words: (row) => [maker(row), ` finished ${amount(row)} of ${job(row)}.`],
  },
  'finish-job': {
    section: 'finished',
    words: (row) => [`${row.jobKind === 'fit-up' ? 'Fitted' : 'Done'}: ${job(row)}.`],
  },
  'finish-trial': {
    section: 'finished',
    words: (_row, after) => [`Trial ${text(after.title)}: ${after.passed ? 'passed' : 'not passed'}.`],
  },
  'receive-parcel': {
    section: 'arrived',
    words: (row) => ['A parcel from ', maker(row), ` came: ${amount(row)} of ${job(row)}.`],
  },
  'receive-purchase': { section: 'arrived', words: (row) => [`${amount(row)} of ${job(row)} came.`] },
  'post-parcel': { section: 'moved', words: (row) => [maker(row), ` posted ${amount(row)} of ${job(row)}.`] },
  'release-revision': {
    section: 'moved',
    words: (row, after) => [`${row.partName ?? 'A part'}, revision ${text(after.letter)}, is released.`],
  },
  'offer-job': { section: 'moved', words: (row) => [`${job(row)}: ${amount(row)} offered to makers.`] },
  'claim-job': { section: 'claimed', words: (row) => [maker(row), ` makes ${amount(row)} of ${job(row)}.`] },
  'see-problem': { section: 'failed', words: (_row, after) => [`Seen: ${text(after.title)}.`] },
  'open-redesign': { section: 'failed', words: (_row, after) => [`Redesign begun: ${text(after.title)}.`] },
  'close-redesign': {
    section: 'finished',
    words: (_row, after) => [`Redesign cured: ${text(after.title)}.`],
  },
  'take-decision': {
    section: 'decided',
    words: (_row, after) => [`${text(after.question)} ${text(after.answer)}.`],
  },
  'plan-gathering': {
    section: 'decided',
    words: (_row, after) => [`A gathering is planned: ${text(after.title)}.`],
  },
};

const sectionTitles: [string, string, string][] = [
  ['finished', 'Finished', 'Nothing was finished.'],
  ['accepted', 'Inspected and accepted', 'Nothing was inspected.'],
  ['arrived', 'Arrived', 'Nothing arrived.'],
  ['moved', 'Moved', 'Nothing was released, offered or posted.'],
  ['claimed', 'Taken on', 'Nothing was claimed.'],
  ['failed', 'Failed, and being cured', 'Nothing failed that we know of.'],
  ['decided', 'Decided', 'Nothing was decided.'],
  ['late', 'Late', 'Nothing is late.'],
  ['next', 'Next', 'Nothing is expected next week.'],
];

/** What a person is thanked for, by act: the same words as in the text, once each. */
const thanksFor: Record<string, string> = {
  'report-work': 'making',
  'claim-job': 'taking work on',
  'post-parcel': 'posting',
  'ask-query': 'asking',
  'answer-query': 'answering',
  'see-problem': 'finding what is wrong',
  'receive-parcel': 'receiving',
  'inspect-units': 'inspecting',
  'finish-job': 'finishing',
  'start-revision': 'drawing',
  'release-revision': 'drawing',
  'come-to-gathering': 'coming',
};

/** Acts that are no help to the build and thank nobody: a person's own housekeeping. */
const noThanks = new Set([
  'set-up-build',
  'set-password',
  'sign-out-everywhere',
  'follow-sign-in-link',
  'forget-person',
  'change-person',
  'hand-back',
  'leave-gathering',
  'accept-invitation',
]);

/**
 * Drafts a week's bulletin from its log rows.
 *
 * @param rows    the log of the week, oldest first
 * @param jobs    open jobs as they stand
 * @param today   the day the draft is made, no later than the week's end
 * @param leadIds who writes the bulletin: not thanked by themselves
 */
export function draftBulletin(
  rows: readonly LogRow[],
  jobs: readonly ToldJob[],
  today: Day,
  leadIds: ReadonlySet<number>,
): Pick<Draft, 'sections' | 'thanks'> {
  const lines = new Map<string, DraftLine[]>(sectionTitles.map(([key]) => [key, []]));
  for (const row of rows) {
    const after = noted(row.after);
    if (row.kind === 'report-work' && !row.milli) continue; // word without anything finished
    if (row.kind === 'finish-job' && row.jobKind === 'trial') continue; // told as a trial
    const telling = tellings[row.kind];
    if (telling) lines.get(telling.section)?.push({ key: `act-${row.id}`, words: telling.words(row, after) });
  }
  lines.get('accepted')?.push(...acceptedLines(rows));
  lines.get('late')?.push(...lateLines(jobs, today));
  lines.get('next')?.push(...nextLines(jobs, today));
  const thanks = new Map<number, Set<string>>();
  for (const row of rows) {
    if (noThanks.has(row.kind)) continue;
    // Whoever acted, and the maker whose work somebody else wrote down for them.
    const helped =
      row.kind in tellings || row.kind === 'answer-query' ? [row.personId, workerOf(row)] : [row.personId];
    for (const person of helped) {
      if (person === null || leadIds.has(person)) continue;
      const reasons = thanks.get(person) ?? new Set();
      if (thanksFor[row.kind]) reasons.add(thanksFor[row.kind]!);
      thanks.set(person, reasons);
    }
  }
  return {
    sections: sectionTitles.map(([key, title, absent]) => ({
      key,
      title,
      absent,
      lines: lines.get(key) ?? [],
    })),
    thanks: [...thanks].map(([person, reasons]) => ({ person, for: [...reasons].join(', ') })),
  };
}

const workKinds = new Set(['report-work', 'claim-job', 'post-parcel', 'receive-parcel']);
const workerOf = (row: LogRow) => (workKinds.has(row.kind) ? row.aboutId : null);

/** Inspections of one job in one line: how many were accepted, how many not. */
function acceptedLines(rows: readonly LogRow[]): DraftLine[] {
  const byJob = new Map<number, { row: LogRow; yes: number; no: number }>();
  for (const row of rows) {
    const corrects = row.kind === 'correct-inspection';
    if ((!corrects && row.kind !== 'inspect-units') || row.jobId === null) continue;
    const sum = byJob.get(row.jobId) ?? { row, yes: 0, no: 0 };
    const milli = row.milli ?? 0;
    if (accepted.has(text(noted(row.after).disposition))) sum.yes += milli;
    else sum.no += milli;
    // What was said of the unit before holds no longer.
    if (corrects && accepted.has(text(noted(row.before).disposition))) sum.yes -= milli;
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
    return { key: `inspected-${jobId}`, words: [`${job(row)}: ${words.join(', ')}.`] };
  });
}

function lateLines(jobs: readonly ToldJob[], today: Day): DraftLine[] {
  return jobs
    .filter(({ lateDays }) => lateDays > 0)
    .sort((a, b) => b.lateDays - a.lateDays)
    .slice(0, 8)
    .map(({ id, title, lateDays, expectedOn }) => ({
      key: `late-${id}`,
      words: [
        `${title}: ${lateDays} ${lateDays === 1 ? 'day' : 'days'} past its promise`,
        expectedOn ? `, now expected ${dayWords(expectedOn, today)}.` : '.',
      ],
    }));
}

function nextLines(jobs: readonly ToldJob[], today: Day): DraftLine[] {
  return jobs
    .filter(
      ({ expectedOn }) =>
        expectedOn && daysBetween(today, expectedOn) >= 0 && daysBetween(today, expectedOn) <= 10,
    )
    .sort((a, b) => Number(b.critical) - Number(a.critical) || (a.expectedOn! < b.expectedOn! ? -1 : 1))
    .slice(0, 8)
    .map((told) => ({
      key: `next-${told.id}`,
      words: [
        `${told.title}: expected ${dayWords(told.expectedOn!, today)}${told.critical ? '; it drives the finish' : ''}.`,
      ],
    }));
}
