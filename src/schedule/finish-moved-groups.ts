import { type LogRow, noted } from '../log/index.ts';
import { UNDONE } from './finish-moved-undo.ts';

/** Acts that make one fact of a week: all of them are taken back together. Oldest first. */
export interface FactGroup {
  key: string;
  rows: readonly LogRow[];
}

const canUndo = new Set(UNDONE);
const ON_CLAIM = new Set([
  'claim-job',
  'hand-back',
  'renew-promise',
  'start-work',
  'correct-report',
  'end-claim',
]);
const OF_PARCEL = new Set(['post-parcel', 'receive-parcel', 'count-parcel']);
const INSPECTING = new Set(['inspect-units', 'correct-inspection']);
const FIRST_PIECE = new Set(['approve-first-piece', 'end-first-piece-approval']);
const OF_DRAWING = new Set([
  ...['start-revision', 'release-revision', 'supersede-revision', 'withdraw-revision', 'change-revision'],
  ...['add-document', 'remove-document', 'move-job-to-revision'],
]);
const OF_USE = new Set(['add-use', 'change-use', 'remove-use']);
const OF_PART = new Set([
  'create-part',
  'import-part',
  'change-part',
  'remove-part',
  'restore-part',
  'set-shelf',
]);
const OF_DAYS = new Set(['add-away', 'remove-away']);
const OF_PERSON = new Set(['change-role', 'open-account', 'close-account']);
const OF_LINK = new Set(['link-jobs', 'unlink-jobs']);

/** The claim that a row is about; null for rows about none. */
export function claimOfRow({ kind, thingId, before, after }: LogRow): number | null {
  if (ON_CLAIM.has(kind)) return thingId;
  if (kind === 'take-up-revision') return Number(noted(before).claimId);
  const { claimId } = noted(after);
  return typeof claimId === 'number' ? claimId : null;
}

/** What must not be taken back apart: rows that share one of these belong together. */
function subjectsOf(row: LogRow, made: { jobs: ReadonlySet<number>; parts: ReadonlySet<number> }): string[] {
  const { kind, thingId, jobId, partId, aboutId, at } = row;
  const before = noted(row.before);
  const after = noted(row.after);
  const subjects: string[] = [];
  const claimId = claimOfRow(row);
  const job = (id: unknown) => (typeof id === 'number' ? subjects.push(`job ${id}`) : 0);
  const isOfClaim = claimId !== null && jobId !== null && !OF_DRAWING.has(kind);
  if (isOfClaim) {
    subjects.push(`claim ${claimId}`);
    if (kind === 'end-claim' || made.jobs.has(jobId)) job(jobId);
    if (OF_PARCEL.has(kind)) subjects.push(`parcel ${thingId}`);
    if (kind === 'take-up-revision') subjects.push(`claim ${after.claimId}`);
    if (INSPECTING.has(kind)) subjects.push(`${at} ${jobId}`);
    job(before.followJobId);
    job(after.followJobId);
  } else if (FIRST_PIECE.has(kind)) {
    subjects.push(`first ${jobId}`, `${at} ${jobId}`);
    if (made.jobs.has(jobId!)) job(jobId);
  } else if (kind === 'decide-old-units') {
    subjects.push(`old ${thingId} ${jobId}`);
    job(after.followJobId);
  } else if (OF_DRAWING.has(kind)) {
    subjects.push(`drawing ${partId}`);
    if (made.parts.has(partId!)) subjects.push(`part ${partId}`);
    if (kind === 'move-job-to-revision') {
      subjects.push(`${at} ${jobId}`);
      if (made.jobs.has(jobId!)) job(jobId);
    }
  } else if (OF_USE.has(kind)) {
    subjects.push(`part ${thingId}`);
    if (made.parts.has(partId!)) subjects.push(`part ${partId}`);
  } else if (OF_PART.has(kind)) {
    subjects.push(`part ${partId}`);
    if (kind === 'import-part') subjects.push(`list ${thingId}`);
  } else if (OF_LINK.has(kind)) {
    subjects.push(`link ${thingId}`);
    if (made.jobs.has(jobId!)) job(jobId);
    const from = after.fromId ?? before.fromId;
    if (made.jobs.has(Number(from))) job(from);
  } else if (OF_DAYS.has(kind)) subjects.push(`away ${aboutId}`);
  else if (OF_PERSON.has(kind)) subjects.push(`person ${aboutId}`);
  else if (kind === 'change-settings') subjects.push('settings');
  else if (jobId !== null) {
    job(jobId);
    if (made.jobs.has(jobId) && made.parts.has(partId ?? -1)) subjects.push(`part ${partId}`);
  } else subjects.push(`${row.thingType} ${thingId}`);
  return subjects;
}

/**
 * The facts of a week: its acts by what they are about, those together that can't be without one another (a parcel with
 * all that was in it, a new job with all that came of it, rejected units with the job that makes them good). Acts on
 * which no date rests, and those that can't be taken back, are in none.
 *
 * @param rows  oldest first
 * @returns     in the order of their first acts
 */
export function factGroups(rows: readonly LogRow[]): FactGroup[] {
  const told = rows.filter(({ kind }) => canUndo.has(kind));
  const idsOf = (kinds: ReadonlySet<string>, id: (row: LogRow) => number | null) =>
    new Set(told.flatMap((row) => (kinds.has(row.kind) ? (id(row) ?? []) : [])));
  const made = {
    jobs: idsOf(new Set(['create-job']), ({ jobId }) => jobId),
    parts: idsOf(new Set(['create-part', 'restore-part', 'import-part']), ({ partId }) => partId),
  };
  // Disjoint sets: every subject leads to the number of its group's first row.
  const leads = told.map((_, at) => at);
  const rootOf = (at: number): number => {
    while (leads[at] !== at) {
      leads[at] = leads[leads[at]!]!;
      at = leads[at]!;
    }
    return at;
  };
  const firsts = new Map<string, number>();
  told.forEach((row, at) => {
    for (const subject of subjectsOf(row, made)) {
      const first = firsts.get(subject);
      if (first === undefined) firsts.set(subject, at);
      else {
        const [a, b] = [rootOf(first), rootOf(at)];
        leads[Math.max(a, b)] = Math.min(a, b);
      }
    }
  });
  const groups = new Map<number, LogRow[]>();
  told.forEach((row, at) => {
    const root = rootOf(at);
    const group = groups.get(root);
    if (group) group.push(row);
    else groups.set(root, [row]);
  });
  return [...groups.values()].map((group) => ({ key: `moved-${group[0]!.id}`, rows: group }));
}
