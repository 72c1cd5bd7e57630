import type { ClaimFacts } from '../jobs/index.ts';
import { type JobInAct, readClaim } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Database, Tx } from '../platform/database.ts';
import { type Day, dayIn } from '../platform/day.ts';
import { found, refuse } from '../platform/refusal.ts';
import type { GeneralClass } from '../specs/index.ts';
import type { LineToCheck } from './check-rules.ts';
import { type Gauged, gauged } from './measure.ts';
import { type SampleFacts, type SampleState, sampleState, type UnitOutcome } from './sampling.ts';

/** Reads inside an act, or what is committed. */
export type Reads = Tx | Database['read'];

const WITH_CHECKS = {
  checks: {
    select: { milli: true, unitNo: true, disposition: true, bySample: true },
    orderBy: { id: 'asc' },
  },
} as const;

interface ItemRow {
  id: number;
  milli: number;
  countedMilli: number | null;
  checks: { milli: number; unitNo: number }[];
}

/** A parcel as an act finds it. */
export interface ParcelInAct {
  id: number;
  fromId: number;
  sentAt: Date;
  sentOn: Day;
  arrivedOn: Day | null;
  arrivalNote: string;
  lines: {
    id: number;
    claimId: number;
    milli: number;
    countedMilli: number | null;
    checkedMilli: number;
  }[];
}

export async function zoneOf(db: Reads): Promise<string> {
  const build = await db.build.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } });
  return build.timeZone;
}

const checkedMilli = ({ checks }: Pick<ItemRow, 'checks'>) =>
  checks.reduce((sum, { milli }) => sum + milli, 0);

/** @throws NotFound */
export async function readParcel(act: Act, parcelId: number): Promise<ParcelInAct> {
  const zone = await zoneOf(act.tx);
  const parcel = found(
    await act.tx.parcel.findUnique({
      where: { id: parcelId },
      include: { items: { include: WITH_CHECKS, orderBy: { id: 'asc' } } },
    }),
    'There is no such parcel.',
  );
  return {
    id: parcel.id,
    fromId: parcel.fromId,
    sentAt: parcel.sentAt,
    sentOn: dayIn(zone, parcel.sentAt),
    arrivedOn: parcel.arrivedAt && dayIn(zone, parcel.arrivedAt),
    arrivalNote: parcel.arrivalNote,
    lines: parcel.items.map((item) => ({
      id: item.id,
      claimId: item.claimId,
      milli: item.milli,
      countedMilli: item.countedMilli,
      checkedMilli: checkedMilli(item),
    })),
  };
}

/** A parcel line with its job, its claim, and what its units are measured by. */
export interface LineInAct {
  id: number;
  parcelId: number;
  fromId: number;
  line: LineToCheck;
  job: JobInAct;
  claim: ClaimFacts;
  dimensions: Gauged[];
  units: (UnitOutcome & { bySample: boolean })[];
  /** pieces taken to stand for the others; null where none were */
  sample: SampleFacts | null;
  /** null without a sample */
  sampleState: SampleState | null;
}

/** The number of a line's first unit within its job: the posted pieces of all lines before it, and one. */
export async function firstUnitOf(db: Reads, { id, jobId }: { id: number; jobId: number }): Promise<number> {
  const { _sum } = await db.parcelItem.aggregate({
    where: { claim: { jobId }, id: { lt: id } },
    _sum: { milli: true },
  });
  return (_sum.milli ?? 0) / 1000 + 1;
}

/** What the units of a claim are measured by: the dimensions of the revision they were made to. */
export async function dimensionsOf(db: Reads, revisionId: number | null): Promise<Gauged[]> {
  if (revisionId === null) return [];
  const revision = await db.revision.findUnique({
    where: { id: revisionId },
    include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
  });
  const generalClass = (revision?.generalTolerance || null) as GeneralClass | null;
  return (revision?.characteristics ?? [])
    .map((row) => gauged(row, generalClass))
    .filter((dimension): dimension is Gauged => dimension !== null);
}

/**
 * Reads a line inside an act's transaction, or what is committed of it.
 *
 * @throws NotFound
 */
export async function readLine(tx: Tx, lineId: number): Promise<LineInAct> {
  const item = found(
    await tx.parcelItem.findUnique({
      where: { id: lineId },
      include: { ...WITH_CHECKS, sample: true, parcel: { select: { fromId: true } } },
    }),
    'There is no such line of a parcel.',
  );
  const { claim, ...job } = await readClaim(tx, item.claimId);
  const units = item.checks.map(({ unitNo, disposition, bySample }) => ({ unitNo, disposition, bySample }));
  const sample = item.sample && {
    lot: item.sample.lot,
    letter: item.sample.letter,
    unitNos: JSON.parse(item.sample.unitNos) as number[],
    isEnded: item.sample.endedAt !== null,
  };
  return {
    id: item.id,
    parcelId: item.parcelId,
    fromId: item.parcel.fromId,
    line: {
      milli: item.milli,
      countedMilli: item.countedMilli,
      checkedMilli: checkedMilli(item),
      firstUnit: await firstUnitOf(tx, { id: item.id, jobId: claim.jobId }),
      checkedUnits: item.checks.map(({ unitNo }) => unitNo),
    },
    job,
    claim,
    dimensions: await dimensionsOf(tx, claim.revisionId ?? job.facts.revisionId),
    units,
    sample,
    sampleState: sample && sampleState(sample, units),
  };
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

/** Whom an act on a maker's work concerns, where somebody else does it. */
export function aboutMaker(act: Act, makerId: number): number | null {
  return makerId === act.actor.personId ? null : makerId;
}
