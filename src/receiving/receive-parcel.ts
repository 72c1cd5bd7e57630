import { madeOf, readClaim } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { found, orRefuse, refuse } from '../platform/refusal.ts';
import { momentOfDay } from './moment-of-day.ts';
import { mayCount, mayReceive, mayWriteOff } from './parcel-rules.ts';
import { aboutMaker, oneRow, type ParcelInAct, readParcel, zoneOf } from './store.ts';

/** How much of each line was found in a parcel. */
export type Counts = readonly { lineId: number; milli: number }[];

function shopOnly({ actor }: Act): void {
  if (actor.role !== 'lead' && actor.role !== 'crew') {
    refuse('shop-only', 'Parcels are taken in and counted by the lead and the crew.');
  }
}

/**
 * A parcel has come. It may be counted at once or later.
 *
 * A parcel that was written off and turns up is counted at once: its units had gone back to their maker, who may have posted them anew.
 *
 * @param input.counts  for every line, or none of them
 * @throws Refused      here already; a day that cannot be; a count that cannot be
 * @throws NotFound     no such parcel; a line of another one
 */
export async function receiveParcel(
  act: Act,
  input: { parcelId: number; arrivedOn: Day; note: string; counts: Counts | null },
): Promise<void> {
  shopOnly(act);
  const { parcelId, arrivedOn, note, counts } = input;
  const parcel = await readParcel(act, parcelId);
  orRefuse(mayReceive(parcel, arrivedOn, act.today));
  const writtenOff = parcel.lines.every(({ countedMilli }) => countedMilli !== null);
  if (writtenOff && !counts) {
    refuse('count-at-once', 'This parcel was written off: count it as you take it in.');
  }
  const zone = await zoneOf(act.tx);
  const arrivedAt =
    arrivedOn === act.today ? act.at : momentOfDay(arrivedOn, zone, { from: parcel.sentAt, until: act.at });
  oneRow(
    await act.tx.parcel.updateMany({
      where: { id: parcelId, arrivedAt: null },
      data: { arrivedAt, receivedById: act.actor.personId, arrivalNote: joined(parcel.arrivalNote, note) },
    }),
  );
  const countOf = new Map(counts?.map(({ lineId, milli }) => [lineId, milli]));
  for (const line of parcel.lines) {
    // What a line came to is told once: what was counted with the arrival, else what was posted.
    const milli = countOf.get(line.id) ?? line.milli;
    if (milli <= 0) continue;
    const { facts } = await readClaim(act.tx, line.claimId);
    await act.log({
      kind: 'receive-parcel',
      partId: facts.partId,
      jobId: facts.id,
      aboutId: aboutMaker(act, parcel.fromId),
      thing: { type: 'parcel', id: parcelId },
      milli,
      after: { claimId: line.claimId, arrivedOn },
    });
  }
  if (counts) await count(act, parcel, counts);
}

/**
 * Counts what came in a parcel that is here, for the first time or again.
 *
 * What is short goes back to its maker: it is finished and not posted, so they post it, or take the word back.
 *
 * @throws Refused   not here yet; a count that cannot be
 * @throws NotFound  no such parcel; a line of another one
 */
export async function countParcel(
  act: Act,
  { parcelId, counts, note }: { parcelId: number; counts: Counts; note: string },
): Promise<void> {
  shopOnly(act);
  const parcel = await readParcel(act, parcelId);
  if (!parcel.arrivedOn) refuse('not-here', `Parcel ${parcelId} has not come yet.`);
  if (note) {
    await act.tx.parcel.update({
      where: { id: parcelId },
      data: { arrivalNote: joined(parcel.arrivalNote, note) },
    });
  }
  await count(act, parcel, counts, true);
}

/**
 * A parcel is written off: it is lost, or was not sent after all. Its units are their maker's to post again; it may
 * still turn up.
 *
 * @throws Refused  for others than the lead and the maker it is from; here or written off already
 */
export async function writeOffParcel(
  act: Act,
  { parcelId, note }: { parcelId: number; note: string },
): Promise<void> {
  const { personId, role } = act.actor;
  const parcel = await readParcel(act, parcelId);
  if (role !== 'lead' && (personId === null || personId !== parcel.fromId)) {
    refuse('not-your-parcel', 'Only the lead, or the maker it is from, writes a parcel off.');
  }
  orRefuse(mayWriteOff(parcel));
  await act.tx.parcel.update({
    where: { id: parcelId },
    data: { arrivalNote: joined(parcel.arrivalNote, note) },
  });
  await count(
    act,
    parcel,
    parcel.lines.map(({ id }) => ({ lineId: id, milli: 0 })),
  );
}

/**
 * Writes the counts and says in the log what was short or has changed.
 *
 * @param always  log a full count as well: the act is the counting itself
 */
async function count(act: Act, parcel: ParcelInAct, counts: Counts, always = false): Promise<void> {
  if (counts.length === 0) refuse('no-count', 'Count what is in the parcel.');
  if (new Set(counts.map(({ lineId }) => lineId)).size !== counts.length) {
    refuse('line-twice', 'A line is counted twice.');
  }
  for (const { lineId, milli } of counts) {
    const line = found(
      parcel.lines.find(({ id }) => id === lineId),
      `Parcel ${parcel.id} has no such line.`,
    );
    const { facts, claim, unit } = await readClaim(act.tx, line.claimId);
    orRefuse(mayCount(line, milli, madeOf(claim), unit));
    if (line.countedMilli === milli) continue;
    oneRow(
      await act.tx.parcelItem.updateMany({
        where: { id: lineId, countedMilli: line.countedMilli },
        data: { countedMilli: milli },
      }),
    );
    if (line.countedMilli === null && milli === line.milli && !always) continue;
    await act.log({
      kind: 'count-parcel',
      partId: facts.partId,
      jobId: facts.id,
      aboutId: aboutMaker(act, parcel.fromId),
      thing: { type: 'parcel', id: parcel.id },
      milli,
      before: { countedMilli: line.countedMilli },
      after: { claimId: line.claimId, postedMilli: line.milli, shortMilli: line.milli - milli },
    });
  }
}

/** An arrival has one note: what was said before stays above what is said now. */
function joined(before: string, now: string): string {
  return before && now ? `${before}\n${now}` : before || now;
}
