import { makeTicket } from '../accounts/index.ts';
import { claimJob, quantitiesOf, readJob } from '../jobs/index.ts';
import { formatQuantity } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';

/** So many may wait on one job, and on all: a flood fills no more than a page. */
export const MOST_WAITING_ON_A_JOB = 20;
export const MOST_WAITING = 200;

export interface Ask {
  jobId: number;
  name: string;
  reach: string;
  country: string;
  tools: string;
  milli: number;
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
  words: string;
}

/**
 * A stranger offers to make some of a job. It waits for the lead, and claims nothing yet.
 *
 * @throws Refused     the job is not held out to strangers, or too many wait already
 * @throws WrongField  more than is open
 */
export async function offerToMake(act: Act, ask: Ask): Promise<number> {
  const { facts, unit } = await readJob(act.tx, ask.jobId);
  if (facts.kind !== 'fabricate' || !facts.offeredAt || facts.droppedAt || facts.heldAt || !facts.strangers) {
    refuse('not-offered', 'This job is not offered any more. Look at the other offers.');
  }
  const { open } = quantitiesOf(facts);
  if (open <= 0) refuse('nothing-open', 'All of it has been taken meanwhile. Look at the other offers.');
  if (ask.milli > open) {
    throw new WrongField(
      'quantity',
      `Only ${formatQuantity(open, unit)} of it ${open === 1000 ? 'is' : 'are'} open.`,
    );
  }
  const waiting = { settledAt: null };
  if (
    (await act.tx.strangerOffer.count({ where: { ...waiting, jobId: ask.jobId } })) >=
      MOST_WAITING_ON_A_JOB ||
    (await act.tx.strangerOffer.count({ where: waiting })) >= MOST_WAITING
  ) {
    refuse(
      'too-many-waiting',
      'Very many people have offered already and wait for the lead. Come back in a few days.',
    );
  }
  const { id } = await act.tx.strangerOffer.create({ data: { ...ask, at: act.at } });
  await act.log({
    kind: 'offer-to-make',
    partId: facts.partId,
    jobId: ask.jobId,
    thing: { type: 'stranger-offer', id },
    milli: ask.milli,
  });
  return id;
}

async function readWaiting(act: Act, askId: number) {
  const ask = found(
    await act.tx.strangerOffer.findUnique({ where: { id: askId } }),
    'There is no such offer.',
  );
  if (ask.settledAt) refuse('settled', `This offer has been ${ask.settledAs} already.`);
  return ask;
}

/**
 * The lead takes a stranger's offer: the account, the claim with its promise, and a sign-in link to hand over, in
 * one act.
 *
 * @returns the ticket of the sign-in link
 */
export async function takeStranger(
  act: Act,
  { askId, milli, linkKey }: { askId: number; milli: number; linkKey: string },
): Promise<number> {
  const ask = await readWaiting(act, askId);
  const person = await act.tx.person.create({
    data: {
      role: 'maker',
      name: ask.name,
      reach: ask.reach,
      country: ask.country,
      about: ask.tools,
      createdAt: act.at,
    },
  });
  const { soonestDays, likelyDays, latestDays } = ask;
  const claimId = await claimJob(act, {
    jobId: ask.jobId,
    personId: person.id,
    milli,
    soonestDays,
    likelyDays,
    latestDays,
    note: ask.words,
  });
  await act.tx.strangerOffer.update({
    where: { id: askId },
    data: { settledAt: act.at, settledAs: 'taken', settledById: act.actor.personId, claimId },
  });
  await act.log({
    kind: 'take-stranger',
    jobId: ask.jobId,
    aboutId: person.id,
    thing: { type: 'stranger-offer', id: askId },
    milli,
  });
  return makeTicket(act, linkKey, { kind: 'sign-in', personId: person.id });
}

/** The lead declines; what was personal in the offer is taken away with it. */
export async function declineStranger(act: Act, askId: number): Promise<void> {
  const ask = await readWaiting(act, askId);
  await act.tx.strangerOffer.update({
    where: { id: askId },
    data: {
      name: 'declined',
      reach: '',
      tools: '',
      words: '',
      settledAt: act.at,
      settledAs: 'declined',
      settledById: act.actor.personId,
    },
  });
  await act.log({ kind: 'decline-stranger', jobId: ask.jobId, thing: { type: 'stranger-offer', id: askId } });
}
