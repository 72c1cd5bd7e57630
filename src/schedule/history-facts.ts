import type { ClaimFacts, JobFacts } from '../jobs/index.ts';
import { dayNumber } from '../platform/day.ts';
import type { BuildFacts, PromisedDays } from './build-facts.ts';
import type { WorkingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import { estimateOf, isLength } from './durations-estimate.ts';
import { Records } from './history-records.ts';

/** A promise that was kept, for what a maker's claims have in common. Days as numbers since 1 January 1970. */
export interface KeptClaim {
  personId: number;
  claimedOn: number;
  postedOn: number;
  ratio: number;
}

/** Soonest, likely and latest days in order. */
export type ThreeDays = readonly [number, number, number];

/** What was seen so far of all that takes time, by kind. Those still open are there as cut off. */
export interface Seen {
  /** by maker: days from claim to posting over the likely days promised first */
  promises: Records<number>;
  kept: KeptClaim[];
  /** by process, 0 where none is named: days from claim to posting */
  makings: Records<number>;
  /** working days from claim to posting over the days the job or the part says */
  given: Records<'given'>;
  /** days from offer to first claim */
  offers: Records<'offer'>;
  /** by the sender's country: days in the post */
  posts: Records<string>;
  /** days from order to delivery over those of the day named, or of the part's lead time */
  orders: Records<'named' | 'lead'>;
  /** days from order to delivery where nothing was said */
  plainOrders: Records<'none'>;
  /** by kind of job, and whether anybody had estimated it: working days over those estimated */
  works: Records<string>;
}

/** The key of work among `Seen.works`. */
export function workKey(kind: string, given: boolean): string {
  return given ? kind : `${kind}, not estimated`;
}

/**
 * The day of a moment as a number of days since 1 January 1970, by its own date: a zone shifts both ends of a length
 * alike, and what is a day off on the edge of one matters to no law. NaN for what is no moment.
 */
export function dayNumberOf(instant: string | null): number {
  if (instant === null) return Number.NaN;
  const day = instant.slice(0, 10);
  let number = numbers.get(day);
  if (number === undefined) {
    number = dayNumber(day);
    if (numbers.size > MOST_DAYS) numbers.clear();
    numbers.set(day, number);
  }
  return number;
}

/** Thousands of moments fall on a few hundred days. */
const numbers = new Map<string, number>();
const MOST_DAYS = 10_000;

/**
 * Days of a promise in order. Those typed today are; in old data the soonest may lie after the likely. A negative one
 * is none.
 */
export function ordered({ soonestDays, likelyDays, latestDays }: PromisedDays): ThreeDays {
  if (soonestDays >= 0 && soonestDays <= likelyDays && likelyDays <= latestDays) {
    return [soonestDays, likelyDays, latestDays];
  }
  const days = [soonestDays, likelyDays, latestDays]
    .map((one) => (Number.isFinite(one) ? Math.max(0, one) : DEFAULTS.makeDays))
    .sort((a, b) => a - b);
  return [days[0]!, days[1]!, days[2]!];
}

/** Whether the last of what was claimed is on its way or here. */
export function isPosted({
  milli,
  backMilli,
  travellingMilli,
  arrivedMilli,
  lastSentAt,
}: ClaimFacts): boolean {
  return lastSentAt !== null && travellingMilli + arrivedMilli >= milli - backMilli;
}

/** Goes once through jobs, claims and parcels. */
export function seenIn(facts: BuildFacts, calendar: WorkingCalendar): Seen {
  const seen: Seen = {
    promises: new Records(),
    kept: [],
    makings: new Records(),
    given: new Records(),
    offers: new Records(),
    posts: new Records(),
    orders: new Records(),
    plainOrders: new Records(),
    works: new Records(),
  };
  const today = dayNumber(facts.today);
  const processes = new Map<number, number>();
  for (const list of facts.revisions.values()) {
    for (const { id, processId } of list) if (processId !== null) processes.set(id, processId);
  }
  for (const job of facts.jobs) {
    // What is on hold or dropped is seen no more from that day on: the time since is not its maker's.
    let until = today;
    if (job.heldAt) until = Math.min(until, dayNumberOf(job.heldAt));
    if (job.droppedAt) until = Math.min(until, dayNumberOf(job.droppedAt));
    if (job.kind === 'fabricate') seeFabrication(seen, facts, calendar, job, until, today, processes);
    else if (job.kind === 'purchase') seeOrder(seen, facts, job, until);
    else seeWork(seen, facts, calendar, job, until, today);
  }
  for (const { personId, sentAt, arrivedAt } of facts.posts) {
    const country = facts.people.get(personId)?.country ?? '';
    const end = arrivedAt ? dayNumberOf(arrivedAt) : today;
    seen.posts.add(country, end - dayNumberOf(sentAt), arrivedAt !== null);
  }
  return seen;
}

function seeFabrication(
  seen: Seen,
  facts: BuildFacts,
  calendar: WorkingCalendar,
  job: JobFacts,
  until: number,
  today: number,
  processes: ReadonlyMap<number, number>,
): void {
  let firstClaim = Number.POSITIVE_INFINITY;
  const part = job.partId === null ? undefined : facts.parts.get(job.partId);
  const given = [job.days, part?.makeDays].find(isLength);
  for (const claim of job.claims) {
    const claimedOn = dayNumberOf(claim.claimedAt);
    firstClaim = Math.min(firstClaim, claimedOn);
    // Handed back whole, it tells nothing of how long the work takes.
    if (claim.milli - claim.backMilli <= 0) continue;
    const finished = isPosted(claim);
    const end = finished ? dayNumberOf(claim.lastSentAt) : until;
    const [, likely] = ordered(facts.firstPromises.get(claim.id) ?? claim);
    const ratio = (end - claimedOn) / Math.max(1, likely);
    seen.promises.add(claim.personId, ratio, finished);
    if (finished && ratio >= 0) {
      seen.kept.push({ personId: claim.personId, claimedOn, postedOn: end, ratio });
    }
    const revisionId = claim.revisionId ?? job.revisionId;
    seen.makings.add(
      (revisionId === null ? undefined : processes.get(revisionId)) ?? 0,
      end - claimedOn,
      finished,
    );
    if (given !== undefined) {
      const worked = calendar.workingBefore(end - today) - calendar.workingBefore(claimedOn - today);
      seen.given.add('given', worked / given, finished);
    }
  }
  if (!job.offeredAt) return;
  const isClaimed = Number.isFinite(firstClaim);
  seen.offers.add('offer', (isClaimed ? firstClaim : until) - dayNumberOf(job.offeredAt), isClaimed);
}

function seeOrder(seen: Seen, facts: BuildFacts, job: JobFacts, until: number): void {
  if (!job.orderedAt) return;
  const orderedOn = dayNumberOf(job.orderedAt);
  const finished = job.finishedAt !== null;
  const took = (finished ? dayNumberOf(job.finishedAt) : until) - orderedOn;
  const lead = job.partId === null ? null : facts.parts.get(job.partId)?.leadDays;
  const named = job.promisedOn === null ? null : dayNumber(job.promisedOn) - orderedOn;
  if (isLength(named)) seen.orders.add('named', took / named, finished);
  else if (isLength(lead)) seen.orders.add('lead', took / lead, finished);
  else seen.plainOrders.add('none', took, finished);
}

function seeWork(
  seen: Seen,
  facts: BuildFacts,
  calendar: WorkingCalendar,
  job: JobFacts,
  until: number,
  today: number,
): void {
  if (!job.startedAt) return;
  const finished = job.finishedAt !== null;
  const part = job.partId === null ? null : (facts.parts.get(job.partId) ?? null);
  const { days, given } = estimateOf(facts, calendar.perWeek, part, job);
  const begun = dayNumberOf(job.startedAt) - today;
  const end = finished ? dayNumberOf(job.finishedAt) - today : until - today;
  // The day on which it was finished was worked; that on which it is looked at is not over.
  const worked = calendar.workingBefore(end + (finished ? 1 : 0)) - calendar.workingBefore(begun);
  if (end < begun) return;
  seen.works.add(workKey(job.kind, given), Math.max(finished ? 1 : 0, worked) / days, finished);
}
