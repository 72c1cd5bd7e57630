import { partPath } from '../parts/index.ts';
import type { Database, Tx } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import type { Moment } from './moment.ts';
import { isPending, type ProblemState, problemState } from './problem-rules.ts';
import {
  byPriority,
  isGrave,
  type Judged,
  priorityNumber,
  priorityWords,
  ranksOf,
  rankWord,
} from './problem-scales.ts';
import { worksOn } from './works-on.ts';

/** What is told of a problem in words, by the state it is in. */
export const STATE_LINES: Record<ProblemState, { word: string; line: string }> = {
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
  /** '8, stops the machine' */
  severityWord: string;
  /** severity by occurrence by detection; what is not judged counts as 10 */
  priority: number;
  /** how the number comes about: '8 × 3 × 10', and what in it is not judged */
  priorityFrom: { sum: string; open: string };
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

/** Severity, and the order that follows from all three ranks, as lists and pages show them. */
export function judgedWords(ranks: Judged) {
  return {
    severity: ranks.severity,
    severityWord: `${ranks.severity}, ${rankWord('severity', ranks.severity)}`,
    priority: priorityNumber(ranks),
    priorityFrom: priorityWords(ranks),
  };
}

/** Problems by a condition as lines, in the order in which they press (byPriority). */
export async function problemLines(
  read: Database['read'],
  where: NonNullable<Parameters<Database['read']['problem']['findMany']>[0]>['where'],
  moment: Moment,
): Promise<ProblemLine[]> {
  const found = await read.problem.findMany({
    where: { AND: [{ removedAt: null }, where ?? {}] },
    include: { redesign: { select: { title: true } } },
  });
  const rows = found.map((row) => ({ ...row, ...ranksOf(row) })).sort(byPriority);
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
    ...judgedWords(row),
    grave: isGrave(row.severity) && isPending(row),
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

/** The list of problems in the order in which one looks at them; of some parts where they are named. */
export async function problemLists(
  read: Database['read'],
  partIds: readonly number[] | null,
  moment: Moment,
) {
  const lines = await problemLines(read, partIds === null ? {} : { partId: { in: [...partIds] } }, moment);
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

/** The problems whose pages a person may open: the shop any, a maker what they saw or what concerns their work. */
export async function mayOpenProblems(
  read: Pick<Tx, 'claim' | 'job'>,
  person: Pick<SignedIn, 'id' | 'role'>,
  problems: readonly { id: number; seenById: number | null; partId: number | null; jobId: number | null }[],
): Promise<ReadonlySet<number>> {
  if (person.role !== 'maker') return new Set(problems.map(({ id }) => id));
  // each part and each job is asked about once
  const asked = new Map<string, boolean>();
  const works = async (about: Parameters<typeof worksOn>[2]) => {
    const key = JSON.stringify(about);
    const answer = asked.get(key) ?? (await worksOn(read, person.id, about));
    asked.set(key, answer);
    return answer;
  };
  const opening = new Set<number>();
  for (const { id, seenById, partId, jobId } of problems) {
    const opens =
      seenById === person.id ||
      (partId !== null && (await works({ partId }))) ||
      (jobId !== null && (await works({ jobId })));
    if (opens) opening.add(id);
  }
  return opening;
}
