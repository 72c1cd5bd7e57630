import { followFirstPiece, keepPhotos } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { FileStore } from '../platform/files.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import type { LengthUnit } from '../specs/index.ts';
import { type CheckedUnits, type Disposition, followReason, mayCheck, milliOf } from './check-rules.ts';
import { followedBy, noteOf } from './follow-up.ts';
import { barsToAccept, isMeasuredWhole, type Measured } from './measure.ts';
import { measuredOf } from './sampling.ts';
import { aboutMaker, type LineInAct, readLine } from './store.ts';

export interface NewCheck {
  lineId: number;
  units: CheckedUnits;
  disposition: Disposition;
  /** why it is not accepted as drawn */
  reason: string;
  /** what it was measured with */
  gauge: string;
  /** in the drawing's units; of a single unit */
  values: readonly Measured[];
  photos?: readonly SmallPhoto[];
}

/**
 * Units that were counted get their disposition. Whoever is second at the same unit finds it decided.
 *
 * Rejected units make a rework or replacement job for their quantity; while such a job of the same parcel line still
 * waits untouched in preparation, they are added to it.
 *
 * @returns the job that follows; null when the units are kept
 * @throws Refused     not counted, decided already, no reason, not for this person
 * @throws WrongField  a value that keeps the unit from being accepted as drawn
 */
export async function checkUnits(
  act: Act,
  files: FileStore,
  check: NewCheck,
  shown: LengthUnit = 'mm',
): Promise<number | null> {
  const { personId, role } = act.actor;
  if (personId === null || (role !== 'lead' && role !== 'crew')) {
    refuse('shop-only', 'Units are inspected by the lead and the crew.');
  }
  const { units, disposition, reason, gauge, values, photos = [] } = check;
  const found = await readLine(act.tx, check.lineId);
  const { job, line } = found;
  orRefuse(mayCheck(line, units, { disposition, reason }, job.unit));
  checkValues(found, check, shown);
  const milli = milliOf(units);
  const follow = followReason(disposition);
  const followJobId =
    follow === null ? null : await followedBy(act, found, follow, milli, noteOf(found, check));
  const unitNos =
    'unitNos' in units ? [...units.unitNos].sort((a, b) => a - b) : [await nextNumber(act, found)];
  const bySample = disposition === 'accept' && standsBySample(found, check);
  const checkId = await keepChecks(
    act,
    unitNos.map((unitNo) => ({
      itemId: found.id,
      unitNo,
      milli: 'unitNos' in units ? 1000 : milli,
      disposition,
      reason,
      gauge,
      followJobId,
      bySample,
      at: act.at,
      byId: personId,
    })),
    values,
  );
  await keepPhotos(act, files, photos, { checkId });
  await act.log({
    kind: 'inspect-units',
    partId: job.facts.partId,
    jobId: job.facts.id,
    aboutId: aboutMaker(act, found.fromId),
    thing: { type: 'check', id: checkId },
    milli,
    after: {
      disposition,
      reason,
      claimId: found.claim.id,
      parcelId: found.parcelId,
      ...('unitNos' in units ? { unitNos } : {}),
      ...(followJobId === null ? {} : { followJobId }),
      ...(photos.length ? { photos: photos.length } : {}),
      ...(bySample ? { bySample } : {}),
    },
  });
  await followFirstPiece(act, job.facts.id);
  return followJobId;
}

/** Whether what a unit was not measured in is taken from the sample: it is not of it, and the sample has passed. */
function standsBySample(
  { sample, sampleState, dimensions }: LineInAct,
  { units, values }: NewCheck,
): boolean {
  if (!sample || sample.isEnded || sampleState !== 'passed' || !('unitNos' in units)) return false;
  return !isMeasuredWhole(values, dimensions);
}

/** The form has judged the values already; the act holds by itself, whoever calls it. */
function checkValues(line: LineInAct, check: NewCheck, shown: LengthUnit): void {
  const { dimensions, sample, sampleState } = line;
  const { units, disposition, values } = check;
  const known = new Set(dimensions.map(({ id }) => id));
  const strange = values.find(({ characteristicId }) => !known.has(characteristicId));
  if (strange) refuse('other-drawing', 'A value is of another drawing than these units were made to.');
  if (values.length && 'unitNos' in units && units.unitNos.length > 1) {
    refuse('values-of-many', 'Measured values are of one unit: decide on it alone.');
  }
  if (disposition !== 'accept') return;
  const every =
    'unitNos' in units && units.unitNos.some((no) => measuredOf(no, sample, sampleState) === 'every');
  const [bar] = barsToAccept(values, dimensions, shown, every ? 'every' : 'key');
  if (bar) throw new WrongField(`v-${bar[0]}`, bar[1]);
}

/** Lengths, volumes and masses have no pieces to number: their decisions are numbered as they come. */
async function nextNumber({ tx }: Act, { job }: LineInAct): Promise<number> {
  return 1 + (await tx.unitCheck.count({ where: { item: { claim: { jobId: job.facts.id } } } }));
}

type CheckRow = Parameters<Act['tx']['unitCheck']['create']>[0]['data'];

/** Writes the rows of units that get one disposition; of a single one with its values. Gives the first one's id. */
export async function keepChecks(
  act: Act,
  rows: readonly (CheckRow & { itemId: number; unitNo: number })[],
  values: readonly Measured[] = [],
): Promise<number> {
  const [first, ...others] = rows;
  if (!first) throw new Error('no unit to write down');
  const { id } = await act.tx.unitCheck.create({ data: first });
  if (others.length) await act.tx.unitCheck.createMany({ data: others });
  if (values.length) {
    await act.tx.measuredValue.createMany({
      data: values.map(({ characteristicId, value }) => ({ checkId: id, characteristicId, value })),
    });
  }
  return id;
}
