import { type ClaimFacts, type JobFacts, quantitiesOf } from '../jobs/index.ts';
import { formatQuantity, type PartRow } from '../parts/index.ts';
import { DEFAULTS } from './defaults.ts';
import {
  byDefault,
  count,
  deliveryDuration,
  designDuration,
  findDuration,
  fitUpDuration,
  makeDuration,
  postDuration,
  promiseDuration,
  type Telling,
  travelDuration,
  workDuration,
} from './durations.ts';
import type { Duration, Step, StepKind, StepList } from './steps.ts';

/** Where the remaining steps of a job begin and end, as numbers of steps. */
export interface JobEnds {
  firsts: number[];
  lasts: number[];
}

/** What the steps of one job, or of the part no job answers for, are made from. */
export interface Making extends Telling {
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

/** A part and how much of it, as a step's label has it. */
export function named({ name, unit }: Pick<PartRow, 'name' | 'unit'>, milli: number): string {
  return milli === 1000 && unit === 'piece' ? name : `${name}, ${formatQuantity(milli, unit)}`;
}

function about({ part, job }: Making, milli: number): string {
  return part ? named(part, milli) : (job?.title ?? '');
}

function keyOf({ part, job }: Making): string {
  return job ? `job-${job.id}` : `part-${part?.id}`;
}

/** Work that was put on hold has no other day than today to be taken up again. */
export function held(job: JobFacts | null, duration: Duration): Duration {
  return job?.heldAt
    ? { ...duration, because: `on hold, counted as if taken up today; ${duration.because}` }
    : duration;
}

function step(
  making: Making,
  kind: StepKind,
  key: string,
  label: string,
  duration: Duration,
  claim?: ClaimFacts,
) {
  const { list, part, job } = making;
  const of: Pick<Step, 'key' | 'kind' | 'label' | 'jobId' | 'partId' | 'claimId'> = {
    key,
    kind,
    label,
    jobId: job?.id ?? null,
    partId: part?.id ?? null,
    claimId: claim?.id ?? null,
  };
  return list.add(of, held(job, duration));
}

function inspection(making: Making, key: string, label: string, claim?: ClaimFacts): number {
  const duration = byDefault(DEFAULTS.inspectDays, true, 'inspection usually takes');
  return step(making, 'inspect', key, `Inspect ${label}`, duration, claim);
}

/** find a maker -> make -> post -> inspect, for a quantity nobody has claimed. */
export function unclaimedSteps(making: Making): JobEnds {
  const { list, part, job, milli, gates, children } = making;
  const key = keyOf(making);
  const what = about(making, milli);
  const find = step(making, 'find', `${key}-find`, `Find a maker for ${what}`, findDuration(making, job));
  const make = step(making, 'make', `${key}-make`, `Make ${what}`, makeDuration(job, part));
  const post = step(making, 'post', `${key}-post`, `Post ${what}`, postDuration(making, null));
  const inspect = inspection(making, `${key}-inspect`, what);
  list.after(gates, find);
  list.after(find, make);
  list.after(children, make);
  list.after(make, post);
  list.after(post, inspect);
  return { firsts: [find], lasts: [inspect] };
}

/** What is left of one maker's share; null when all of it is inspected. */
function claimSteps(making: Making, claim: ClaimFacts): JobEnds | null {
  const { list } = making;
  const toMake = claim.milli - claim.backMilli - claim.doneMilli;
  const toPost = claim.doneMilli - claim.travellingMilli - claim.arrivedMilli;
  const toInspect = claim.arrivedMilli - claim.acceptedMilli - claim.rejectedMilli;
  const withMaker = toMake + toPost;
  const left = withMaker + claim.travellingMilli + toInspect;
  if (left <= 0) return null;
  const key = `claim-${claim.id}`;
  const firsts: number[] = [];
  const arrivals: number[] = [];
  if (withMaker > 0) {
    const what = about(making, withMaker);
    const verb = toMake > 0 ? 'Make' : 'Bring to the post:';
    const make = step(
      making,
      'make',
      `${key}-make`,
      `${verb} ${what}`,
      promiseDuration(making, claim),
      claim,
    );
    const post = step(
      making,
      'post',
      `${key}-post`,
      `Post ${what}`,
      postDuration(making, claim.personId),
      claim,
    );
    list.after(make, post);
    firsts.push(make);
    arrivals.push(post);
  }
  if (claim.travellingMilli > 0) {
    const what = about(making, claim.travellingMilli);
    const travel = step(
      making,
      'post',
      `${key}-travel`,
      `In the post: ${what}`,
      travelDuration(making, claim),
      claim,
    );
    firsts.push(travel);
    arrivals.push(travel);
  }
  const inspect = inspection(making, `${key}-inspect`, about(making, left), claim);
  list.after(arrivals, inspect);
  if (firsts.length === 0) firsts.push(inspect);
  return { firsts, lasts: [inspect] };
}

/** A fabrication job: one branch for each maker's share, and one for what is open. */
export function fabricationSteps(making: Making & { job: JobFacts }): JobEnds {
  const ends: JobEnds = { firsts: [], lasts: [] };
  const take = (more: JobEnds | null) => {
    if (!more) return;
    ends.firsts.push(...more.firsts);
    ends.lasts.push(...more.lasts);
  };
  for (const claim of making.job.claims) take(claimSteps(making, claim));
  const { open } = quantitiesOf(making.job);
  if (open > 0) take(unclaimedSteps({ ...making, milli: open }));
  return ends;
}

/** order -> delivery -> inspect. */
export function purchaseSteps(making: Making): JobEnds {
  const { list, part, job, milli, gates } = making;
  const key = keyOf(making);
  const what = about(making, milli);
  const delivery = step(
    making,
    'delivery',
    `${key}-delivery`,
    `Delivery of ${what}`,
    deliveryDuration(making, job, part),
  );
  const inspect = inspection(making, `${key}-inspect`, what);
  list.after(delivery, inspect);
  if (job?.orderedAt) return { firsts: [delivery], lasts: [inspect] };
  const duration = byDefault(
    DEFAULTS.orderDays,
    true,
    job ? 'ordering usually takes' : 'no job yet; ordering usually takes',
  );
  const order = step(making, 'order', `${key}-order`, `Order ${what}`, duration);
  list.after(gates, order);
  list.after(order, delivery);
  return { firsts: [order], lasts: [inspect] };
}

/** Joining the children into an assembly, by a job or without one yet. */
export function fitUpSteps(making: Making & { part: PartRow }): JobEnds {
  const { list, part, job, milli, gates, children } = making;
  const duration = job ? workDuration(making, job, part) : fitUpDuration(part);
  const fitUp = step(making, 'fit-up', `${keyOf(making)}-fit-up`, `Fit up ${about(making, milli)}`, duration);
  // What has begun waits no more for its parts to begin, but can't end without them.
  if (job?.startedAt) {
    for (const child of children)
      list.links.push({ from: child, to: fitUp, type: 'FF', lag: 0, byHand: false });
  } else {
    list.after(children, fitUp);
    list.after(gates, fitUp);
  }
  return { firsts: [fitUp], lasts: [fitUp] };
}

/** A job that is one step: design, trial, other. */
export function singleStep(making: Making & { job: JobFacts }): JobEnds {
  const { list, part, job, children } = making;
  const isDesign = job.kind === 'design';
  const duration = isDesign ? designDuration(making, part, job) : workDuration(making, job, part);
  const kind: StepKind = isDesign ? 'design' : job.kind === 'trial' ? 'trial' : 'other';
  const only = step(making, kind, `job-${job.id}`, job.title, duration);
  if (!job.startedAt) list.after(children, only);
  return { firsts: [only], lasts: [only] };
}

/** Sentence for a mark where several steps end. */
export function whenAllEnd(lasts: readonly number[]): string {
  return `over when ${count(lasts.length, 'step')} before it ${lasts.length === 1 ? 'is' : 'are'}`;
}
