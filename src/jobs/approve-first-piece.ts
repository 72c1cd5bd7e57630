import type { Act } from '../platform/acts.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { mayApproveFirstPiece } from './first-piece.ts';
import { oneRow, readJob } from './store.ts';

/**
 * The lead approves the first piece from what its maker has reported: values and photos. Where the post takes weeks,
 * that spares the maker a month of waiting. The piece itself is inspected like all others when it comes.
 *
 * @param words  what it was approved by
 * @throws Refused     for others than the lead; no first piece asked for, approved already, nothing reported finished
 * @throws WrongField  words: none
 */
export async function approveFirstPiece(act: Act, jobId: number, words: string): Promise<void> {
  const { facts, unit } = await readJob(act.tx, jobId);
  if (act.actor.role !== 'lead') refuse('lead-only', 'Only the lead approves a first piece unseen.');
  orRefuse(mayApproveFirstPiece(facts, unit));
  if (!words.trim()) throw new WrongField('words', 'Say what it is approved by: measured values, photos.');
  await keepApproval(act, jobId, words.trim());
  await act.log({ kind: 'approve-first-piece', partId: facts.partId, jobId, after: { words: words.trim() } });
}

/** Writes down that the first piece of a job is approved, and by what. */
export async function keepApproval(act: Act, jobId: number, by: string): Promise<void> {
  oneRow(
    await act.tx.job.updateMany({
      where: { id: jobId, firstApprovedAt: null },
      data: { firstApprovedAt: act.at, firstApprovedById: act.actor.personId, firstApproval: by },
    }),
  );
}

/**
 * Brings the approval up to what the pieces of a job came to: one accepted as drawn approves it; where none is and one
 * was rejected, the approval ends, and the next piece is a first piece again. A concession approves nothing: the piece
 * is not as drawn, and whether the others may be like it is for the lead to say.
 *
 * Nothing happens on a job that does not ask for a first piece.
 */
export async function followFirstPiece(act: Act, jobId: number): Promise<void> {
  const job = await act.tx.job.findUniqueOrThrow({
    where: { id: jobId },
    select: { firstPiece: true, firstApprovedAt: true, partId: true, revisionId: true },
  });
  if (!job.firstPiece) return;
  const revision =
    job.revisionId === null ? null : await act.tx.revision.findUnique({ where: { id: job.revisionId } });
  // What came of pieces of an older revision says nothing of this one.
  const ofJob = {
    item: { claim: { jobId, ...(revision ? { revisionId: revision.id } : {}) } },
    ...(revision?.releasedAt ? { at: { gte: revision.releasedAt } } : {}),
  };
  const asDrawn = await act.tx.unitCheck.findFirst({
    where: { ...ofJob, disposition: 'accept' },
    orderBy: { id: 'asc' },
    select: { unitNo: true },
  });
  if (asDrawn && !job.firstApprovedAt) {
    await keepApproval(act, jobId, `piece ${asDrawn.unitNo} accepted as drawn`);
    await act.log({
      kind: 'approve-first-piece',
      partId: job.partId,
      jobId,
      after: { unitNo: asDrawn.unitNo },
    });
  }
  if (asDrawn || !job.firstApprovedAt) return;
  const rejected = await act.tx.unitCheck.count({
    where: { ...ofJob, disposition: { in: ['rework', 'return', 'scrap'] } },
  });
  if (rejected === 0) return;
  await act.tx.job.update({
    where: { id: jobId },
    data: { firstApprovedAt: null, firstApprovedById: null, firstApproval: '' },
  });
  await act.log({ kind: 'end-first-piece-approval', partId: job.partId, jobId });
}
