import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { revisionEntry } from './draft.ts';
import { moveJobs } from './move-jobs.ts';

export const OLD_UNITS_DECISIONS = ['use', 'rework', 'scrap'] as const;
export type OldUnitsDecision = (typeof OLD_UNITS_DECISIONS)[number];

/** A job that follows from another: it reworks its units, or makes new ones in their place. */
export interface FollowUp {
  fromJobId: number;
  reason: 'rework' | 'replacement';
  milli: number;
  note: string;
}

/** Makes the job that follows and gives its number. Jobs stand above drawings: app.ts hands it down. */
export type FollowJob = (act: Act, follow: FollowUp) => Promise<number>;

/**
 * Decides what becomes of accepted units made to a superseded drawing: used as they are, reworked to the present
 * drawing, or scrapped and replaced.
 *
 * @returns the number of the job that follows; null for use
 * @throws NotFound  no such list
 * @throws Refused   decided already; no released drawing to work to; the person is not the lead
 */
export async function decideOldUnits(
  act: Act,
  { oldUnitsId, decision }: { oldUnitsId: number; decision: OldUnitsDecision },
  followJob: FollowJob,
): Promise<{ revisionId: number; followJobId: number | null }> {
  const { tx } = act;
  if (act.actor.role !== 'lead') refuse('lead-only', 'Only the lead decides what becomes of old units.');
  const units = found(
    await tx.oldUnits.findUnique({ where: { id: oldUnitsId } }),
    'There are no such old units.',
  );
  if (units.decidedAs) refuse('decided', `This is decided already: ${units.decidedAs}.`);
  const revision = await tx.revision.findUniqueOrThrow({ where: { id: units.revisionId } });
  const claim = await tx.claim.findUniqueOrThrow({ where: { id: units.claimId } });
  let followJobId: number | null = null;
  if (decision !== 'use') {
    const present = await tx.revision.findFirst({ where: { partId: revision.partId, state: 'released' } });
    if (!present) {
      refuse('nothing-released', 'No revision of this part is released: there is no drawing to work to.');
    }
    followJobId = await followJob(act, {
      fromJobId: claim.jobId,
      reason: decision === 'rework' ? 'rework' : 'replacement',
      milli: units.milli,
      note: `Accepted to revision ${revision.letter}; revision ${present.letter} is wanted.`,
    });
    const job = await tx.job.findUniqueOrThrow({ where: { id: followJobId } });
    if (job.revisionId !== present.id) await moveJobs(act, present, [job]);
  }
  await tx.oldUnits.update({
    where: { id: oldUnitsId },
    data: { decidedAs: decision, decidedAt: act.at, decidedById: act.actor.personId, followJobId },
  });
  await act.log({
    kind: 'decide-old-units',
    ...revisionEntry(revision),
    jobId: claim.jobId,
    milli: units.milli,
    after: { letter: revision.letter, decision, followJobId },
  });
  return { revisionId: revision.id, followJobId };
}
