import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { claimWork } from './claim-work.ts';
import { revisionEntry } from './draft.ts';

/**
 * Withdraws a revision: a released one that turned out wrong, or a draft that is given up. Its letter is not used again.
 *
 * @throws Refused  it is over already; makers hold claims on it; a job on it is on offer
 */
export async function withdrawRevision(
  act: Act,
  { revisionId }: { revisionId: number },
): Promise<{ id: number; letter: string }> {
  const { tx } = act;
  const revision = found(
    await tx.revision.findUnique({ where: { id: revisionId }, include: { part: true } }),
    'There is no such revision.',
  );
  const { letter, state } = revision;
  if (state !== 'draft' && state !== 'released') {
    refuse('over-already', `Revision ${letter} is ${state} already.`);
  }
  const claims = await tx.claim.findMany({
    where: {
      job: { droppedAt: null },
      OR: [{ revisionId }, { id: { in: await claimsBeingTold(act, revisionId) } }],
    },
    include: { parcelItems: { include: { checks: true } } },
  });
  const open = claims.filter((claim) => claimWork(claim).open);
  if (open.length) {
    const jobs = [...new Set(open.map(({ jobId }) => jobId))].join(', ');
    refuse(
      'claims-open',
      `Makers are at work on revision ${letter} (job ${jobs}): release the next revision, or settle their claims first.`,
    );
  }
  const offered = await tx.job.findFirst({
    where: { revisionId, kind: 'fabricate', offeredAt: { not: null }, droppedAt: null, claims: { none: {} } },
  });
  if (offered) {
    refuse('on-offer', `Job ${offered.id} is on offer to revision ${letter}: take the offer back first.`);
  }
  await tx.revision.update({
    where: { id: revisionId },
    data: { state: 'withdrawn', endedAt: act.at, version: { increment: 1 } },
  });
  await act.log({
    kind: 'withdraw-revision',
    ...revisionEntry(revision),
    before: { state },
    after: { letter, state: 'withdrawn' },
  });
  return { id: revisionId, letter };
}

async function claimsBeingTold({ tx }: Act, revisionId: number): Promise<number[]> {
  const notices = await tx.notice.findMany({ where: { revisionId, settledAt: null } });
  return notices.map(({ claimId }) => claimId);
}
