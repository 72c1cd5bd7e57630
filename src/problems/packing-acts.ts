import type { Act } from '../platform/acts.ts';
import { found, orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { comersOf, readGathering } from './gathering-acts.ts';
import { calledOff, gatheringOver, mayPack } from './gathering-rules.ts';
import { packingKey } from './packing.ts';

/** So many lines can be written down for one gathering. */
export const MOST_PACKING_LINES = 200;

/** A line of the packing list of a gathering. */
export interface PackingOf {
  gatheringId: number;
  /** part:12, tool:3, drawing:12 or typed:7 */
  key: string;
  /** what the list calls it, kept for when it is worked out no more; not for what was written down */
  words?: string;
}

async function open(act: Act, gatheringId: number) {
  const gathering = await readGathering(act.tx, gatheringId);
  orRefuse(calledOff(gathering));
  if (gatheringOver(gathering, act.today)) refuse('gathering-over', `${gathering.title} is over.`);
  const comers = await comersOf(act.tx, gatheringId);
  return { gathering, comers, comes: comers.some(({ id }) => id === act.actor.personId) };
}

/** The stored line of a key, and who brings it as it is; made where only the agenda had it. @throws NotFound */
async function lineOf(act: Act, { gatheringId, key, words = '' }: PackingOf) {
  const about = found(packingKey(key), 'There is no such line on the list.');
  const row = await act.tx.packingLine.findUnique({ where: { gatheringId_key: { gatheringId, key } } });
  if (row?.removedAt) refuse('line-gone', 'Somebody took this line off the list.');
  // What is worked out is on the list by its name; what is not on it can't be packed.
  if (!row && words === '') found(null, 'There is no such line on the list.');
  let ownerId: number | null = null;
  if (about.kind === 'tool') {
    const tool = await act.tx.tool.findFirst({ where: { id: about.id, removedAt: null } });
    ownerId = found(tool, 'This tool is there no more.').personId;
  } else if (about.kind !== 'typed') {
    const part = await act.tx.part.findFirst({ where: { id: about.id, removedAt: null } });
    found(part, 'This part is there no more.');
  }
  const line =
    row ?? (await act.tx.packingLine.create({ data: { gatheringId, key, words, personId: ownerId } }));
  return { line, bringerId: line.personId ?? ownerId, isTyped: about.kind === 'typed' };
}

/** Nothing of what somebody wrote goes into the log: it may be personal. */
const told = (title: string, key: string, words: string, isTyped: boolean) => ({
  title,
  key,
  ...(isTyped || words === '' ? {} : { what: words }),
});

/**
 * Writes something down that is to be brought.
 *
 * @returns its key
 * @throws WrongField  personId
 */
export async function writePackingLine(
  act: Act,
  { gatheringId, words, personId = null }: { gatheringId: number; words: string; personId?: number | null },
): Promise<string> {
  const { gathering, comers, comes } = await open(act, gatheringId);
  orRefuse(mayPack(act.actor, comes, personId));
  if (personId !== null && !comers.some(({ id }) => id === personId)) {
    throw new WrongField('personId', 'Only who comes can bring something.');
  }
  const count = await act.tx.packingLine.count({ where: { gatheringId, removedAt: null } });
  if (count >= MOST_PACKING_LINES) {
    refuse('list-full', `At most ${MOST_PACKING_LINES} lines: take some off first.`);
  }
  const { id } = await act.tx.packingLine.create({
    data: { gatheringId, key: 'typed:new', words, personId },
  });
  const key = `typed:${id}`;
  await act.tx.packingLine.update({ where: { id }, data: { key } });
  await act.log({
    kind: 'write-packing-line',
    thing: { type: 'gathering', id: gatheringId },
    after: told(gathering.title, key, '', true),
  });
  return key;
}

/** Takes something off that was written down. */
export async function dropPackingLine(act: Act, { gatheringId, key }: PackingOf): Promise<void> {
  const { gathering, comes } = await open(act, gatheringId);
  if (packingKey(key)?.kind !== 'typed') {
    refuse('worked-out', 'This line follows from the agenda: it goes when the agenda no longer asks for it.');
  }
  const { line, bringerId } = await lineOf(act, { gatheringId, key });
  orRefuse(mayPack(act.actor, comes, bringerId));
  await act.tx.packingLine.update({ where: { id: line.id }, data: { removedAt: act.at } });
  await act.log({
    kind: 'drop-packing-line',
    thing: { type: 'gathering', id: gatheringId },
    after: told(gathering.title, key, '', true),
  });
}

/**
 * Says who brings something, or that nobody does as yet. Makers say it for themselves, and of what nobody brings.
 *
 * @throws WrongField  personId
 */
export async function bringToGathering(
  act: Act,
  { gatheringId, key, words, personId }: PackingOf & { personId: number | null },
): Promise<void> {
  const { gathering, comers, comes } = await open(act, gatheringId);
  if (personId !== null && !comers.some(({ id }) => id === personId)) {
    throw new WrongField('personId', 'Only who comes can bring something.');
  }
  const { line, bringerId, isTyped } = await lineOf(act, { gatheringId, key, words });
  orRefuse(mayPack(act.actor, comes, bringerId));
  orRefuse(mayPack(act.actor, comes, personId));
  await act.tx.packingLine.update({ where: { id: line.id }, data: { personId } });
  await act.log({
    kind: 'bring-to-gathering',
    aboutId: personId === act.actor.personId ? null : personId,
    thing: { type: 'gathering', id: gatheringId },
    after: {
      ...told(gathering.title, key, line.words, isTyped),
      ...(personId === null ? { nobody: true } : {}),
    },
  });
}

/** Ticks something as packed. Of two who do it at the same moment, the second is told. */
export async function packForGathering(act: Act, input: PackingOf): Promise<void> {
  const { gatheringId, key, words = '' } = input;
  const { gathering, comes } = await open(act, gatheringId);
  const { line, bringerId, isTyped } = await lineOf(act, input);
  orRefuse(mayPack(act.actor, comes, bringerId));
  const { count } = await act.tx.packingLine.updateMany({
    where: { id: line.id, packedAt: null, removedAt: null },
    data: { packedAt: act.at, packedById: act.actor.personId, ...(isTyped ? {} : { words }) },
  });
  if (count === 0) {
    const by = await act.tx.person.findUnique({
      where: { id: line.packedById ?? 0 },
      select: { name: true },
    });
    refuse('packed-already', `${by?.name ?? 'Somebody'} has packed it already.`);
  }
  await act.log({
    kind: 'pack-for-gathering',
    thing: { type: 'gathering', id: gatheringId },
    after: told(gathering.title, key, words, isTyped),
  });
}

/** Takes the tick away: it is not packed after all. */
export async function unpackForGathering(act: Act, { gatheringId, key }: PackingOf): Promise<void> {
  const { gathering, comes } = await open(act, gatheringId);
  const { line, bringerId, isTyped } = await lineOf(act, { gatheringId, key });
  orRefuse(
    mayPack(act.actor, comes, line.packedById === act.actor.personId ? act.actor.personId : bringerId),
  );
  const { count } = await act.tx.packingLine.updateMany({
    where: { id: line.id, packedAt: { not: null } },
    data: { packedAt: null, packedById: null },
  });
  if (count === 0) refuse('not-packed', 'It is not ticked as packed.');
  await act.log({
    kind: 'unpack-for-gathering',
    thing: { type: 'gathering', id: gatheringId },
    after: told(gathering.title, key, line.words, isTyped),
  });
}
