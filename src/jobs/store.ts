import type { Unit } from '../parts/index.ts';
import type { Tx } from '../platform/database.ts';
import { found, refuse } from '../platform/refusal.ts';
import { type ClaimFacts, JOB_KINDS, type JobFacts, type JobKind, WORDS_OF_A_CLAIM } from './facts.ts';
import { unitOf } from './say.ts';

/** A job as an act finds it in its own transaction: uncommitted changes of the same act are seen. */
export interface JobInAct {
  facts: JobFacts;
  unit: Unit;
  part: { id: number; number: string; name: string; kind: string; supplier: string } | null;
  revision: { id: number; letter: string; state: string } | null;
  note: string;
}

const CLAIM_PARTS = {
  reports: { select: { at: true } },
  parcelItems: {
    select: {
      milli: true,
      countedMilli: true,
      parcel: { select: { sentAt: true, arrivedAt: true } },
      checks: { select: { milli: true, disposition: true } },
    },
  },
} as const;

type ClaimRow = Awaited<ReturnType<typeof claimRows>>[number];

function claimRows(tx: Tx, jobId: number) {
  return tx.claim.findMany({ where: { jobId }, orderBy: { id: 'asc' }, include: CLAIM_PARTS });
}

function latest(moments: (Date | null | undefined)[]): string | null {
  const known = moments.filter((moment): moment is Date => moment instanceof Date);
  return known.length ? new Date(Math.max(...known.map(Number))).toISOString() : null;
}

const sum = <T>(rows: readonly T[], of: (row: T) => number) =>
  rows.reduce((total, row) => total + of(row), 0);

function claimFacts(row: ClaimRow, otherWords: Date[]): ClaimFacts {
  const items = row.parcelItems;
  const counted = items.filter((item) => item.countedMilli !== null);
  const checks = items.flatMap((item) => item.checks);
  const isAccepted = ({ disposition }: { disposition: string }) =>
    disposition === 'accept' || disposition === 'concession';
  const sent = latest(items.map((item) => item.parcel.sentAt));
  return {
    id: row.id,
    jobId: row.jobId,
    personId: row.personId,
    revisionId: row.revisionId,
    milli: row.milli,
    backMilli: row.backMilli,
    doneMilli: row.doneMilli,
    travellingMilli: sum(items, (item) => (item.countedMilli === null ? item.milli : 0)),
    arrivedMilli: sum(counted, (item) => item.countedMilli ?? 0),
    shortMilli: sum(counted, (item) => item.milli - (item.countedMilli ?? 0)),
    acceptedMilli: sum(checks, (check) => (isAccepted(check) ? check.milli : 0)),
    rejectedMilli: sum(checks, (check) => (isAccepted(check) ? 0 : check.milli)),
    soonestDays: row.soonestDays,
    likelyDays: row.likelyDays,
    latestDays: row.latestDays,
    claimedAt: row.claimedAt.toISOString(),
    startedAt: row.startedAt?.toISOString() ?? null,
    lastWordAt:
      latest([
        row.claimedAt,
        ...row.reports.map(({ at }) => at),
        sent ? new Date(sent) : null,
        ...otherWords,
      ]) ?? row.claimedAt.toISOString(),
    lastSentAt: sent,
    lastArrivedAt: latest(items.map((item) => item.parcel.arrivedAt)),
  };
}

function kindOf(stored: string): JobKind {
  const kind = JOB_KINDS.find((known) => known === stored);
  if (!kind) throw new Error(`job kind ${stored} is not known`);
  return kind;
}

/**
 * Reads a job inside an act's transaction: the same facts that factsReader gives of what is committed.
 *
 * @throws NotFound  when there is no such job
 */
export async function readJob(tx: Tx, jobId: number): Promise<JobInAct> {
  const job = found(
    await tx.job.findUnique({ where: { id: jobId }, include: { part: true, queries: true } }),
    `There is no job ${jobId}.`,
  );
  const rows = await claimRows(tx, jobId);
  const words = rows.length
    ? await tx.act.findMany({
        where: { jobId, kind: { in: WORDS_OF_A_CLAIM }, thingType: 'claim' },
        select: { thingId: true, at: true },
      })
    : [];
  const revision = job.revisionId
    ? await tx.revision.findUnique({
        where: { id: job.revisionId },
        select: { id: true, letter: true, state: true },
      })
    : null;
  const {
    part,
    queries,
    note,
    firstApprovedById: _approver,
    firstApproval: _approval,
    result: _result,
    holdReason: _hold,
    dropReason: _drop,
    ...row
  } = job;
  const iso = (moment: Date | null) => moment?.toISOString() ?? null;
  return {
    facts: {
      ...row,
      kind: kindOf(row.kind),
      fromReason: row.fromReason === 'rework' || row.fromReason === 'replacement' ? row.fromReason : null,
      firstApprovedAt: iso(row.firstApprovedAt),
      offeredAt: iso(row.offeredAt),
      startedAt: iso(row.startedAt),
      orderedAt: iso(row.orderedAt),
      finishedAt: iso(row.finishedAt),
      heldAt: iso(row.heldAt),
      droppedAt: iso(row.droppedAt),
      createdAt: row.createdAt.toISOString(),
      claims: rows.map((claim) =>
        claimFacts(claim, [
          ...words.filter(({ thingId }) => thingId === claim.id).map(({ at }) => at),
          ...queries.filter(({ askedById }) => askedById === claim.personId).map(({ askedAt }) => askedAt),
        ]),
      ),
    },
    unit: unitOf(part?.unit),
    part: part && {
      id: part.id,
      number: part.number,
      name: part.name,
      kind: part.kind,
      supplier: part.supplier,
    },
    revision,
    note,
  };
}

/** Reads the job of a claim, and the claim in it. */
export async function readClaim(tx: Tx, claimId: number): Promise<JobInAct & { claim: ClaimFacts }> {
  const row = found(
    await tx.claim.findUnique({ where: { id: claimId }, select: { jobId: true } }),
    `There is no claim ${claimId}.`,
  );
  const job = await readJob(tx, row.jobId);
  const claim = found(
    job.facts.claims.find(({ id }) => id === claimId),
    `There is no claim ${claimId}.`,
  );
  return { ...job, claim };
}

/** Ends the act unless the guarded write met its one row: somebody was quicker, and nothing is changed. */
export function oneRow({ count }: { count: number }): void {
  if (count !== 1) {
    refuse(
      'changed-meanwhile',
      'This changed while you were at it. Look again, and repeat it if it is still needed.',
    );
  }
}
