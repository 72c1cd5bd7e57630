import type { Act } from '../platform/acts.ts';
import { found, orRefuse, type Refusal, refuse } from '../platform/refusal.ts';

/**
 * Whether a revision may be edited: only a draft, and only by who has seen its newest state.
 *
 * @param seenVersion  the version the editor had before them; not given where the edit can't overwrite anything
 */
export function mayEdit(
  revision: { letter: string; state: string; version: number },
  seenVersion?: number,
): Refusal | null {
  if (revision.state !== 'draft') {
    return {
      code: 'not-a-draft',
      sentence: `Revision ${revision.letter} is ${revision.state}: what it says stands. Start the next revision to change it.`,
    };
  }
  if (seenVersion !== undefined && seenVersion !== revision.version) {
    return {
      code: 'changed-meanwhile',
      sentence: `Revision ${revision.letter} was changed while you were at it. Nothing of yours is lost: look at what is different, then send it again.`,
    };
  }
  return null;
}

/** The draft with its part, its version raised, so that whoever opened it earlier is told. */
export async function editDraft(act: Act, revisionId: number, seenVersion?: number) {
  const revision = found(
    await act.tx.revision.findUnique({ where: { id: revisionId }, include: { part: true } }),
    'There is no such revision.',
  );
  orRefuse(mayEdit(revision, seenVersion));
  if (revision.part.removedAt)
    refuse('part-removed', `${revision.part.number} is not part of the build any more: bring it back first.`);
  await act.tx.revision.update({ where: { id: revisionId }, data: { version: { increment: 1 } } });
  return revision;
}

/** How a revision stands in the log: the revision, under its part. */
export function revisionEntry(revision: { id: number; partId: number }) {
  return { partId: revision.partId, thing: { type: 'revision', id: revision.id } };
}
