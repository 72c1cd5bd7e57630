import { factsReader, type JobTimes } from '../jobs/index.ts';
import { labelledParts, MOST_LABELS } from '../papers/index.ts';
import { type PartsGraph, structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { type DecisionLine, openDecisions } from './decision-reader.ts';
import { momentOf } from './moment.ts';
import { isAtMachine } from './problem-people.ts';
import { placeOfPart } from './problem-pick.ts';
import { mayOpenProblems, type ProblemLine, problemLines } from './problem-reader.ts';
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
  /** sheets of labels with codes that lead here, for the machine; none for makers */
  labels: { href: string; name: string }[];
}

/** Sheets of labels for a part: it and what goes straight into it, and all below it, as many at once as a sheet holds. */
function labelSheets(graph: PartsGraph, partId: number, number: string): ProblemsOfPart['labels'] {
  const place = placeOfPart(graph, partId)?.path.at(-1);
  if (!place) return [];
  const href = `/parts/${encodeURIComponent(number)}/labels.pdf`;
  if (!place.holds) return [{ href, name: 'one, as PDF' }];
  return [
    ...lots(labelledParts(graph, partId, false).length, href, 'it and what goes into it'),
    ...lots(labelledParts(graph, partId, true).length, `${href}?below=all`, 'all below it too'),
  ];
}

function lots(count: number, href: string, name: string): ProblemsOfPart['labels'] {
  if (count <= MOST_LABELS) return [{ href, name }];
  return Array.from({ length: Math.ceil(count / MOST_LABELS) }, (_, lot) => {
    const from = lot * MOST_LABELS + 1;
    const until = Math.min(count, from + MOST_LABELS - 1);
    return {
      href: lot === 0 ? href : `${href}${href.includes('?') ? '&' : '?'}from=${from}`,
      name: `${name}, ${from} to ${until} of ${count}`,
    };
  });
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
  const opening = await mayOpenProblems(read, person, rows);
  const shown = lines.map((line) => ({ ...line, opens: opening.has(line.id) }));
  const isShop = person.role !== 'maker';
  const part = await read.part.findUnique({ where: { id: partId }, select: { number: true } });
  const address = encodeURIComponent(part?.number ?? '');
  const mayAdd =
    part !== null &&
    (isShop || (await worksOn(read, person.id, { partId })) || (await isAtMachine(read, person.id, today)));
  return {
    pending: shown.filter(({ pending }) => pending),
    settled: shown.filter(({ pending }) => !pending),
    addHref: mayAdd ? `/problems/new?part=${address}` : null,
    allHref: isShop ? `/problems?part=${address}` : null,
    labels: isShop && part ? labelSheets(structureGraph(db.hot), partId, part.number) : [],
  };
}

/** Whether a person may see the photos of a problem: who may open its page, or that of the one that stands for it. */
export async function mayOpenPhotosOf(
  read: Database['read'],
  person: Pick<SignedIn, 'id' | 'role'>,
  problemId: number,
): Promise<boolean> {
  if (person.role !== 'maker') return true;
  const select = { id: true, seenById: true, partId: true, jobId: true, sameAsId: true };
  const problem = await read.problem.findFirst({ where: { id: problemId, removedAt: null }, select });
  if (!problem) return false;
  const same =
    problem.sameAsId === null
      ? null
      : await read.problem.findFirst({ where: { id: problem.sameAsId, removedAt: null }, select });
  return (await mayOpenProblems(read, person, same ? [problem, same] : [problem])).size > 0;
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
