import { type ClaimFacts, firstPieceState, type JobFacts, quantitiesOf } from '../jobs/index.ts';
import type { PartRow } from '../parts/index.ts';
import {
  deliveryDuration,
  designDuration,
  fitUpDuration,
  INSPECTION,
  orderDuration,
  type Telling,
  workDuration,
} from './durations.ts';
import {
  findDuration,
  makeDuration,
  postDuration,
  promiseDuration,
  travelDuration,
} from './durations-makers.ts';
import { Step, type StepList } from './steps.ts';

/** Where the remaining steps of a job begin and end, as numbers of steps. */
export interface JobEnds {
  firsts: number[];
  lasts: number[];
}

/** What the steps of one job, or of the part no job answers for, are made from. */
export interface Making {
  telling: Telling;
  list: StepList;
  part: PartRow | null;
  /** null: no job yet */
  job: JobFacts | null;
  /** thousandths still without a maker, an order or a fitter */
  milli: number;
  /** must be over first: release of the drawing, drawing of a bought part */
  gates: readonly number[];
  /** the parts that go into it and are not all here */
  children: readonly number[];
}

/** find a maker -> make -> post -> inspect, for a quantity nobody has claimed. */
export function unclaimedSteps({ telling, list, part, job, milli, gates, children }: Making): JobEnds {
  const find = list.add(new Step('find', part, job, null, milli, findDuration(telling, job)));
  const make = list.add(new Step('make', part, job, null, milli, makeDuration(telling, job, part)));
  const post = list.add(new Step('post', part, job, null, milli, postDuration(telling, null)));
  const inspect = list.add(new Step('inspect', part, job, null, milli, INSPECTION));
  list.after(gates, find);
  list.after(find, make);
  list.after(children, make);
  list.after(make, post);
  list.after(post, inspect);
  return { firsts: [find], lasts: [inspect] };
}

/** What is left of one maker's share, added to the ends of its job; nothing when all of it is inspected. */
function claimSteps(
  { telling, list, part, job }: Making,
  claim: ClaimFacts,
  ends: JobEnds,
): { post: number; travel: number } {
  const toMake = claim.milli - claim.backMilli - claim.doneMilli;
  const toPost = claim.doneMilli - claim.travellingMilli - claim.arrivedMilli;
  const toInspect = claim.arrivedMilli - claim.acceptedMilli - claim.rejectedMilli;
  const withMaker = toMake + toPost;
  const left = withMaker + claim.travellingMilli + toInspect;
  if (left <= 0) return { post: -1, travel: -1 };
  let make = -1;
  let post = -1;
  let travel = -1;
  if (withMaker > 0) {
    make = list.add(new Step('make', part, job, claim, withMaker, promiseDuration(telling, claim)));
    post = list.add(new Step('post', part, job, claim, withMaker, postDuration(telling, claim.personId)));
    list.after(make, post);
    ends.firsts.push(make);
  }
  if (claim.travellingMilli > 0) {
    const duration = travelDuration(telling, claim);
    travel = list.add(new Step('travel', part, job, claim, claim.travellingMilli, duration));
    ends.firsts.push(travel);
  }
  const inspect = list.add(new Step('inspect', part, job, claim, left, INSPECTION));
  if (post !== -1) list.after(post, inspect);
  if (travel !== -1) list.after(travel, inspect);
  if (make === -1 && travel === -1) ends.firsts.push(inspect);
  ends.lasts.push(inspect);
  return { post, travel };
}

/**
 * A fabrication job: one branch for each maker's share, and one for what is open. While its first piece is in the post,
 * the shares of it are posted when that has come.
 */
export function fabricationSteps(making: Making & { job: JobFacts }): JobEnds {
  const ends: JobEnds = { firsts: [], lasts: [] };
  const shares = making.job.claims.map((claim) => claimSteps(making, claim, ends));
  if (firstPieceState(making.job, making.part?.unit ?? 'piece') === 'in the post') {
    const travels = shares.flatMap(({ travel }) => (travel === -1 ? [] : [travel]));
    for (const { post } of shares) if (post !== -1) making.list.after(travels, post);
  }
  const { open } = quantitiesOf(making.job);
  if (open <= 0) return ends;
  making.milli = open;
  const { firsts, lasts } = unclaimedSteps(making);
  ends.firsts.push(...firsts);
  ends.lasts.push(...lasts);
  return ends;
}

/** order -> delivery -> inspect. */
export function purchaseSteps({ telling, list, part, job, milli, gates }: Making): JobEnds {
  const delivery = list.add(
    new Step('delivery', part, job, null, milli, deliveryDuration(telling, job, part)),
  );
  const inspect = list.add(new Step('inspect', part, job, null, milli, INSPECTION));
  list.after(delivery, inspect);
  if (job?.orderedAt) return { firsts: [delivery], lasts: [inspect] };
  const order = list.add(new Step('order', part, job, null, milli, orderDuration(job)));
  list.after(gates, order);
  list.after(order, delivery);
  return { firsts: [order], lasts: [inspect] };
}

/** Joining the children into an assembly, by a job or without one yet. */
export function fitUpSteps({ telling, list, part, job, milli, gates, children }: Making): JobEnds {
  const duration = job ? workDuration(telling, job, part) : fitUpDuration(telling, part);
  const fitUp = list.add(new Step('fit-up', part, job, null, milli, duration));
  // What has begun waits no more for its parts to begin, but can't end without them.
  if (job?.startedAt) {
    for (const child of children) list.link(child, fitUp, 'FF', 0, false);
  } else {
    list.after(children, fitUp);
    list.after(gates, fitUp);
  }
  return { firsts: [fitUp], lasts: [fitUp] };
}

/** A job that is one step: design, trial, other. */
export function singleStep({ telling, list, part, job, children }: Making & { job: JobFacts }): JobEnds {
  const duration =
    job.kind === 'design' ? designDuration(telling, part, job) : workDuration(telling, job, part);
  const only = list.add(new Step('', part, job, null, job.milli, duration));
  if (!job.startedAt) list.after(children, only);
  return { firsts: [only], lasts: [only] };
}
