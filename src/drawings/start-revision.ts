import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { revisionEntry } from './draft.ts';
import { compareRevisionLetters, nextRevisionLetter } from './revision-letter.ts';

export interface StartedRevision {
  id: number;
  letter: string;
}

/**
 * Starts the next revision of a part as a draft: the letter after the newest one, with the characteristics, material,
 * process and tolerance of the released revision (or of the newest, where none is released). Documents are not copied:
 * the drawing is what changes. A characteristic keeps its position from revision to revision.
 *
 * @throws NotFound  no such part
 * @throws Refused   a draft is open already; the letters are used up
 */
export async function startRevision(act: Act, { partId }: { partId: number }): Promise<StartedRevision> {
  const { tx } = act;
  const part = found(
    await tx.part.findFirst({ where: { id: partId, removedAt: null } }),
    'There is no such part.',
  );
  const revisions = await tx.revision.findMany({ where: { partId } });
  const draft = revisions.find(({ state }) => state === 'draft');
  if (draft) {
    refuse(
      'draft-open',
      `Revision ${draft.letter} of ${part.number} is a draft already: release it or give it up first.`,
    );
  }
  const newest = revisions.sort((a, b) => compareRevisionLetters(b.letter, a.letter))[0] ?? null;
  const letter = nextRevisionLetter(newest?.letter ?? null);
  if (!letter)
    refuse('letters-used-up', `${part.number} has used up its revision letters: give it a new number.`);

  const present = revisions.find(({ state }) => state === 'released') ?? newest;
  const revision = await tx.revision.create({
    data: {
      partId,
      letter,
      state: 'draft',
      materialId: present ? present.materialId : part.materialId,
      processId: present ? present.processId : part.processId,
      materialNote: present?.materialNote ?? '',
      finish: present?.finish ?? '',
      generalTolerance: present?.generalTolerance ?? '',
      notes: present?.notes ?? '',
      createdAt: act.at,
    },
  });
  const copied = present
    ? await tx.characteristic.findMany({ where: { revisionId: present.id, removedAt: null } })
    : [];
  await tx.characteristic.createMany({
    data: copied.map(({ position, label, text, isKey }) => ({
      revisionId: revision.id,
      position,
      label,
      text,
      isKey,
    })),
  });
  await act.log({
    kind: 'start-revision',
    ...revisionEntry(revision),
    after: { letter, from: present?.letter ?? null, characteristics: copied.length },
  });
  return { id: revision.id, letter };
}
