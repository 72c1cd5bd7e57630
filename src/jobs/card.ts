import type { Unit } from '../parts/index.ts';
import type { Role } from '../platform/acts.ts';
import { addDays, type Day, dayWords } from '../platform/day.ts';
import { netOf, unfinishedOf, withMakerOf } from './claim-rules.ts';
import {
  type ClaimFacts,
  isOver,
  type JobFacts,
  type JobQuantities,
  quantitiesOf,
  type Stage,
  stageOf,
} from './facts.ts';
import { type FirstPieceState, firstPieceState, postableOf } from './first-piece.ts';
import { say } from './say.ts';
import type { JobTime } from './times.ts';

/** Who looks at a card. */
export interface Viewer {
  personId: number;
  role: Role;
}

/** What a card needs beside the facts; read once for all cards. */
export interface CardNames {
  /** of the job's part */
  part: { number: string; unit: Unit; processId: number | null } | null;
  revision: { id: number; letter: string; state: string; processId: number | null } | null;
  processName: string | null;
  /** the name of a person who has a claim or is named on the job */
  nameOf(personId: number): string;
  /** queries without an answer: the first one's id and how many */
  queries: { first: number; count: number } | null;
  /** claims whose maker has not settled what becomes of a new revision */
  noticed(claimId: number): boolean;
  /** what the release of the job's draft still lacks, in a few words; null when nothing */
  missing: string | null;
}

/** The moment a card is drawn for. */
export interface CardMoment {
  today: Day;
  silentAfterDays: number;
  /** calendar days from a stored moment to today, in the build's time zone */
  daysSince(moment: string): number;
}

/** What somebody is asked to do. `whom` is 'you', or the one waited for: 'the lead', a maker's name. */
export interface Ask {
  whom: string;
  text: string;
  /** the page where it is done */
  href: string;
  /** the address of the act, where one press does it */
  post: string | null;
  label: string;
}

export type UnitKind = 'open' | 'claimed' | 'made' | 'posted' | 'here' | 'accepted' | 'lost';

/** A job as the board shows it. */
export interface JobCard {
  number: number;
  title: string;
  href: string;
  kind: JobFacts['kind'];
  partNumber: string | null;
  revision: string | null;
  process: string | null;
  quantityText: string;
  stage: Stage;
  /** pieces of each kind for the unit bar; where the unit is no piece, thousandths of it */
  unitCounts: { kind: UnitKind; n: number }[];
  /** the unit bar in words */
  unitWords: string;
  who: { personId: number; name: string; quantityText: string }[];
  needByOn: Day | null;
  likelyOn: Day | null;
  floatDays: number | null;
  critical: boolean;
  /** where the first piece is, of a job that asks for one and is not over */
  firstPiece: FirstPieceState | null;
  ask: Ask | null;
}

const UNIT_WORDS: Record<UnitKind, string> = {
  open: 'open',
  claimed: 'claimed',
  made: 'made',
  posted: 'in the post',
  here: 'here, to inspect',
  accepted: 'accepted',
  lost: 'rejected',
};

/** The unit bar's strokes of a fabrication job, the furthest first. */
export function unitCountsOf(at: JobQuantities, unit: Unit): { kind: UnitKind; n: number }[] {
  const step = unit === 'piece' ? 1000 : 1;
  const kinds: [UnitKind, number][] = [
    ['accepted', at.accepted],
    ['lost', at.rejected],
    ['here', at.toInspect],
    ['posted', at.inPost],
    ['made', at.made],
    ['claimed', at.promised + at.inWork],
    ['open', at.open],
  ];
  return kinds.filter(([, milli]) => milli > 0).map(([kind, milli]) => ({ kind, n: milli / step }));
}

/** The unit bar in words: `4 pieces: 1 made, 3 claimed`. */
export function unitWordsOf(at: JobQuantities, unit: Unit): string {
  const counts = unitCountsOf(at, unit).map(
    ({ kind, n }) => `${unit === 'piece' ? n : say(n, unit)} ${UNIT_WORDS[kind]}`,
  );
  return counts.length ? `${say(at.total, unit)}: ${counts.join(', ')}` : say(at.total, unit);
}

const COUNTED: readonly string[] = ['fabricate', 'purchase', 'fit-up'];

/** How much the job is for, in words; empty for work that is done once. */
export function quantityTextOf(job: Pick<JobFacts, 'kind' | 'milli'>, unit: Unit): string {
  return COUNTED.includes(job.kind) ? say(job.milli, unit) : '';
}

/** The job as a card. Pure: facts, names and the schedule's word in, what is shown and asked out. */
export function jobCard(
  job: JobFacts,
  names: CardNames,
  time: JobTime | null,
  viewer: Viewer,
  moment: CardMoment,
): JobCard {
  const unit = names.part?.unit ?? 'piece';
  const stage = stageOf(job, time?.ready ?? true);
  const fabricate = job.kind === 'fabricate';
  const at = fabricate ? quantitiesOf(job) : null;
  const over = isOver(stage);
  return {
    number: job.id,
    title: job.title,
    href: `/jobs/${job.id}`,
    kind: job.kind,
    partNumber: names.part?.number ?? null,
    revision: names.revision?.letter ?? null,
    process: names.processName,
    quantityText: quantityTextOf(job, unit),
    stage,
    unitCounts: at ? unitCountsOf(at, unit) : [],
    unitWords: at ? unitWordsOf(at, unit) : '',
    who: whoOf(job, names, unit),
    needByOn: over ? null : (time?.needByOn ?? null),
    likelyOn: over ? null : (time?.likelyOn ?? null),
    floatDays: over ? null : (time?.floatDays ?? null),
    critical: !over && (time?.critical ?? false),
    firstPiece: over ? null : firstPieceState(job, unit),
    ask: over ? null : askOf(job, stage, at, names, viewer, moment, unit),
  };
}

function whoOf(job: JobFacts, names: CardNames, unit: Unit): JobCard['who'] {
  if (job.kind !== 'fabricate') {
    if (job.personId === null) return [];
    return [{ personId: job.personId, name: names.nameOf(job.personId), quantityText: '' }];
  }
  const shares = new Map<number, number>();
  for (const claim of job.claims) {
    const net = netOf(claim);
    if (net > 0) shares.set(claim.personId, (shares.get(claim.personId) ?? 0) + net);
  }
  return [...shares].map(([personId, milli]) => ({
    personId,
    name: names.nameOf(personId),
    quantityText: say(milli, unit),
  }));
}

/** Days since the maker's last word on a claim that still has units with them; else 0. */
export function silentDaysOf(claim: ClaimFacts, { daysSince }: Pick<CardMoment, 'daysSince'>): number {
  return withMakerOf(claim) > 0 ? daysSince(claim.lastWordAt) : 0;
}

/** The day that lies so many days after a claim was made. */
export function promisedDay(
  claim: Pick<ClaimFacts, 'claimedAt'>,
  promisedDays: number,
  { today, daysSince }: Pick<CardMoment, 'today' | 'daysSince'>,
): Day {
  return addDays(today, promisedDays - daysSince(claim.claimedAt));
}

const days = (count: number) => `${count} ${count === 1 ? 'day' : 'days'}`;

type Wish = Omit<Ask, 'whom'>;

/** What is asked of whom: of the viewer first, else of the one who is waited for. */
function askOf(
  job: JobFacts,
  stage: Stage,
  at: JobQuantities | null,
  names: CardNames,
  viewer: Viewer,
  moment: CardMoment,
  unit: Unit,
): Ask | null {
  const shop = viewer.role !== 'maker';
  const own = job.claims.filter(({ personId }) => personId === viewer.personId);
  for (const claim of own) {
    const wish = wishOfMaker(job, claim, names, moment, unit);
    if (wish) return { whom: 'you', ...wish };
  }
  // What a draft lacks is not for makers to see yet.
  const seen = shop ? names : { ...names, missing: null };
  const ofShop = wishOfShop(job, stage, at, seen, moment, unit);
  if (ofShop) {
    // Work named for a person is theirs; all else of the shop's waits for lead and crew alike.
    const named = job.kind !== 'fabricate' && job.personId !== null;
    const mine = named ? job.personId === viewer.personId : shop;
    const whom = mine ? 'you' : named ? names.nameOf(job.personId ?? 0) : 'the lead';
    return { whom, ...ofShop };
  }
  for (const claim of job.claims) {
    if (claim.personId === viewer.personId) continue;
    const wish = wishOfMaker(job, claim, names, moment, unit);
    if (wish) return { whom: names.nameOf(claim.personId), ...wish };
  }
  return null;
}

function wishOfMaker(
  job: JobFacts,
  claim: ClaimFacts,
  names: CardNames,
  moment: CardMoment,
  unit: Unit,
): Wish | null {
  const href = `/jobs/${job.id}#claim-${claim.id}`;
  if (withMakerOf(claim) <= 0) return null;
  if (names.noticed(claim.id)) {
    return { text: 'a new revision is out: take it up or ask', href, post: null, label: 'Look' };
  }
  const first = firstPieceState(job, unit);
  const held = first !== null && first !== 'approved';
  const postable = postableOf(job, claim, unit);
  if (postable > 0 && (held || unfinishedOf(claim) === 0)) {
    return {
      text: held ? 'post one piece: the first, alone' : `post ${say(postable, unit)}`,
      href: `/parcels/new?claim=${claim.id}`,
      post: null,
      label: 'Post',
    };
  }
  if (job.heldAt || first === 'in the post' || first === 'here') return null;
  if (moment.daysSince(claim.claimedAt) > claim.latestDays) {
    const latest = promisedDay(claim, claim.latestDays, moment);
    return {
      text: `promised by ${dayWords(latest, moment.today)}: report, or promise anew`,
      href,
      post: null,
      label: 'Report',
    };
  }
  const silent = silentDaysOf(claim, moment);
  if (silent >= moment.silentAfterDays) {
    return { text: `no word for ${days(silent)}: say how it goes`, href, post: null, label: 'Report' };
  }
  return null;
}

function wishOfShop(
  job: JobFacts,
  stage: Stage,
  at: JobQuantities | null,
  names: CardNames,
  moment: CardMoment,
  unit: Unit,
): Wish | null {
  const href = `/jobs/${job.id}`;
  if (names.queries) {
    const { first, count } = names.queries;
    const text = count === 1 ? 'a question waits' : `${count} questions wait`;
    return { text, href: `${href}#query-${first}`, post: null, label: 'Answer' };
  }
  if (at && at.toInspect > 0) {
    return {
      text:
        firstPieceState(job, unit) === 'here'
          ? 'inspect the first piece: the rest waits for it'
          : `inspect ${say(at.toInspect, unit)}`,
      href: `${href}#parcels`,
      post: null,
      label: 'Inspect',
    };
  }
  if (stage === 'on hold') return null;
  if (job.kind === 'fabricate') return wishForMaking(job, stage, names, moment, href);
  if (job.kind === 'purchase') return wishForBuying(job, moment, href);
  if (stage === 'ready') {
    const text = job.kind === 'fit-up' ? 'all parts are here: fit it' : 'ready to begin';
    return { text, href, post: `${href}/start`, label: 'Begin' };
  }
  return null;
}

/** What the drawing of a job that can't be offered yet waits for. */
function drawingWish({ revision, missing }: CardNames): string {
  if (!revision) return 'draw it';
  if (revision.state !== 'draft') return `revision ${revision.letter} is ${revision.state}: draw the next`;
  return missing ?? `release revision ${revision.letter}`;
}

function wishForMaking(
  job: JobFacts,
  stage: Stage,
  names: CardNames,
  moment: CardMoment,
  href: string,
): Wish | null {
  if (stage === 'preparing') {
    const { revision } = names;
    if (revision?.state === 'released') {
      return { text: 'offer it to makers', href, post: `${href}/offer`, label: 'Offer' };
    }
    return {
      text: drawingWish(names),
      href: revision ? `/revisions/${revision.id}` : href,
      post: null,
      label: 'Open',
    };
  }
  let quiet: ClaimFacts | null = null;
  for (const claim of job.claims) {
    if (silentDaysOf(claim, moment) < moment.silentAfterDays) continue;
    if (!quiet || claim.lastWordAt < quiet.lastWordAt) quiet = claim;
  }
  if (!quiet) return null;
  return {
    text: `no word from ${names.nameOf(quiet.personId)} for ${days(silentDaysOf(quiet, moment))}`,
    href: `${href}#claim-${quiet.id}`,
    post: null,
    label: 'Look',
  };
}

function wishForBuying(job: JobFacts, { today }: CardMoment, href: string): Wish | null {
  if (!job.orderedAt) return { text: 'order it', href: `${href}#order`, post: null, label: 'Order' };
  if (job.promisedOn && job.promisedOn < today) {
    return {
      text: `delivery was named for ${dayWords(job.promisedOn, today)}`,
      href: `${href}#order`,
      post: null,
      label: 'Look',
    };
  }
  return null;
}
