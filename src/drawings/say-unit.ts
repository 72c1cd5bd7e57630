import type { StlUnit } from '../models/index.ts';
import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { editDraft, revisionEntry } from './draft.ts';

/**
 * Says in which unit the figures of an STL are: its size, surface, volume and mass follow.
 *
 * @throws Refused  no draft; a file whose format names its unit itself
 */
export async function sayUnit(
  act: Act,
  { documentId, unit }: { documentId: number; unit: StlUnit },
): Promise<{ revisionId: number; name: string; unit: StlUnit }> {
  const document = found(
    await act.tx.document.findFirst({ where: { id: documentId, removedAt: null } }),
    'There is no such document any more.',
  );
  if (document.fileKind !== 'stl') {
    refuse('has-its-unit', `${document.name} is no STL: its unit stands in the file itself.`);
  }
  const revision = await editDraft(act, document.revisionId);
  await act.tx.document.update({ where: { id: documentId }, data: { unit } });
  await act.log({
    kind: 'say-unit',
    ...revisionEntry(revision),
    before: { documentId, unit: document.unit },
    after: { letter: revision.letter, documentId, name: document.name, unit },
  });
  return { revisionId: revision.id, name: document.name, unit };
}
