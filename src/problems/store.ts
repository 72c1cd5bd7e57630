import { partByNumber } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';

export type ThingType = 'problem' | 'redesign' | 'trial' | 'decision' | 'gathering';

/** Where rows may be read: the open transaction of an act, or what is committed (db.read). */
type Reader = Pick<Tx, 'act'>;

/**
 * Which change of a thing is the newest: the id of its `change-...` row in the log, 0 before the first. A form that
 * changes a thing carries it, so that the second of two editors is told.
 */
export async function lastChange(reader: Reader, type: ThingType, id: number): Promise<number> {
  const row = await reader.act.findFirst({
    where: { thingType: type, thingId: id, kind: `change-${type}` },
    orderBy: { id: 'desc' },
    select: { id: true },
  });
  return row?.id ?? 0;
}

/** @throws Refused  when the thing was changed since the editor saw it */
export async function checkSeen(act: Act, type: ThingType, id: number, seen?: number): Promise<void> {
  if (seen !== undefined && seen !== (await lastChange(act.tx, type, id))) {
    refuse(
      'changed-meanwhile',
      'Somebody changed this while you were at it. What you typed is below: compare it with the page, then send it again from there.',
    );
  }
}

/** What is different between two records, by name: for the log. */
export function differences<T extends object>(
  before: T,
  after: Partial<T>,
): { before: Partial<T>; after: Partial<T> } {
  const names = (Object.keys(before) as (keyof T)[]).filter(
    (name) => after[name] !== undefined && JSON.stringify(after[name]) !== JSON.stringify(before[name]),
  );
  const only = (of: Partial<T>) => Object.fromEntries(names.map((name) => [name, of[name]])) as Partial<T>;
  return { before: only(before), after: only(after) };
}

/**
 * The id of a part as typed by its number; null for nothing typed.
 *
 * @param standing  the part that is named already: it stays, even where it was taken out of the build meanwhile
 * @throws WrongField
 */
export async function typedPart(
  tx: Tx,
  number: string,
  { field = 'part', standing = null }: { field?: string; standing?: number | null | undefined } = {},
): Promise<number | null> {
  if (number === '') return null;
  const part = await partByNumber(tx, number);
  if (!part || (part.removedAt && part.id !== standing))
    throw new WrongField(field, `No part has the number ${number}.`);
  return part.id;
}

/**
 * The ids of parts typed one number to a line, without doubles.
 *
 * @param standing  parts that are named already: they stay, even where they were taken out of the build meanwhile
 * @throws WrongField
 */
export async function typedParts(
  tx: Tx,
  text: string,
  { field = 'parts', standing = [] }: { field?: string; standing?: readonly number[] } = {},
): Promise<number[]> {
  const numbers = text
    .split(/[\n,;]+/)
    .map((one) => one.trim())
    .filter((one) => one !== '');
  if (numbers.length > 60) throw new WrongField(field, `At most 60 parts; these are ${numbers.length}.`);
  const ids = new Set<number>();
  for (const number of numbers) {
    const part = await partByNumber(tx, number);
    if (!part || (part.removedAt && !standing.includes(part.id)))
      throw new WrongField(field, `No part has the number ${number}.`);
    ids.add(part.id);
  }
  return [...ids];
}

/** A job that is named as the one something is about. @throws WrongField */
export async function namedJob(tx: Tx, jobId: number, field = 'jobId') {
  const job = await tx.job.findUnique({
    where: { id: jobId },
    select: { id: true, title: true, kind: true, partId: true, droppedAt: true, finishedAt: true },
  });
  if (!job) throw new WrongField(field, `There is no job ${jobId}.`);
  return job;
}

/** A part that is named by its id. @throws WrongField */
export async function namedPart(tx: Tx, partId: number, field = 'part') {
  const part = await tx.part.findFirst({ where: { id: partId, removedAt: null } });
  if (!part) throw new WrongField(field, 'There is no such part in the build.');
  return part;
}

/** A problem that is there. @throws NotFound */
export async function readProblem(tx: Tx, problemId: number) {
  return found(
    await tx.problem.findFirst({ where: { id: problemId, removedAt: null } }),
    `There is no problem ${problemId}.`,
  );
}
