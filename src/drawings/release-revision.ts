import { changePart } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import { refuse } from '../platform/refusal.ts';
import { claimWork } from './claim-work.ts';
import { editDraft, revisionEntry } from './draft.ts';
import { moveJobs } from './move-jobs.ts';
import { missingSentence, releaseChecklist } from './release-checklist.ts';
import { readReleaseFacts } from './release-facts.ts';
import { isSpent, type PlannedClaim, type SupersedePlan, supersedePlan } from './supersede-plan.ts';

export interface Released {
  id: number;
  letter: string;
  /** the letter it supersedes */
  supersedes: string | null;
  /** makers to be told, and accepted units to be decided on */
  notices: number;
  oldUnits: number;
  movedJobs: number;
}

/**
 * Releases a draft. The revision released until now is superseded: each open claim gets a notice to settle, accepted
 * units made to older drawings are listed for a decision, and jobs with unclaimed quantity move to the new drawing.
 *
 * @param input.version  the version the releasing person had before them, where a page was before them
 * @throws Refused  no draft; changed meanwhile; something on the checklist is missing; makers are at work on the
 *                  revision before it and the person is not the lead
 */
export async function releaseRevision(
  act: Act,
  { revisionId, version }: { revisionId: number; version?: number },
): Promise<Released> {
  const { tx } = act;
  const revision = await editDraft(act, revisionId, version);
  const { part, letter } = revision;
  const missing = missingSentence(letter, releaseChecklist(await readReleaseFacts(tx, revisionId)));
  if (missing) refuse('not-complete', missing);

  const present = await tx.revision.findFirst({ where: { partId: part.id, state: 'released' } });
  const plan = await readPlan(act, part.id, revisionId);
  if (plan.notices.length > 0 && act.actor.role !== 'lead') {
    refuse(
      'lead-only',
      `${plan.notices.length === 1 ? 'A maker is' : `${plan.notices.length} makers are`} at work on ${part.number}: only the lead releases over them.`,
    );
  }
  await tx.revision.update({
    where: { id: revisionId },
    data: { state: 'released', releasedAt: act.at, releasedById: act.actor.personId },
  });
  await act.log({
    kind: 'release-revision',
    ...revisionEntry(revision),
    before: { state: 'draft' },
    after: { letter, state: 'released' },
  });
  if (present) {
    await tx.revision.update({ where: { id: present.id }, data: { state: 'superseded', endedAt: act.at } });
    await act.log({
      kind: 'supersede-revision',
      ...revisionEntry(present),
      before: { state: 'released' },
      after: { letter: present.letter, state: 'superseded', by: letter },
    });
  }
  await tellThePart(act, revision);
  await sendNotices(act, revision, present?.id ?? null, plan);
  const oldUnits = await listOldUnits(act, revision, plan);
  await moveJobs(act, revision, plan.moves);
  return {
    id: revisionId,
    letter,
    supersedes: present?.letter ?? null,
    notices: plan.notices.length,
    oldUnits,
    movedJobs: plan.moves.length,
  };
}

interface NewRevision {
  id: number;
  partId: number;
  letter: string;
  materialId: number | null;
  processId: number | null;
}

async function readPlan({ tx }: Act, partId: number, revisionId: number): Promise<SupersedePlan> {
  const jobs = await tx.job.findMany({
    where: { partId, kind: 'fabricate', droppedAt: null },
    include: { claims: { include: { parcelItems: { include: { checks: true } } } } },
  });
  const claims: PlannedClaim[] = jobs.flatMap((job) =>
    job.claims.map((claim) => ({ ...claim, work: claimWork(claim) })),
  );
  return supersedePlan(revisionId, jobs, claims);
}

/** From now on the part is known to be made of what its drawing says. */
async function tellThePart(act: Act, { partId, materialId, processId }: NewRevision): Promise<void> {
  const part = await act.tx.part.findUniqueOrThrow({ where: { id: partId } });
  const fields = {
    ...(materialId === null || materialId === part.materialId ? {} : { materialId }),
    ...(processId === null || processId === part.processId ? {} : { processId }),
  };
  if (Object.keys(fields).length > 0) await changePart(act, { partId, fields });
}

async function sendNotices(
  act: Act,
  revision: NewRevision,
  presentId: number | null,
  { notices }: SupersedePlan,
): Promise<void> {
  const { tx, at } = act;
  for (const { id: claimId, jobId, personId, revisionId: madeTo } of notices) {
    // A maker who has not answered about the revision between is asked about the newest one only.
    const waiting = await tx.notice.findFirst({ where: { claimId, settledAt: null } });
    if (waiting) {
      await tx.notice.update({ where: { id: waiting.id }, data: { revisionId: revision.id, at } });
    } else {
      const oldRevisionId = madeTo ?? presentId ?? revision.id;
      await tx.notice.create({ data: { revisionId: revision.id, oldRevisionId, claimId, at } });
    }
    await act.log({
      kind: 'tell-maker-of-revision',
      ...revisionEntry(revision),
      jobId,
      aboutId: personId,
      after: { letter: revision.letter, claimId },
    });
  }
}

/**
 * Lists what was accepted to older drawings. A lot that was to be used with the revision before, or waits still, is asked
 * about anew, with what was accepted since: nobody has said that it goes with this one. One reworked or scrapped stays so.
 */
async function listOldUnits(act: Act, revision: NewRevision, { oldUnits }: SupersedePlan): Promise<number> {
  let listed = 0;
  for (const { claimId, jobId, revisionId, milli } of oldUnits) {
    const there = await act.tx.oldUnits.findUnique({
      where: { revisionId_claimId: { revisionId, claimId } },
    });
    if (there && isSpent(there.decidedAs)) continue;
    const lot = { milli, at: act.at, decidedAs: null, decidedAt: null, decidedById: null };
    if (there) await act.tx.oldUnits.update({ where: { id: there.id }, data: lot });
    else await act.tx.oldUnits.create({ data: { revisionId, claimId, ...lot } });
    await act.log({
      kind: 'list-old-units',
      ...revisionEntry({ id: revisionId, partId: revision.partId }),
      jobId,
      milli,
      after: { supersededBy: revision.letter, claimId },
    });
    listed += 1;
  }
  return listed;
}
