import type { Act } from '../platform/acts.ts';
import { found, NotFound, refuse } from '../platform/refusal.ts';
import { claimWork } from './claim-work.ts';
import { revisionEntry } from './draft.ts';

export interface SettledNotice {
  jobId: number;
  /** the new revision's letter */
  letter: string;
}

/**
 * A maker takes a new revision up: what is still in their shop is made to it from now on, finished or not. Units that
 * are in the post or here stay as claimed to the old revision; where there are such, the claim is split in two.
 *
 * @throws NotFound  no such notice, or another maker's
 * @throws Refused   settled already
 */
export async function takeUpRevision(act: Act, { noticeId }: { noticeId: number }): Promise<SettledNotice> {
  const { tx } = act;
  const { notice, claim } = await openNotice(act, noticeId);
  const { revision } = notice;
  const work = claimWork(claim);
  await settle(act, noticeId, 'taken up');
  const onNew = { revisionId: revision.id };
  let claimId = claim.id;
  if (work.withMaker > 0 && work.posted === 0) {
    await tx.claim.update({ where: { id: claim.id }, data: onNew });
  } else if (work.withMaker > 0) {
    const doneHere = Math.max(0, claim.doneMilli - work.posted);
    await tx.claim.update({
      where: { id: claim.id },
      data: { milli: claim.milli - work.withMaker, doneMilli: claim.doneMilli - doneHere },
    });
    const { jobId, personId, soonestDays, likelyDays, latestDays, note, claimedAt, startedAt } = claim;
    const split = await tx.claim.create({
      data: {
        jobId,
        personId,
        ...onNew,
        milli: work.withMaker,
        doneMilli: doneHere,
        soonestDays,
        likelyDays,
        latestDays,
        note,
        claimedAt,
        startedAt,
      },
    });
    claimId = split.id;
  }
  await act.log({
    kind: 'take-up-revision',
    ...revisionEntry(revision),
    jobId: claim.jobId,
    aboutId: claim.personId,
    milli: work.withMaker,
    before: { claimId: claim.id, revisionId: claim.revisionId },
    after: { claimId, revisionId: revision.id, letter: revision.letter },
  });
  return { jobId: claim.jobId, letter: revision.letter };
}

/**
 * The lead tells a maker to finish to the old revision.
 *
 * @throws NotFound  no such notice
 * @throws Refused   settled already, or the person is not the lead
 */
export async function finishOldRevision(
  act: Act,
  { noticeId }: { noticeId: number },
): Promise<SettledNotice> {
  if (act.actor.role !== 'lead') refuse('lead-only', 'Only the lead says that an old revision is finished.');
  const { notice, claim } = await openNotice(act, noticeId);
  await settle(act, noticeId, 'finish the old');
  await act.log({
    kind: 'finish-old-revision',
    ...revisionEntry(notice.revision),
    jobId: claim.jobId,
    aboutId: claim.personId,
    after: { letter: notice.revision.letter, claimId: claim.id, revisionId: claim.revisionId },
  });
  return { jobId: claim.jobId, letter: notice.revision.letter };
}

/** The notice with its claim, for its maker and for the lead. */
async function openNotice({ tx, actor }: Act, noticeId: number) {
  const notice = found(
    await tx.notice.findUnique({ where: { id: noticeId }, include: { revision: true } }),
    'There is no such notice.',
  );
  const claim = await tx.claim.findUniqueOrThrow({
    where: { id: notice.claimId },
    include: { parcelItems: { include: { checks: true } } },
  });
  if (actor.role !== 'lead' && actor.personId !== claim.personId)
    throw new NotFound('There is no such notice.');
  if (notice.settledAt) refuse('settled', `This is settled already: ${notice.settledAs}.`);
  return { notice, claim };
}

async function settle({ tx, at, actor }: Act, id: number, settledAs: 'taken up' | 'finish the old') {
  await tx.notice.update({
    where: { id },
    data: { settledAt: at, settledAs, settledById: actor.personId },
  });
}
