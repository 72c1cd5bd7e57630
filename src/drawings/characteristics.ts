import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import { parseCharacteristic } from '../specs/index.ts';
import { editDraft, revisionEntry } from './draft.ts';

const MOST = 300;

export interface CharacteristicInput {
  /** where on the drawing */
  label: string;
  /** as typed: 25 H7 */
  text: string;
  /** whether it matters for fit or function */
  isKey: boolean;
}

/** The text in its one form, or a word at the field. */
function canonicalText(text: string): string {
  const reading = parseCharacteristic(text);
  if (!reading.ok) throw new WrongField('text', `${reading.message}.`);
  return reading.text;
}

/**
 * Adds a dimension or requirement to a draft.
 *
 * @throws Refused     no draft; three hundred are there already
 * @throws WrongField  a text that is no characteristic
 */
export async function addCharacteristic(
  act: Act,
  input: CharacteristicInput & { revisionId: number },
): Promise<{ id: number; text: string }> {
  const { tx } = act;
  const text = canonicalText(input.text);
  const revision = await editDraft(act, input.revisionId);
  const count = await tx.characteristic.count({ where: { revisionId: revision.id, removedAt: null } });
  if (count >= MOST)
    refuse('too-many', `Revision ${revision.letter} has ${MOST} characteristics: that is the most.`);
  // A position is a characteristic's name from revision to revision, so a part never gives one out twice.
  const { _max } = await tx.characteristic.aggregate({
    where: { revision: { partId: revision.partId } },
    _max: { position: true },
  });
  const position = (_max.position ?? 0) + 1;
  const characteristic = await tx.characteristic.create({
    data: { revisionId: revision.id, position, label: input.label, text, isKey: input.isKey },
  });
  await act.log({
    kind: 'add-characteristic',
    ...revisionEntry(revision),
    after: { letter: revision.letter, position, label: input.label, text, isKey: input.isKey },
  });
  return { id: characteristic.id, text };
}

/**
 * Changes a characteristic of a draft.
 *
 * @param input.version  the revision's version the editor had before them
 * @throws Refused, WrongField  as addCharacteristic; changed by somebody else meanwhile
 */
export async function changeCharacteristic(
  act: Act,
  input: CharacteristicInput & { characteristicId: number; version: number },
): Promise<{ revisionId: number; text: string }> {
  const { tx } = act;
  const before = await readCharacteristic(act, input.characteristicId);
  const text = canonicalText(input.text);
  const revision = await editDraft(act, before.revisionId, input.version);
  const after = { label: input.label, text, isKey: input.isKey };
  await tx.characteristic.update({ where: { id: before.id }, data: after });
  await act.log({
    kind: 'change-characteristic',
    ...revisionEntry(revision),
    before: { position: before.position, label: before.label, text: before.text, isKey: before.isKey },
    after: { letter: revision.letter, position: before.position, ...after },
  });
  return { revisionId: revision.id, text };
}

/** Takes a characteristic off a draft; it stays in the records. @throws Refused no draft */
export async function removeCharacteristic(
  act: Act,
  { characteristicId }: { characteristicId: number },
): Promise<{ revisionId: number; text: string }> {
  const before = await readCharacteristic(act, characteristicId);
  const revision = await editDraft(act, before.revisionId);
  await act.tx.characteristic.update({ where: { id: before.id }, data: { removedAt: act.at } });
  await act.log({
    kind: 'remove-characteristic',
    ...revisionEntry(revision),
    before: { position: before.position, label: before.label, text: before.text, isKey: before.isKey },
    after: { letter: revision.letter },
  });
  return { revisionId: revision.id, text: before.text };
}

async function readCharacteristic({ tx }: Act, id: number) {
  return found(
    await tx.characteristic.findFirst({ where: { id, removedAt: null } }),
    'There is no such characteristic any more.',
  );
}
