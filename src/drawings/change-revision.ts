import type { Act } from '../platform/acts.ts';
import { WrongField } from '../platform/refusal.ts';
import type { GeneralClass } from '../specs/index.ts';
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
 * @throws WrongField  a material or process that is not in the lists
 */
export async function changeRevision(
  act: Act,
  input: RevisionHead & { revisionId: number; version: number },
): Promise<{ id: number; letter: string }> {
  const { revisionId, version, ...head } = input;
  const revision = await editDraft(act, revisionId, version);
  await checkLists(act, head, revision);
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
