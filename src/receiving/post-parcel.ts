import { type JobInAct, mayPostBeforeApproval, readClaim, waitsForFirstPiece } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import { type Day, dayIn } from '../platform/day.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { momentOfDay } from './moment-of-day.ts';
import { mayPost, mayPostFor, maySendOn } from './parcel-rules.ts';
import { aboutMaker, zoneOf } from './store.ts';

export interface NewParcel {
  /** the maker whose work it is */
  fromId: number;
  /** what is in it: claims of that maker, each once */
  lines: readonly { claimId: number; milli: number }[];
  carrier: string;
  tracking: string;
  note: string;
  sentOn: Day;
}

/** Claims in one parcel: what a person can still count and the page can show. */
export const MOST_LINES = 40;

/**
 * A maker posts finished units of one or more of their claims in one parcel.
 *
 * @returns the parcel's id
 * @throws Refused     not theirs to post; no more than is finished; more than the first piece of a job that asks for one;
 *                     sent before it was claimed, or on a day to come
 * @throws WrongField  a claim that is another maker's
 * @throws NotFound    no such claim
 */
export async function postParcel(act: Act, input: NewParcel): Promise<number> {
  const { fromId, lines, sentOn } = input;
  orRefuse(mayPostFor(act.actor, fromId));
  if (lines.length === 0) refuse('empty-parcel', 'Say how much of what is in the parcel.');
  if (lines.length > MOST_LINES) {
    refuse('too-many', `At most ${MOST_LINES} lines in one parcel: write it down as two.`);
  }
  if (new Set(lines.map(({ claimId }) => claimId)).size !== lines.length) {
    refuse('claim-twice', 'A claim is named twice.');
  }
  const zone = await zoneOf(act.tx);
  const jobs = new Map<number, JobInAct>();
  let claimedAt = new Date(0);
  for (const { claimId, milli } of lines) {
    const { claim, ...job } = await readClaim(act.tx, claimId);
    if (claim.personId !== fromId) {
      throw new WrongField(`q-${claimId}`, 'This is another maker’s work: it goes in a parcel of its own.');
    }
    orRefuse(mayPost(job.facts, claim, milli, job.unit));
    if (job.unit === 'piece' && milli % 1000 !== 0) {
      throw new WrongField(`q-${claimId}`, 'Pieces are whole.');
    }
    const at = new Date(claim.claimedAt);
    if (at > claimedAt) claimedAt = at;
    jobs.set(claimId, job);
  }
  for (const { facts, unit } of jobs.values()) {
    // Two claims of one job in one parcel are more than one piece of it.
    const ofJob = lines.filter(({ claimId }) => {
      const claim = facts.claims.find(({ id }) => id === claimId);
      return claim && waitsForFirstPiece(facts, claim);
    });
    if (ofJob.length === 0) continue;
    const milli = ofJob.reduce((sum, line) => sum + line.milli, 0);
    orRefuse(mayPostBeforeApproval(facts, milli, unit));
  }
  orRefuse(maySendOn(sentOn, dayIn(zone, claimedAt), act.today));
  const sentAt =
    sentOn === act.today ? act.at : momentOfDay(sentOn, zone, { from: claimedAt, until: act.at });
  const parcel = await act.tx.parcel.create({
    data: {
      fromId,
      carrier: input.carrier,
      tracking: input.tracking,
      note: input.note,
      sentAt,
      items: { create: lines.map(({ claimId, milli }) => ({ claimId, milli })) },
    },
  });
  for (const { claimId, milli } of lines) {
    const facts = jobs.get(claimId)?.facts;
    await act.log({
      kind: 'post-parcel',
      partId: facts?.partId,
      jobId: facts?.id,
      aboutId: aboutMaker(act, fromId),
      thing: { type: 'parcel', id: parcel.id },
      milli,
      after: { claimId, sentOn },
    });
  }
  return parcel.id;
}
