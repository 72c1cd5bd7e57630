import { followFirstPiece } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import { orRefuse, refuse } from '../platform/refusal.ts';
import { openUnits } from './check-rules.ts';
import { keepChecks } from './check-units.ts';
import { mayAcceptWithSample, mayTakeSample, sampleSize } from './sampling.ts';
import { aboutMaker, oneRow, readLine } from './store.ts';

function shopOnly({ actor }: Act): number {
  if (actor.personId === null || (actor.role !== 'lead' && actor.role !== 'crew')) {
    refuse('shop-only', 'Units are inspected by the lead and the crew.');
  }
  return actor.personId;
}

/**
 * A sample is taken from the pieces of a line that wait: they get the lowest numbers, as they are taken blindly from the
 * box and marked.
 *
 * @throws Refused  a lot that is measured whole, a piece that was not accepted as drawn, a sample taken before
 */
export async function takeSample(act: Act, lineId: number): Promise<void> {
  const byId = shopOnly(act);
  const { job, line, sample, units, dimensions, fromId, claim } = await readLine(act.tx, lineId);
  if (line.countedMilli === null) refuse('not-counted', 'Count what is in the parcel first.');
  const open = job.unit === 'piece' ? openUnits(line) : [];
  const limited = dimensions.filter(({ limits }) => limits !== null).length;
  orRefuse(mayTakeSample(open, sample, units, limited));
  const { letter, size } = sampleSize(open.length)!;
  await act.tx.sample.create({
    data: {
      itemId: lineId,
      lot: open.length,
      letter,
      unitNos: JSON.stringify(open.slice(0, size)),
      at: act.at,
      byId,
    },
  });
  await act.log({
    kind: 'take-sample',
    partId: job.facts.partId,
    jobId: job.facts.id,
    aboutId: aboutMaker(act, fromId),
    thing: { type: 'parcel-line', id: lineId },
    milli: open.length * 1000,
    after: { letter, size, claimId: claim.id },
  });
}

/**
 * The lead has all pieces measured after all: the sample stands for nothing any more.
 *
 * @throws Refused  for others than the lead; no sample; a piece of it was not accepted, so that all are measured anyway
 */
export async function endSample(act: Act, lineId: number): Promise<void> {
  if (act.actor.role !== 'lead') refuse('lead-only', 'Only the lead has all measured in spite of a sample.');
  const { job, line, sample, sampleState, fromId } = await readLine(act.tx, lineId);
  if (!sample || sample.isEnded) refuse('no-sample', 'No sample stands for these pieces.');
  if (sampleState === 'failed') {
    refuse('sample-failed', 'A piece of the sample was not accepted as drawn: all are measured as it is.');
  }
  oneRow(
    await act.tx.sample.updateMany({
      where: { itemId: lineId, endedAt: null },
      data: { endedAt: act.at, endedById: act.actor.personId },
    }),
  );
  await act.log({
    kind: 'end-sample',
    partId: job.facts.partId,
    jobId: job.facts.id,
    aboutId: aboutMaker(act, fromId),
    thing: { type: 'parcel-line', id: lineId },
    milli: openUnits(line).length * 1000,
  });
}

/**
 * What was not in a sample is accepted with it, without a look: each piece keeps that it was.
 *
 * @returns how many pieces
 * @throws Refused  the sample is not all measured, or a piece of it was not accepted; key dimensions; nothing waits
 */
export async function acceptWithSample(act: Act, lineId: number): Promise<number> {
  const byId = shopOnly(act);
  const { job, line, sample, sampleState, dimensions, fromId, claim, parcelId } = await readLine(
    act.tx,
    lineId,
  );
  const open = openUnits(line);
  const keys = dimensions.filter(({ isKey }) => isKey).length;
  orRefuse(mayAcceptWithSample(open, sample, sampleState, keys));
  const reason = `with a sample of ${sample?.unitNos.length} of ${sample?.lot}, none outside`;
  const id = await keepChecks(
    act,
    open.map((unitNo) => ({
      itemId: lineId,
      unitNo,
      milli: 1000,
      disposition: 'accept',
      reason,
      bySample: true,
      at: act.at,
      byId,
    })),
  );
  await act.log({
    kind: 'inspect-units',
    partId: job.facts.partId,
    jobId: job.facts.id,
    aboutId: aboutMaker(act, fromId),
    thing: { type: 'check', id },
    milli: open.length * 1000,
    after: { disposition: 'accept', reason, claimId: claim.id, parcelId, unitNos: open, bySample: true },
  });
  await followFirstPiece(act, job.facts.id);
  return open.length;
}
