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
const MOST_CHOSEN = 24;

/**
 * The photos of the week, oldest first: of reports, problems and inspected pieces.
 *
 * @returns  listed: the last of them, as many as a page takes; all: how many came
 */
export async function photosOfWeek(
  { read }: Pick<Database, 'read'>,
  week: Week,
  { timeZone }: Pick<BuildWeek, 'timeZone'>,
): Promise<{ listed: WeekPhoto[]; all: number }> {
  const { from, until } = momentsOf(week, timeZone);
  const where = { removedAt: null, addedAt: { gte: new Date(from), lt: new Date(until) } };
  const photos = await read.photo.findMany({
    where,
    include: { report: { include: { claim: { include: { job: true } } } } },
    orderBy: { id: 'desc' },
    take: MOST_LISTED,
  });
  const problemIds = photos.flatMap(({ problemId }) => problemId ?? []);
  const problems = await read.problem.findMany({ where: { id: { in: problemIds } } });
  const listed = photos.reverse().map(({ id, width, height, addedById, report, problemId }) => {
    const { job } = report?.claim ?? {};
    const problem = problems.find((one) => one.id === problemId);
    const of = job
      ? `a report on job ${job.id}, ${job.title}`
      : problem
        ? `a problem: ${problem.title}`
        : 'an inspected piece';
    return { id, width, height, person: addedById, of };
  });
  const all = photos.length < MOST_LISTED ? photos.length : await read.photo.count({ where });
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

/** @throws WrongField photo: too many, or one that is not there */
export async function checkChosen(
  reader: Pick<Database['read'], 'photo'>,
  chosen: readonly ChosenPhoto[],
): Promise<void> {
  if (chosen.length > MOST_CHOSEN) {
    throw new WrongField('photo', `At most ${MOST_CHOSEN} photos in a bulletin; these are ${chosen.length}.`);
  }
  const there = await reader.photo.count({
    where: { id: { in: chosen.map(({ id }) => id) }, removedAt: null },
  });
  if (there !== chosen.length) throw new WrongField('photo', 'One of these photos is not there any more.');
}
