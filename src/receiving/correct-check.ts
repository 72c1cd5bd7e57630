import { followFirstPiece, keepPhotos } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { FileStore } from '../platform/files.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { LengthUnit } from '../specs/index.ts';
import { type Disposition, followReason, isKept } from './check-rules.ts';
import { followedBy, noteOf, takeFromFollower } from './follow-up.ts';
import { barsToAccept, isMeasuredWhole, type Measured } from './measure.ts';
import { measuredOf } from './sampling.ts';
import { aboutMaker, type LineInAct, readLine } from './store.ts';

export interface CheckCorrection {
  checkId: number;
  /** the version that was seen: who is second is told */
  version: number;
  disposition: Disposition;
  /** why it is not accepted as drawn */
  reason: string;
  gauge: string;
  /** all that stand afterwards, in the drawing's units */
  values: readonly Measured[];
  /** what was wrong with what stood there */
  why: string;
  photos?: readonly SmallPhoto[];
}

const valuesNoted = (values: readonly Measured[]) =>
  Object.fromEntries(values.map(({ characteristicId, value }) => [characteristicId, value]));

async function readCheck(act: Act, checkId: number) {
  return found(
    await act.tx.unitCheck.findUnique({
      where: { id: checkId },
      include: { values: { orderBy: { id: 'asc' } } },
    }),
    'There is no such inspection.',
  );
}

type CheckRow = Awaited<ReturnType<typeof readCheck>>;

/**
 * What was decided on a unit, or measured of it, was wrong and is put right. The log keeps both.
 *
 * A unit that is rejected no longer is taken out of the job that was to make it good, as long as that has not begun; one
 * that is rejected now makes such a job, as at the inspection.
 *
 * @throws Refused     not for this person; corrected meanwhile; the job that makes it good has begun; its revision was
 *                     superseded and its unit listed; nothing is different
 * @throws WrongField  why: none; a value that keeps the unit from being accepted as drawn
 */
export async function correctCheck(
  act: Act,
  files: FileStore,
  correction: CheckCorrection,
  shown: LengthUnit = 'mm',
): Promise<void> {
  const { role, personId } = act.actor;
  if (personId === null || (role !== 'lead' && role !== 'crew')) {
    refuse('shop-only', 'Inspections are corrected by the lead and the crew.');
  }
  const { checkId, disposition, reason, gauge, values, why, photos = [] } = correction;
  const row = await readCheck(act, checkId);
  const line = await readLine(act.tx, row.itemId);
  if (!why.trim()) throw new WrongField('why', 'Say what was wrong, and how it is known.');
  await checkCorrection(act, line, row, correction, shown);
  const followJobId = await followerAfter(act, line, row, correction);
  const { count } = await act.tx.unitCheck.updateMany({
    where: { id: checkId, version: correction.version },
    data: {
      disposition,
      reason,
      gauge,
      followJobId,
      bySample: row.bySample && disposition === 'accept' && !isMeasuredWhole(values, line.dimensions),
      version: row.version + 1,
      // Who decides anew answers for it; who decided before stays in the log.
      ...(disposition === row.disposition ? {} : { byId: personId }),
    },
  });
  if (count !== 1) correctedMeanwhile();
  await act.tx.measuredValue.deleteMany({ where: { checkId } });
  await act.tx.measuredValue.createMany({
    data: values.map(({ characteristicId, value }) => ({ checkId, characteristicId, value })),
  });
  await keepPhotos(act, files, photos, { checkId });
  await act.log({
    kind: 'correct-inspection',
    partId: line.job.facts.partId,
    jobId: line.job.facts.id,
    aboutId: aboutMaker(act, line.fromId),
    thing: { type: 'check', id: checkId },
    milli: row.milli,
    before: {
      disposition: row.disposition,
      reason: row.reason,
      gauge: row.gauge,
      values: valuesNoted(row.values),
      followJobId: row.followJobId,
    },
    after: {
      disposition,
      reason,
      gauge,
      values: valuesNoted(values),
      followJobId,
      why: why.trim(),
      unitNo: row.unitNo,
      claimId: line.claim.id,
      parcelId: line.parcelId,
      ...(photos.length ? { photos: photos.length } : {}),
    },
  });
  await followFirstPiece(act, line.job.facts.id);
}

function correctedMeanwhile(): never {
  refuse('corrected-meanwhile', 'Somebody was quicker: this inspection was corrected meanwhile. Look again.');
}

async function checkCorrection(
  act: Act,
  { dimensions, claim, sample, sampleState }: LineInAct,
  row: CheckRow,
  { version, disposition, reason, gauge, values, photos = [] }: CheckCorrection,
  shown: LengthUnit,
): Promise<void> {
  if (row.version !== version) correctedMeanwhile();
  if (disposition !== 'accept' && !reason.trim()) {
    throw new WrongField('reason', 'Say why it is not accepted as drawn.');
  }
  const same =
    row.disposition === disposition &&
    row.reason === reason &&
    row.gauge === gauge &&
    photos.length === 0 &&
    JSON.stringify(valuesNoted(row.values)) === JSON.stringify(valuesNoted(values));
  if (same) refuse('nothing-different', 'Nothing is different from what stands there.');
  const known = new Set(dimensions.map(({ id }) => id));
  if (values.some(({ characteristicId }) => !known.has(characteristicId))) {
    refuse('other-drawing', 'A value is of another drawing than this unit was made to.');
  }
  if (disposition === 'accept') {
    const [bar] = barsToAccept(values, dimensions, shown, measuredOf(row.unitNo, sample, sampleState));
    if (bar) throw new WrongField(`v-${bar[0]}`, bar[1]);
  }
  if (!isKept(row.disposition) || isKept(disposition)) return;
  if (await act.tx.oldUnits.findFirst({ where: { claimId: claim.id } })) {
    refuse(
      'listed-as-old',
      'Its revision was superseded, and what was accepted of it is listed there for use, rework or scrap: decide there.',
    );
  }
}

/** The job that makes the unit good after the correction; null where it needs none. */
async function followerAfter(
  act: Act,
  line: LineInAct,
  row: CheckRow,
  { disposition, reason }: CheckCorrection,
): Promise<number | null> {
  const before = followReason(row.disposition as Disposition);
  const after = followReason(disposition);
  if (before === after) return row.followJobId;
  const units = line.job.unit === 'piece' ? { unitNos: [row.unitNo] } : { milli: row.milli, waitingMilli: 0 };
  if (row.followJobId !== null) {
    const gone = noteOf(line, { units, reason: 'not in this job any more, its inspection was corrected' });
    await takeFromFollower(act, row.followJobId, row.milli, gone);
  }
  if (after === null) return null;
  return followedBy(act, line, after, row.milli, noteOf(line, { units, reason }));
}
