import type { Act } from '../platform/acts.ts';
import { WrongField } from '../platform/refusal.ts';
import { type GeneralClass, limitsOf, parseCharacteristic } from '../specs/index.ts';
import { editDraft, revisionEntry } from './draft.ts';

/** What a revision says of itself, beside its characteristics and documents. */
export interface RevisionHead {
  change: string;
  materialId: number | null;
  processId: number | null;
  materialNote: string;
  finish: string;
  generalTolerance: GeneralClass | '';
  notes: string;
}

/**
 * Changes what a draft says of itself.
 *
 * @param input.version  the version the editor had before them
 * @throws Refused     no draft any more, or changed by somebody else meanwhile
 * @throws WrongField  a material or process that is not in the lists; a general tolerance that leaves sizes without limits
 */
export async function changeRevision(
  act: Act,
  input: RevisionHead & { revisionId: number; version: number },
): Promise<{ id: number; letter: string }> {
  const { revisionId, version, ...head } = input;
  const revision = await editDraft(act, revisionId, version);
  await checkLists(act, head, revision);
  if (head.generalTolerance !== revision.generalTolerance) await checkBareSizes(act, revisionId, head);
  const changed = (Object.keys(head) as (keyof RevisionHead)[]).filter(
    (name) => head[name] !== revision[name],
  );
  await act.tx.revision.update({ where: { id: revisionId }, data: head });
  const only = (from: RevisionHead) => Object.fromEntries(changed.map((name) => [name, from[name]]));
  await act.log({
    kind: 'change-revision',
    ...revisionEntry(revision),
    before: only(revision as RevisionHead),
    after: { letter: revision.letter, ...only(head) },
  });
  return { id: revision.id, letter: revision.letter };
}

/** Sizes without limits of their own need a class that has a value for them. */
async function checkBareSizes(
  { tx }: Act,
  revisionId: number,
  { generalTolerance }: Pick<RevisionHead, 'generalTolerance'>,
): Promise<void> {
  const rows = await tx.characteristic.findMany({
    where: { revisionId, removedAt: null },
    orderBy: { position: 'asc' },
  });
  const bare = rows.filter(({ text }) => {
    const reading = parseCharacteristic(text);
    return (
      reading.ok &&
      reading.characteristic.kind === 'size' &&
      'refusal' in limitsOf(reading.characteristic, generalTolerance || null)
    );
  });
  if (bare.length === 0) return;
  const names = bare.slice(0, 5).map(({ position, text }) => `${position} (${text})`);
  if (bare.length > names.length) names.push(`${bare.length - names.length} more`);
  throw new WrongField(
    'generalTolerance',
    `${generalTolerance ? `Class ${generalTolerance} has no limits for` : 'Without a class there are no limits for'} ${names.join(', ')}: write limits beside them first.`,
  );
}

/** An entry removed from a list stays where it was used and is not given out anew. */
async function checkLists(
  { tx }: Act,
  head: RevisionHead,
  present: { materialId: number | null; processId: number | null },
): Promise<void> {
  const { materialId, processId } = head;
  if (materialId !== null && materialId !== present.materialId) {
    const material = await tx.material.findFirst({ where: { id: materialId, removedAt: null } });
    if (!material) throw new WrongField('materialId', 'This material is not in the list: choose another.');
  }
  if (processId !== null && processId !== present.processId) {
    const process = await tx.process.findFirst({ where: { id: processId, removedAt: null } });
    if (!process) throw new WrongField('processId', 'This process is not in the list: choose another.');
  }
}
