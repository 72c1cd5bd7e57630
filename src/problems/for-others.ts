import { factsReader, type JobTimes } from '../jobs/index.ts';
import { structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { type DecisionLine, openDecisions } from './decision-reader.ts';
import { momentOf } from './moment.ts';
import { isAtMachine } from './problem-people.ts';
import { placeOfPart } from './problem-pick.ts';
import { mayOpenProblem, type ProblemLine, problemLines } from './problem-reader.ts';
import { worksOn } from './works-on.ts';

type Db = Pick<Database, 'read' | 'hot'>;

/** What the page of a part shows of its problems: views/shared/problems-of-part.njk. */
export interface ProblemsOfPart {
  /** still to be cured, the gravest first */
  pending: (ProblemLine & { opens: boolean })[];
  /** cured, accepted or merged */
  settled: (ProblemLine & { opens: boolean })[];
  /** where to write one down; null for who has no work on the part */
  addHref: string | null;
  /** the whole list; null for makers */
  allHref: string | null;
  /** a sheet of labels with codes that lead here, for the machine; null for makers */
  labels: { href: string; all: string | null } | null;
}

/**
 * The problems of a part, as a person may see them: everybody signed in sees that there are some, the pages behind them
 * open to the shop and to makers who work on the part.
 */
export async function problemsOfPart(
  db: Db,
  partId: number,
  person: Pick<SignedIn, 'id' | 'role'>,
  today: Day,
): Promise<ProblemsOfPart> {
  const { read } = db;
  const lines = await problemLines(read, { partId }, momentOf(db, today));
  const rows = await read.problem.findMany({
    where: { partId, removedAt: null },
    select: { id: true, seenById: true, partId: true, jobId: true },
  });
  const shown: ProblemsOfPart['pending'] = [];
  for (const line of lines) {
    const row = rows.find(({ id }) => id === line.id);
    shown.push({ ...line, opens: row !== undefined && (await mayOpenProblem(read, person, row)) });
  }
  const isShop = person.role !== 'maker';
  const part = await read.part.findUnique({ where: { id: partId }, select: { number: true } });
  const address = encodeURIComponent(part?.number ?? '');
  const labels = `/parts/${address}/labels.pdf`;
  const place = placeOfPart(structureGraph(db.hot), partId)?.path.at(-1);
  const mayAdd =
    part !== null &&
    (isShop || (await worksOn(read, person.id, { partId })) || (await isAtMachine(read, person.id, today)));
  return {
    pending: shown.filter(({ pending }) => pending),
    settled: shown.filter(({ pending }) => !pending),
    addHref: mayAdd ? `/problems/new?part=${address}` : null,
    allHref: isShop ? `/problems?part=${address}` : null,
    labels: isShop && place ? { href: labels, all: place.holds ? `${labels}?below=all` : null } : null,
  };
}

/** Problems that wait for somebody: open and in no redesign, the gravest first. */
export function openProblems(db: Db, today: Day): Promise<ProblemLine[]> {
  const open = { redesignId: null, acceptedAt: null, curedAt: null, sameAsId: null };
  return problemLines(db.read, open, momentOf(db, today));
}

/** Decisions that wait to be taken, the most pressing first, each with the day it must be taken by. */
export function waitingDecisions(db: Db, times: JobTimes, today: Day): Promise<DecisionLine[]> {
  return openDecisions({ db, facts: factsReader(db), times }, momentOf(db, today));
}
