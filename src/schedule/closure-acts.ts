import type { Act } from '../platform/acts.ts';
import { dayWords } from '../platform/day.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { DayRange } from './build-facts.ts';
import type { NewClosure } from './closure-lines.ts';

const MOST_CLOSURES = 500;

/** A run of days in words: '24 Dec – 26 Dec 2026', or the one day. */
export function rangeWords({ fromOn, untilOn }: DayRange): string {
  if (fromOn === untilOn) return dayWords(fromOn);
  return `${dayWords(fromOn, untilOn)} – ${dayWords(untilOn)}`;
}

async function onTheList(act: Act, { fromOn, untilOn }: DayRange): Promise<string | null> {
  const same = await act.tx.closure.findFirst({
    where: { fromOn, untilOn, removedAt: null },
    select: { name: true },
  });
  return same?.name ?? null;
}

async function write(act: Act, { fromOn, untilOn, name }: NewClosure): Promise<void> {
  const { id } = await act.tx.closure.create({ data: { fromOn, untilOn, name, createdAt: act.at } });
  await act.log({ kind: 'add-closure', thing: { type: 'closure', id }, after: { fromOn, untilOn, name } });
}

async function leaveRoom(act: Act, more: number): Promise<void> {
  const count = await act.tx.closure.count({ where: { removedAt: null } });
  if (count + more > MOST_CLOSURES) {
    refuse('too-many-closures', `At most ${MOST_CLOSURES} closures; take some off the list first.`);
  }
}

/** Writes down days on which the build does not work. @throws WrongField  the same days are on the list */
export async function addClosure(act: Act, closure: NewClosure): Promise<void> {
  const same = await onTheList(act, closure);
  if (same !== null) {
    throw new WrongField('fromOn', `${rangeWords(closure)} is on the list already: ${same}.`);
  }
  await leaveRoom(act, 1);
  await write(act, closure);
}

/**
 * Writes down many closures at once. What is on the list already, or stands twice among them, is passed over.
 *
 * @returns how many were written down, and what was passed over, in words
 * @throws WrongField  every one of them is on the list
 */
export async function addClosures(
  act: Act,
  closures: readonly NewClosure[],
): Promise<{ added: number; doubles: string[] }> {
  const doubles: string[] = [];
  const seen = new Set<string>();
  const fresh: NewClosure[] = [];
  for (const closure of closures) {
    const days = `${closure.fromOn} ${closure.untilOn}`;
    if (seen.has(days) || (await onTheList(act, closure)) !== null) doubles.push(rangeWords(closure));
    else fresh.push(closure);
    seen.add(days);
  }
  if (fresh.length === 0) {
    throw new WrongField('lines', `All of these are on the list already: ${doubles.join(', ')}.`);
  }
  await leaveRoom(act, fresh.length);
  for (const closure of fresh) await write(act, closure);
  return { added: fresh.length, doubles };
}

/** Takes a closure off the list: the build works on these days again. The row stays, marked. */
export async function removeClosure(act: Act, closureId: number): Promise<void> {
  const closure = found(
    await act.tx.closure.findUnique({ where: { id: closureId } }),
    'There is no such closure.',
  );
  const { count } = await act.tx.closure.updateMany({
    where: { id: closureId, removedAt: null },
    data: { removedAt: act.at },
  });
  if (count === 0) refuse('removed-already', `${closure.name} is off the list already.`);
  const { fromOn, untilOn, name } = closure;
  await act.log({
    kind: 'remove-closure',
    thing: { type: 'closure', id: closureId },
    before: { fromOn, untilOn, name },
  });
}
