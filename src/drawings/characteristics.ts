import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import {
  type Characteristic,
  type GeneralClass,
  limitsOf,
  parseCharacteristic,
  zoneOnWrongSide,
} from '../specs/index.ts';
import { editDraft, revisionEntry } from './draft.ts';

const MOST = 300;
const HOW_BESIDE = '; write them beside it, as in 40 ±0.2';
const HOW_WITHOUT_CLASS = `${HOW_BESIDE}, or first choose the general tolerance under "What it says"`;

export interface CharacteristicInput {
  /** where on the drawing */
  label: string;
  /** as typed: 25 H7 */
  text: string;
  /** whether it matters for fit or function */
  isKey: boolean;
}

const refuseText = (sentence: string): never => {
  throw new WrongField('text', `${sentence}.`);
};

/** What was typed. @throws WrongField  it is no characteristic, or its zone is for the other side than its label names */
function readText({ text, label }: CharacteristicInput) {
  const reading = parseCharacteristic(text);
  if (!reading.ok) return refuseText(reading.message);
  const wrongSide = zoneOnWrongSide(text, label);
  return wrongSide ? refuseText(wrongSide) : reading;
}

/**
 * Refuses what has no limits: none stand beside it, and no class gives it any. A bare angle of a drawing with a class
 * stays: ISO 2768-1 goes by its shorter side, which the drawing shows.
 *
 * @throws WrongField
 */
function refuseWithoutLimits(characteristic: Characteristic, generalTolerance: string): void {
  const generalClass = (generalTolerance || null) as GeneralClass | null;
  if (characteristic.kind === 'requirement' || (characteristic.kind === 'angle' && generalClass)) return;
  const limits = limitsOf(characteristic, generalClass);
  if ('refusal' in limits) refuseText(`${limits.refusal}${generalClass ? HOW_BESIDE : HOW_WITHOUT_CLASS}`);
}

/**
 * Adds a dimension or requirement to a draft.
 *
 * @throws Refused     no draft; three hundred are there already
 * @throws WrongField  a text that is no characteristic, a zone for the other side, or a size without limits
 */
export async function addCharacteristic(
  act: Act,
  input: CharacteristicInput & { revisionId: number },
): Promise<{ id: number; text: string }> {
  const { tx } = act;
  const { characteristic: typed, text } = readText(input);
  const revision = await editDraft(act, input.revisionId);
  refuseWithoutLimits(typed, revision.generalTolerance);
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
  const { characteristic: typed, text } = readText(input);
  const revision = await editDraft(act, before.revisionId, input.version);
  refuseWithoutLimits(typed, revision.generalTolerance);
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
