import { historyLines, readLog } from '../log/index.ts';
import { partPath } from '../parts/index.ts';
import type { Database, Tx } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import type { Moment } from './moment.ts';
import {
  isPending,
  mayAccept,
  mayChangeProblem,
  mayTakeUp,
  type ProblemState,
  problemState,
  severityWord,
} from './problem-rules.ts';
import { redesignState } from './redesign-rules.ts';
import { lastChange } from './store.ts';
import { worksOn } from './works-on.ts';

/** What is told of a problem in words, by the state it is in. */
const STATE_LINES: Record<ProblemState, { word: string; line: string }> = {
  open: { word: 'open', line: 'dashed' },
  'in a redesign': { word: 'in a redesign', line: 'thick' },
  cured: { word: 'cured', line: 'double' },
  accepted: { word: 'accepted as it is', line: 'chain' },
  'same as another': { word: 'same as another', line: 'thin' },
};

export interface PartName {
  number: string;
  name: string;
  href: string;
}

/** Names of parts by id, taken-out ones too. */
export async function partNames(
  read: Pick<Tx, 'part'>,
  ids: readonly (number | null)[],
): Promise<ReadonlyMap<number, PartName>> {
  const parts = await read.part.findMany({
    where: { id: { in: [...new Set(ids.filter((id) => id !== null))] } },
    select: { id: true, number: true, name: true },
  });
  return new Map(parts.map(({ id, number, name }) => [id, { number, name, href: partPath(number) }]));
}

/** Names of people by id; who has left is named so. */
export async function peopleNames(
  read: Pick<Tx, 'person'>,
  ids: readonly (number | null)[],
): Promise<ReadonlyMap<number, string>> {
  const people = await read.person.findMany({
    where: { id: { in: [...new Set(ids.filter((id) => id !== null))] } },
    select: { id: true, name: true },
  });
  return new Map(people.map(({ id, name }) => [id, name]));
}

/** A problem as lists show it. */
export interface ProblemLine {
  id: number;
  href: string;
  title: string;
  severity: number;
  severityWord: string;
  /** it stops the machine or can hurt, and is not settled */
  grave: boolean;
  pending: boolean;
  state: { word: string; line: string };
  part: PartName | null;
  jobId: number | null;
  seenOn: string;
  seenBy: string;
  redesign: { id: number; title: string; href: string } | null;
  sameAsId: number | null;
  photos: number;
}

/** Problems by a condition as lines, the gravest first, of those the oldest. */
export async function problemLines(
  read: Database['read'],
  where: NonNullable<Parameters<Database['read']['problem']['findMany']>[0]>['where'],
  moment: Moment,
): Promise<ProblemLine[]> {
  const rows = await read.problem.findMany({
    where: { AND: [{ removedAt: null }, where ?? {}] },
    include: { redesign: { select: { title: true } } },
    orderBy: [{ severity: 'desc' }, { id: 'asc' }],
  });
  const [parts, people, photos] = await Promise.all([
    partNames(
      read,
      rows.map(({ partId }) => partId),
    ),
    peopleNames(
      read,
      rows.map(({ seenById }) => seenById),
    ),
    read.photo.groupBy({
      by: ['problemId'],
      where: { removedAt: null, problemId: { in: rows.map(({ id }) => id) } },
      _count: true,
    }),
  ]);
  const photoCounts = new Map(photos.map(({ problemId, _count }) => [problemId, _count]));
  return rows.map((row) => ({
    id: row.id,
    href: `/problems/${row.id}`,
    title: row.title,
    severity: row.severity,
    severityWord: severityWord(row.severity),
    grave: row.severity === 3 && isPending(row),
    pending: isPending(row),
    state: STATE_LINES[problemState(row)],
    part: parts.get(row.partId ?? 0) ?? null,
    jobId: row.jobId,
    seenOn: moment.words(row.seenAt),
    seenBy: people.get(row.seenById ?? 0) ?? '',
    redesign:
      row.redesignId === null
        ? null
        : { id: row.redesignId, title: row.redesign?.title ?? '', href: `/redesigns/${row.redesignId}` },
    sameAsId: row.sameAsId,
    photos: photoCounts.get(row.id) ?? 0,
  }));
}

/** The list of problems in the order in which one looks at them; of one part where it is named. */
export async function problemLists(read: Database['read'], partId: number | null, moment: Moment) {
  const lines = await problemLines(read, partId === null ? {} : { partId }, moment);
  const inState = (word: string) => lines.filter(({ state }) => state.word === word);
  const newest = (list: ProblemLine[]) => [...list].sort((a, b) => b.id - a.id);
  return {
    total: lines.length,
    open: inState(STATE_LINES.open.word),
    inRedesign: inState(STATE_LINES['in a redesign'].word),
    cured: newest(inState(STATE_LINES.cured.word)),
    accepted: newest(inState(STATE_LINES.accepted.word)),
    merged: newest(inState(STATE_LINES['same as another'].word)),
  };
}

/** Whether a person may open a problem's page: the shop any, a maker what they saw or what concerns their work. */
export async function mayOpenProblem(
  read: Pick<Tx, 'claim' | 'job'>,
  person: Pick<SignedIn, 'id' | 'role'>,
  problem: { seenById: number | null; partId: number | null; jobId: number | null },
): Promise<boolean> {
  if (person.role !== 'maker' || problem.seenById === person.id) return true;
  if (problem.jobId !== null && (await worksOn(read, person.id, { jobId: problem.jobId }))) return true;
  return problem.partId !== null && worksOn(read, person.id, { partId: problem.partId });
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
  const photos = await read.photo.findMany({
    where: { problemId: id, removedAt: null },
    orderBy: { id: 'asc' },
    select: { id: true, width: true, height: true },
  });
  const job =
    problem.jobId === null
      ? null
      : await read.job.findUnique({ where: { id: problem.jobId }, select: { id: true, title: true } });
  const same =
    problem.sameAsId === null
      ? null
      : await read.problem.findUnique({ where: { id: problem.sameAsId }, select: { id: true, title: true } });
  const alsoSeen = await problemLines(read, { sameAsId: id }, moment);
  const isShop = person.role !== 'maker';
  const pending = isPending(problem);
  const { redesign } = problem;
  const parts = await partNames(read, [problem.partId]);
  const people = await peopleNames(read, [problem.seenById]);
  return {
    id,
    title: problem.title,
    words: problem.words,
    severity: problem.severity,
    severityWord: severityWord(problem.severity),
    grave: problem.severity === 3 && pending,
    state: STATE_LINES[problemState(problem)],
    pending,
    seenOn: moment.words(problem.seenAt),
    seenBy: people.get(problem.seenById ?? 0) ?? '',
    part: parts.get(problem.partId ?? 0) ?? null,
    job,
    photos: photos.map(({ id: photoId, width, height }) => ({
      id: photoId,
      href: `/photos/${photoId}`,
      width,
      height,
    })),
    redesign: redesign && {
      title: redesign.title,
      href: `/redesigns/${redesign.id}`,
      state: redesignState(redesign),
    },
    curedOn: problem.curedAt && moment.words(problem.curedAt),
    accepted: problem.acceptedAt && {
      on: moment.words(problem.acceptedAt),
      reason: problem.acceptReason,
    },
    same: same && { ...same, href: `/problems/${same.id}` },
    alsoSeen,
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

export type ProblemPage = Awaited<ReturnType<typeof readProblemPage>>;
