import { changeJob, followJob, keepPhotos, readJob } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { FileStore } from '../platform/files.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import type { LengthUnit } from '../specs/index.ts';
import {
  type CheckedUnits,
  type Disposition,
  followReason,
  mayCheck,
  milliOf,
  pieces,
} from './check-rules.ts';
import { barsToAccept, type Measured } from './measure.ts';
import { say } from './say.ts';
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

const LONGEST_NOTE = 2000;

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
  const checkIds: number[] = [];
  for (const unitNo of unitNos) {
    const { id } = await act.tx.unitCheck.create({
      data: {
        itemId: found.id,
        unitNo,
        milli: 'unitNos' in units ? 1000 : milli,
        disposition,
        reason,
        gauge,
        followJobId,
        at: act.at,
        byId: personId,
        values: { create: values.map(({ characteristicId, value }) => ({ characteristicId, value })) },
      },
    });
    checkIds.push(id);
  }
  const [checkId = 0] = checkIds;
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
    },
  });
  return followJobId;
}

/** The form has judged the values already; the act holds by itself, whoever calls it. */
function checkValues({ dimensions }: LineInAct, check: NewCheck, shown: LengthUnit): void {
  const { units, disposition, values } = check;
  const known = new Set(dimensions.map(({ id }) => id));
  const strange = values.find(({ characteristicId }) => !known.has(characteristicId));
  if (strange) refuse('other-drawing', 'A value is of another drawing than these units were made to.');
  if (values.length && 'unitNos' in units && units.unitNos.length > 1) {
    refuse('values-of-many', 'Measured values are of one unit: decide on it alone.');
  }
  if (disposition !== 'accept') return;
  const [bar] = barsToAccept(values, dimensions, shown);
  if (bar) throw new WrongField(`v-${bar[0]}`, bar[1]);
}

/** Lengths, volumes and masses have no pieces to number: their decisions are numbered as they come. */
async function nextNumber({ tx }: Act, { job }: LineInAct): Promise<number> {
  return 1 + (await tx.unitCheck.count({ where: { item: { claim: { jobId: job.facts.id } } } }));
}

function noteOf({ parcelId, job }: LineInAct, { units, reason }: NewCheck): string {
  const which = 'unitNos' in units ? pieces(units.unitNos) : say(milliOf(units), job.unit);
  return `${which.replace(/^p/, 'P')} of job ${job.facts.id}, parcel ${parcelId}: ${reason}`;
}

async function followedBy(
  act: Act,
  { id: lineId, job }: LineInAct,
  reason: 'rework' | 'replacement',
  milli: number,
  note: string,
): Promise<number> {
  const earlier = await act.tx.unitCheck.findFirst({
    where: {
      itemId: lineId,
      followJobId: { not: null },
      disposition: reason === 'rework' ? { in: ['rework', 'return'] } : 'scrap',
    },
    orderBy: { id: 'desc' },
    select: { followJobId: true },
  });
  if (earlier?.followJobId) {
    const { facts, note: before } = await readJob(act.tx, earlier.followJobId);
    const untouched = !facts.offeredAt && !facts.heldAt && !facts.droppedAt && facts.claims.length === 0;
    const together = `${before}\n${note}`;
    if (untouched && together.length <= LONGEST_NOTE) {
      await changeJob(act, facts.id, { milli: facts.milli + milli, note: together });
      return facts.id;
    }
  }
  return followJob(act, { fromJobId: job.facts.id, reason, milli, note: note.slice(0, LONGEST_NOTE) });
}
