import type { Database } from '../platform/database.ts';
import { WrongField } from '../platform/refusal.ts';
import type { BuildWeek } from './store.ts';
import { momentsOf, type Week } from './week.ts';

/** A photo chosen for a bulletin, with what is said of it. */
export interface ChosenPhoto {
  id: number;
  words: string;
}

/** A photo as it stands in a published bulletin. */
export interface FrozenPhoto extends ChosenPhoto {
  width: number;
  height: number;
  /** who took it; named as that person wishes when it is read */
  person: number | null;
}

/** A photo that came in the week, and what it is of. */
export interface WeekPhoto {
  id: number;
  width: number;
  height: number;
  person: number | null;
  /** 'a report on job 12, Clutch plate' */
  of: string;
}

const MOST_LISTED = 200;
/** Listed when all are asked for: a page of more than this is of no use. */
export const MOST_OF_A_WEEK = 1000;
const MOST_CHOSEN = 24;

/**
 * The photos of the week, oldest first: of reports, problems and inspected pieces.
 *
 * @param chosen  ids of photos that are listed however many came since
 * @param most    how many of the last are listed beside them
 * @returns       listed: as many as a page takes; all: how many came
 */
export async function photosOfWeek(
  { read }: Pick<Database, 'read'>,
  week: Week,
  { timeZone }: Pick<BuildWeek, 'timeZone'>,
  chosen: readonly number[] = [],
  most = MOST_LISTED,
): Promise<{ listed: WeekPhoto[]; all: number }> {
  const { from, until } = momentsOf(week, timeZone);
  const where = { removedAt: null, addedAt: { gte: new Date(from), lt: new Date(until) } };
  const include = { report: { include: { claim: { include: { job: true } } } } };
  const last = await read.photo.findMany({ where, include, orderBy: { id: 'desc' }, take: most });
  const lastIds = new Set(last.map(({ id }) => id));
  const earlier = chosen.filter((id) => !lastIds.has(id));
  const photos = [
    ...last,
    ...(await read.photo.findMany({
      where: { id: { in: earlier }, removedAt: null },
      include,
      orderBy: { id: 'desc' },
    })),
  ].sort((a, b) => a.id - b.id);
  const problemIds = photos.flatMap(({ problemId }) => problemId ?? []);
  const problems = new Map(
    (
      await read.problem.findMany({ where: { id: { in: problemIds } }, select: { id: true, title: true } })
    ).map((problem) => [problem.id, problem]),
  );
  const listed = photos.map(({ id, width, height, addedById, report, problemId }) => {
    const { job } = report?.claim ?? {};
    const problem = problems.get(problemId ?? 0);
    const of = job
      ? `a report on job ${job.id}, ${job.title}`
      : problem
        ? `a problem: ${problem.title}`
        : 'an inspected piece';
    return { id, width, height, person: addedById, of };
  });
  const all = last.length < most ? last.length : await read.photo.count({ where });
  return { listed, all };
}

/** What is stored of the choice. */
export function storedPhotos(text: string | undefined): ChosenPhoto[] {
  return JSON.parse(text ?? '[]') as ChosenPhoto[];
}

/**
 * The chosen photos as they are frozen, without those that were taken off since.
 *
 * @param reader  inside an act: its transaction
 */
export async function frozenPhotos(
  reader: Pick<Database['read'], 'photo'>,
  chosen: readonly ChosenPhoto[],
): Promise<FrozenPhoto[]> {
  const rows = await reader.photo.findMany({
    where: { id: { in: chosen.map(({ id }) => id) }, removedAt: null },
    select: { id: true, width: true, height: true, addedById: true },
  });
  const rowOf = new Map(rows.map((row) => [row.id, row]));
  return chosen.flatMap(({ id, words }) => {
    const row = rowOf.get(id);
    return row ? [{ id, words, width: row.width, height: row.height, person: row.addedById }] : [];
  });
}

/**
 * Whether these may be chosen. One that was chosen before stays, also when it was taken off since: it is shown nowhere.
 *
 * @throws WrongField photo: too many, or a new one that is not there
 */
export async function checkChosen(
  reader: Pick<Database['read'], 'photo'>,
  chosen: readonly ChosenPhoto[],
  before: readonly ChosenPhoto[],
): Promise<void> {
  if (chosen.length > MOST_CHOSEN) {
    throw new WrongField('photo', `At most ${MOST_CHOSEN} photos in a bulletin; these are ${chosen.length}.`);
  }
  const known = new Set(before.map(({ id }) => id));
  const added = chosen.flatMap(({ id }) => (known.has(id) ? [] : [id]));
  const there = await reader.photo.count({ where: { id: { in: added }, removedAt: null } });
  if (there !== added.length) throw new WrongField('photo', 'One of these photos is not there any more.');
}
