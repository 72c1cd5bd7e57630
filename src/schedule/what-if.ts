import { type ClaimFacts, type JobFacts, quantitiesOf } from '../jobs/index.ts';
import { formatQuantity, graphOf } from '../parts/index.ts';
import { type Day, dayIn, daysBetween, dayWords, isDay } from '../platform/day.ts';
import type { BuildFacts, PromisedDays } from './build-facts.ts';
import { workingCalendar } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import type { Tweaks } from './derive.ts';
import { count, estimateOf } from './durations-estimate.ts';

/** One thing tried. Days are those promised from today on. */
export type Try =
  | { kind: 'slip-claim'; claimId: number; days: number }
  | { kind: 'slip-job'; jobId: number; days: number }
  | { kind: 'maker'; claimId: number; personId: number; soonest: number; likely: number; latest: number }
  | {
      kind: 'share';
      claimId: number;
      milli: number;
      personId: number;
      soonest: number;
      likely: number;
      latest: number;
    }
  | { kind: 'drop'; partId: number }
  | { kind: 'gathering'; gatheringId: number; fromOn: Day; untilOn: Day }
  | { kind: 'without'; partId: number; parentId: number };

/** So many changes are tried together at most. */
export const MOST_TRIES = 12;
/** Days a slip may be. */
export const MOST_SLIP_DAYS = 730;

/** A try as it stands in an address. */
export function tryToken(one: Try): string {
  switch (one.kind) {
    case 'slip-claim':
      return `slip-claim.${one.claimId}.${one.days}`;
    case 'slip-job':
      return `slip-job.${one.jobId}.${one.days}`;
    case 'maker':
      return `maker.${one.claimId}.${one.personId}.${one.soonest}.${one.likely}.${one.latest}`;
    case 'share':
      return `share.${one.claimId}.${one.milli}.${one.personId}.${one.soonest}.${one.likely}.${one.latest}`;
    case 'drop':
      return `drop.${one.partId}`;
    case 'gathering':
      return `gathering.${one.gatheringId}.${one.fromOn}.${one.untilOn}`;
    case 'without':
      return `without.${one.partId}.${one.parentId}`;
  }
}

/** Reads what `tryToken` wrote. @returns null for anything else */
export function tryOfToken(token: string): Try | null {
  const [kind, ...fields] = token.split('.');
  if (kind === 'gathering') {
    const [id, fromOn = '', untilOn = ''] = fields;
    const gatheringId = Number(id);
    return Number.isInteger(gatheringId) && isDay(fromOn) && isDay(untilOn) && fields.length === 3
      ? { kind, gatheringId, fromOn, untilOn }
      : null;
  }
  const numbers = fields.map((field) => (/^-?\d{1,9}$/.test(field) ? Number(field) : Number.NaN));
  if (numbers.some(Number.isNaN)) return null;
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0] = numbers;
  const is = (name: string, length: number) => kind === name && numbers.length === length;
  if (is('slip-claim', 2)) return { kind: 'slip-claim', claimId: a, days: b };
  if (is('slip-job', 2)) return { kind: 'slip-job', jobId: a, days: b };
  if (is('maker', 5)) return { kind: 'maker', claimId: a, personId: b, soonest: c, likely: d, latest: e };
  if (is('share', 6)) {
    return { kind: 'share', claimId: a, milli: b, personId: c, soonest: d, likely: e, latest: f };
  }
  if (is('drop', 1)) return { kind: 'drop', partId: a };
  if (is('without', 2)) return { kind: 'without', partId: a, parentId: b };
  return null;
}

interface Claimed {
  job: JobFacts;
  claim: ClaimFacts;
}

export function claimOf({ jobs }: BuildFacts, claimId: number): Claimed | null {
  for (const job of jobs) {
    const claim = job.claims.find(({ id }) => id === claimId);
    if (claim) return { job, claim };
  }
  return null;
}

/** What of a claim is not finished, in thousandths. */
export function unfinishedMilli({ milli, backMilli, doneMilli }: ClaimFacts): number {
  return milli - backMilli - doneMilli;
}

function daysSince({ timeZone, today }: BuildFacts, instant: string): number {
  return Math.max(0, daysBetween(dayIn(timeZone, new Date(instant)), today));
}

/** A promise moved by so many days, as days from today; what is overdue counts as promised for today. */
export function slippedPromise(facts: BuildFacts, claim: ClaimFacts, by: number): PromisedDays {
  const since = daysSince(facts, claim.claimedAt);
  const moved = (days: number) => Math.max(0, Math.max(0, days - since) + by);
  return {
    soonestDays: moved(claim.soonestDays),
    likelyDays: moved(claim.likelyDays),
    latestDays: moved(claim.latestDays),
  };
}

/** The working days a job is to say it takes, so many more than it says, its part says or is usual. */
export function slippedDays(facts: BuildFacts, jobId: number, by: number): number {
  const job = facts.jobs.find(({ id }) => id === jobId)!;
  const part = job.partId === null ? null : (facts.parts.get(job.partId) ?? null);
  const { perWeek } = workingCalendar(facts.today, facts.weekdays);
  const says =
    job.kind === 'fabricate'
      ? (job.days ?? part?.makeDays ?? DEFAULTS.makeDays)
      : estimateOf(facts, perWeek, part, job).days;
  return Math.max(1, says + by);
}

/** @returns a sentence where the try makes no sense in the build as it is; null where it does */
export function whyNot(facts: BuildFacts, one: Try): string | null {
  if (one.kind === 'slip-job') {
    const job = facts.jobs.find(({ id }) => id === one.jobId);
    if (!job || job.droppedAt || job.finishedAt) return `Job ${one.jobId} is not open.`;
    if (job.kind === 'purchase') return `The delivery day of job ${job.id} is named on its own page.`;
    if (job.kind === 'fabricate' && quantitiesOf(job).open <= 0) {
      return `All of job ${job.id} is claimed: let the promise slip.`;
    }
    return slipFits(one.days);
  }
  if (one.kind === 'drop') {
    const part = facts.parts.get(one.partId);
    if (!part) return 'There is no such part.';
    return facts.uses.some(({ childId }) => childId === one.partId)
      ? null
      : `${part.name} goes into nothing: there is nothing to take it out of.`;
  }
  if (one.kind === 'gathering') {
    const gathering = facts.gatherings.get(one.gatheringId);
    if (!gathering) return 'There is no such gathering.';
    if (one.fromOn < facts.today) return 'A gathering can’t be moved into the past.';
    if (daysBetween(facts.today, one.untilOn) > MOST_SLIP_DAYS)
      return `At most ${MOST_SLIP_DAYS} days ahead.`;
    if (one.untilOn < one.fromOn) return 'The last day lies before the first.';
    return daysBetween(one.fromOn, one.untilOn) > 60 ? 'That is more than two months long.' : null;
  }
  if (one.kind === 'without') {
    const isIn = facts.uses.some(
      ({ childId, parentId }) => childId === one.partId && parentId === one.parentId,
    );
    return isIn ? null : 'This part does not go into that assembly.';
  }
  const found = claimOf(facts, one.claimId);
  if (!found || found.job.droppedAt) return 'There is no such claim.';
  const left = unfinishedMilli(found.claim);
  if (left <= 0) return 'All of this claim is finished: nothing of it can be changed any more.';
  if (one.kind === 'slip-claim') return slipFits(one.days);
  const person = facts.people.get(one.personId);
  if (!person?.active) return 'There is no such person here.';
  if (one.soonest < 0 || one.soonest > one.likely || one.likely > one.latest) {
    return 'Soonest, likely and latest days must not fall.';
  }
  if (one.latest > MOST_SLIP_DAYS) return `At most ${MOST_SLIP_DAYS} days.`;
  if (one.kind === 'maker') {
    return one.personId === found.claim.personId ? `${person.name} has it in hand already.` : null;
  }
  if (one.milli <= 0) return 'Say how much the second maker takes.';
  const part = found.job.partId === null ? null : facts.parts.get(found.job.partId);
  if (part?.unit === 'piece' && one.milli % 1000 !== 0) return 'Whole pieces only.';
  return one.milli < left
    ? null
    : `Only ${formatQuantity(left, part?.unit ?? 'piece')} of it is unfinished: less than that can be shared.`;
}

function slipFits(days: number): string | null {
  if (days === 0) return 'A slip of no days changes nothing.';
  return Math.abs(days) <= MOST_SLIP_DAYS ? null : `At most ${MOST_SLIP_DAYS} days, later or sooner.`;
}

/** A try in words. */
export function tryWords(facts: BuildFacts, one: Try): string {
  const name = (id: number) => facts.people.get(id)?.name ?? 'somebody';
  const promise = (tried: { soonest: number; likely: number; latest: number }) =>
    `in ${tried.soonest} to ${tried.latest} days, likely ${tried.likely}`;
  const slip = (days: number) => `${count(Math.abs(days), 'day')} ${days > 0 ? 'later' : 'sooner'}`;
  switch (one.kind) {
    case 'slip-job': {
      const job = facts.jobs.find(({ id }) => id === one.jobId);
      return `Job ${one.jobId}, ${job?.title ?? ''}: ${slip(one.days)}`;
    }
    case 'drop': {
      const isHolder = facts.uses.some(
        ({ parentId, childId }) => parentId === one.partId && facts.parts.get(childId)?.kind === 'assembly',
      );
      const stays = isHolder ? '; assemblies in it stay, each wanted for itself until it is dropped too' : '';
      return `Without ${facts.parts.get(one.partId)?.name ?? 'the part'}, and without the jobs for it${stays}`;
    }
    case 'gathering': {
      const title = facts.gatherings.get(one.gatheringId)?.title ?? 'The gathering';
      return `${title} from ${dayWords(one.fromOn, facts.today)} to ${dayWords(one.untilOn, facts.today)}`;
    }
    case 'without':
      return `${facts.parts.get(one.parentId)?.name ?? ''}: fitting begins without ${facts.parts.get(one.partId)?.name ?? ''}, which joins last`;
    default: {
      const found = claimOf(facts, one.claimId);
      const what = found ? `job ${found.job.id}, ${found.job.title}` : 'a claim';
      if (one.kind === 'slip-claim') return `${name(found?.claim.personId ?? 0)}, ${what}: ${slip(one.days)}`;
      const part = found?.job.partId ? facts.parts.get(found.job.partId) : undefined;
      return one.kind === 'maker'
        ? `${name(one.personId)} in place of ${name(found?.claim.personId ?? 0)}, ${what}: ${promise(one)}`
        : `${name(one.personId)} makes ${formatQuantity(one.milli, part?.unit ?? 'piece')} of ${what}: ${promise(one)}`;
    }
  }
}

/** The build with the tries in it, and what its schedule must be told beside its facts. */
export function tried(facts: BuildFacts, tries: readonly Try[]): { facts: BuildFacts; tweaks: Tweaks } {
  const joinsLast: { partId: number; parentId: number }[] = [];
  let changed = facts;
  // Numbers that no row has, for claims that are only tried.
  let claimId = -1;
  for (const one of tries) {
    switch (one.kind) {
      case 'slip-claim': {
        const { claim } = claimOf(changed, one.claimId)!;
        const since = daysSince(changed, claim.claimedAt);
        const renewed = slippedPromise(changed, claim, one.days);
        const firstPromises = new Map(changed.firstPromises);
        if (!firstPromises.has(claim.id)) firstPromises.set(claim.id, claim);
        changed = withClaims({ ...changed, firstPromises }, one.claimId, (own) => [
          {
            ...own,
            soonestDays: since + renewed.soonestDays,
            likelyDays: since + renewed.likelyDays,
            latestDays: since + renewed.latestDays,
          },
        ]);
        break;
      }
      case 'slip-job': {
        const days = slippedDays(changed, one.jobId, one.days);
        changed = {
          ...changed,
          jobs: changed.jobs.map((job) => (job.id === one.jobId ? { ...job, days } : job)),
        };
        break;
      }
      case 'without':
        joinsLast.push({ partId: one.partId, parentId: one.parentId });
        break;
      case 'gathering': {
        const gathering = changed.gatherings.get(one.gatheringId)!;
        const moved = { ...gathering, fromOn: one.fromOn, untilOn: one.untilOn };
        const all = [...changed.gatherings].map(
          ([id, other]) => [id, id === one.gatheringId ? moved : other] as const,
        );
        changed = {
          ...changed,
          gatherings: new Map(all.sort(([, a], [, b]) => (a.fromOn < b.fromOn ? -1 : 1))),
        };
        break;
      }
      case 'drop':
        changed = withoutPart(changed, one.partId);
        break;
      default: {
        const { personId, soonest, likely, latest } = one;
        const own = claimId--;
        changed = withClaims(changed, one.claimId, (claim) => {
          const milli = one.kind === 'maker' ? unfinishedMilli(claim) : one.milli;
          const second: ClaimFacts = {
            ...claim,
            id: own,
            personId,
            milli,
            backMilli: 0,
            doneMilli: 0,
            travellingMilli: 0,
            arrivedMilli: 0,
            shortMilli: 0,
            acceptedMilli: 0,
            rejectedMilli: 0,
            soonestDays: soonest,
            likelyDays: likely,
            latestDays: latest,
            claimedAt: `${facts.today}T12:00:00.000Z`,
            startedAt: null,
            lastWordAt: `${facts.today}T12:00:00.000Z`,
            lastSentAt: null,
            lastArrivedAt: null,
          };
          return [{ ...claim, backMilli: claim.backMilli + milli }, second];
        });
      }
    }
  }
  return { facts: changed, tweaks: { joinsLast } };
}

function withClaims(
  facts: BuildFacts,
  claimId: number,
  change: (claim: ClaimFacts) => ClaimFacts[],
): BuildFacts {
  return {
    ...facts,
    jobs: facts.jobs.map((job) =>
      job.claims.some(({ id }) => id === claimId)
        ? { ...job, claims: job.claims.flatMap((claim) => (claim.id === claimId ? change(claim) : [claim])) }
        : job,
    ),
  };
}

/** Without the part, its lines in the structure, and what is open for it. */
function withoutPart(facts: BuildFacts, partId: number): BuildFacts {
  const uses = facts.uses.filter(({ childId, parentId }) => childId !== partId && parentId !== partId);
  const rows = [...facts.parts.values()].filter(({ id }) => id !== partId);
  const { parts, structure, tops, required } = graphOf(rows, uses);
  return {
    ...facts,
    parts,
    uses,
    structure,
    tops,
    required: required(),
    jobs: facts.jobs.map((job) =>
      job.partId === partId && !job.finishedAt && !job.droppedAt
        ? { ...job, droppedAt: `${facts.today}T12:00:00.000Z` }
        : job,
    ),
  };
}
