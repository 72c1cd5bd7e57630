import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';

/** The two lists that a build keeps: what parts are made of, and how. */
export type EntryKind = 'material' | 'process';

interface NamedRow {
  id: number;
  name: string;
  removedAt: Date | null;
}

function rows(tx: Tx, kind: EntryKind): Promise<NamedRow[]> {
  const select = { id: true, name: true, removedAt: true };
  return kind === 'material' ? tx.material.findMany({ select }) : tx.process.findMany({ select });
}

/**
 * The name, if no other entry of the list has it, in capitals or small letters, removed or not.
 *
 * @throws WrongField  at `name`
 */
export async function freeName(
  tx: Tx,
  kind: EntryKind,
  name: string,
  ownId: number | null = null,
): Promise<string> {
  const folded = name.toLocaleLowerCase('en');
  const other = (await rows(tx, kind)).find(
    (row) => row.id !== ownId && row.name.toLocaleLowerCase('en') === folded,
  );
  if (!other) return name;
  throw new WrongField(
    'name',
    other.removedAt
      ? `"${other.name}" was taken off the list: bring it back there, or choose another name.`
      : `"${other.name}" is on the list already: change that entry, or choose another name.`,
  );
}

/** The entry, there and not removed. @throws NotFound */
export async function listedEntry(tx: Tx, kind: EntryKind, id: number): Promise<NamedRow> {
  const row = (await rows(tx, kind)).find((one) => one.id === id);
  return found(row?.removedAt ? null : row, `There is no such ${kind} on the list.`);
}

/** The last act that changed an entry; a form carries it, so that the second editor is told. 0 when there was none. */
export async function lastEntryChange(tx: Pick<Tx, 'act'>, kind: EntryKind, id: number): Promise<number> {
  const last = await tx.act.findFirst({
    where: { thingType: kind, thingId: id },
    orderBy: { id: 'desc' },
    select: { id: true },
  });
  return last?.id ?? 0;
}

/** Refuses an editor who has not seen the newest state of the entry. */
export async function refuseUnlessSeen(tx: Tx, kind: EntryKind, id: number, seen: number): Promise<void> {
  if ((await lastEntryChange(tx, kind, id)) > seen) {
    refuse(
      'changed-meanwhile',
      'Somebody changed this entry while you were at it. Below is what you typed: compare it with the entry, then send it again.',
    );
  }
}

/** Takes an entry off its list. Parts and drawings that name it keep it. @throws NotFound */
export async function removeEntry(act: Act, kind: EntryKind, id: number): Promise<{ name: string }> {
  const { name } = await listedEntry(act.tx, kind, id);
  await mark(act, kind, id, act.at);
  await act.log({ kind: `remove-${kind}`, thing: { type: kind, id }, before: { name } });
  return { name };
}

/** Puts a removed entry back on its list. @throws NotFound @throws Refused it is on the list */
export async function restoreEntry(act: Act, kind: EntryKind, id: number): Promise<{ name: string }> {
  const row = found(
    (await rows(act.tx, kind)).find((one) => one.id === id),
    `There is no such ${kind}.`,
  );
  if (!row.removedAt) refuse('on-the-list', `"${row.name}" is on the list.`);
  await mark(act, kind, id, null);
  await act.log({ kind: `restore-${kind}`, thing: { type: kind, id }, after: { name: row.name } });
  return { name: row.name };
}

async function mark({ tx }: Act, kind: EntryKind, id: number, removedAt: Date | null): Promise<void> {
  if (kind === 'material') await tx.material.update({ where: { id }, data: { removedAt } });
  else await tx.process.update({ where: { id }, data: { removedAt } });
}
