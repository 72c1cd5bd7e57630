import { historyLines, readLog } from '../log/index.ts';
import { structureGraph } from '../parts/index.ts';
import type { Database, Tx } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import type { Moment } from './moment.ts';
import { likelyDoubles } from './problem-doubles.ts';
import { placeOfPart } from './problem-pick.ts';
import { judgedWords, partNames, peopleNames, STATE_LINES } from './problem-reader.ts';
import { isPending, mayAccept, mayChangeProblem, mayTakeUp, problemState } from './problem-rules.ts';
import {
  isGrave,
  NOT_JUDGED,
  occurrenceOf,
  type Rank,
  ranksOf,
  rankWord,
  type ScaleName,
} from './problem-scales.ts';
import { redesignState } from './redesign-rules.ts';
import { lastChange } from './store.ts';

/** A rank as the page of a problem shows it. */
function judgedCell(scale: ScaleName, rank: Rank | null) {
  return rank === null
    ? { rank: NOT_JUDGED, word: `not judged: counted as ${NOT_JUDGED}`, judged: false }
    : { rank, word: rankWord(scale, rank), judged: true };
}

/** Photos of problems, each with the problem it is of. */
async function photosOfProblems(read: Pick<Tx, 'photo'>, ids: readonly number[]) {
  const photos = await read.photo.findMany({
    where: { problemId: { in: [...ids] }, removedAt: null },
    orderBy: { id: 'asc' },
    select: { id: true, problemId: true },
  });
  return photos.map(({ id, problemId }) => ({ id, of: problemId ?? 0, href: `/photos/${id}` }));
}

/** Who accepted a problem as it is: as stored, or, where it was accepted before that was stored, by the log. */
async function accepterOf(
  read: Pick<Tx, 'act'>,
  problem: { id: number; acceptedById: number | null; acceptedAt: Date | null },
): Promise<number | null> {
  if (problem.acceptedById !== null || problem.acceptedAt === null) return problem.acceptedById;
  const row = await read.act.findFirst({
    where: { kind: 'accept-problem', thingType: 'problem', thingId: problem.id },
    orderBy: { id: 'desc' },
    select: { personId: true },
  });
  return row?.personId ?? null;
}

/** What was the same as a problem: each with its own words and who saw it. */
async function readMerged(read: Database['read'], problemId: number, moment: Moment) {
  const rows = await read.problem.findMany({
    where: { sameAsId: problemId, removedAt: null },
    orderBy: { id: 'asc' },
  });
  const people = await peopleNames(
    read,
    rows.map(({ seenById }) => seenById),
  );
  const parts = await partNames(
    read,
    rows.map(({ partId }) => partId),
  );
  return rows.map((row) => ({
    id: row.id,
    href: `/problems/${row.id}`,
    title: row.title,
    words: row.words,
    often: row.often,
    seenOn: moment.words(row.seenAt),
    seenBy: people.get(row.seenById ?? 0) ?? '',
    part: parts.get(row.partId ?? 0) ?? null,
  }));
}

/** Open problems that this one is likely to be the same as; nothing for one that is settled. */
async function doublesOf(
  read: Database['read'],
  problem: Parameters<typeof isPending>[0] & { title: string; partId: number | null },
) {
  if (!isPending(problem)) return [];
  const known = await read.problem.findMany({
    where: { removedAt: null, acceptedAt: null, curedAt: null, sameAsId: null },
    select: { id: true, title: true, partId: true },
  });
  return likelyDoubles(problem, known).map(({ id, title }) => ({ id, title, href: `/problems/${id}` }));
}

/** Everything the page of a problem shows to a person. @throws NotFound */
export async function readProblemPage(
  { read, hot }: Pick<Database, 'read' | 'hot'>,
  id: number,
  person: SignedIn,
  moment: Moment,
) {
  const problem = found(
    await read.problem.findFirst({ where: { id, removedAt: null }, include: { redesign: true } }),
    `There is no problem ${id}.`,
  );
  const actor = { personId: person.id, role: person.role };
  const isShop = person.role !== 'maker';
  const pending = isPending(problem);
  const { redesign, partId } = problem;
  const ranks = ranksOf(problem);
  const byWords = ranks.occurrence === null ? occurrenceOf(problem.often) : null;
  const job =
    problem.jobId === null
      ? null
      : await read.job.findUnique({ where: { id: problem.jobId }, select: { id: true, title: true } });
  const same =
    problem.sameAsId === null
      ? null
      : await read.problem.findUnique({ where: { id: problem.sameAsId }, select: { id: true, title: true } });
  const merged = await readMerged(read, id, moment);
  const trial =
    problem.curedAt && redesign?.trialId
      ? await read.trial.findUnique({ where: { id: redesign.trialId }, select: { id: true, title: true } })
      : null;
  const accepterId = await accepterOf(read, problem);
  const parts = await partNames(read, [partId]);
  const people = await peopleNames(read, [problem.seenById, accepterId]);
  return {
    id,
    title: problem.title,
    words: problem.words,
    often: problem.often,
    ...judgedWords(ranks),
    occurrence: judgedCell('occurrence', ranks.occurrence),
    detection: judgedCell('detection', ranks.detection),
    /** where how often is said in words but not judged: the rank that the words would have */
    oftenWouldBe: byWords === null ? '' : `${byWords}, ${rankWord('occurrence', byWords)}`,
    ranks,
    grave: isGrave(ranks.severity) && pending,
    state: STATE_LINES[problemState(problem)],
    pending,
    seenOn: moment.words(problem.seenAt),
    seenDay: moment.dayOf(problem.seenAt),
    seenBy: people.get(problem.seenById ?? 0) ?? '',
    part: parts.get(partId ?? 0) ?? null,
    place: partId === null ? null : placeOfPart(structureGraph(hot), partId),
    job,
    photos: await photosOfProblems(read, [id]),
    mergedPhotos: await photosOfProblems(
      read,
      merged.map((one) => one.id),
    ),
    redesign: redesign && {
      title: redesign.title,
      href: `/redesigns/${redesign.id}`,
      state: redesignState(redesign),
    },
    curedOn: problem.curedAt && moment.words(problem.curedAt),
    trial: trial && { title: trial.title, href: `/trials/${trial.id}` },
    accepted: problem.acceptedAt && {
      on: moment.words(problem.acceptedAt),
      by: people.get(accepterId ?? 0) ?? '',
      reason: problem.acceptReason,
    },
    same: same && { ...same, href: `/problems/${same.id}` },
    merged,
    doubles: isShop ? await doublesOf(read, problem) : [],
    seen: await lastChange(read, 'problem', id),
    may: {
      change: !mayChangeProblem(problem, actor),
      fold: isShop && pending && problem.redesignId === null,
      accept: !mayAccept(problem, actor),
      merge: isShop && pending,
      takeUp: isShop && !mayTakeUp(problem, actor),
    },
    history: historyLines(
      readLog({ hot }, { thing: { type: 'problem', id } }, { limit: 30 }),
      moment.timeZone,
    ).map((line) => ({ ...line, href: null })),
  };
}
