import { partPath } from '../parts/index.ts';
import { addDays, type Day, dayIn, daysBetween, dayWords } from '../platform/day.ts';
import type { BuildFacts, DayRange } from './build-facts.ts';
import { count } from './durations-estimate.ts';
import type { LinkType } from './network-graph.ts';
import { chainTo, type DatedStep, datedStep, drivingChain, type Schedule } from './schedule.ts';
import type { FinishOfDay } from './service.ts';
import type { Step, StepLink } from './steps.ts';

/** A step as the schedule lists it. */
export interface StepRow {
  key: string;
  href: string;
  label: string;
  kind: string;
  partNumber: string | null;
  partHref: string | null;
  jobNumber: number | null;
  because: string;
  takes: string;
  starts: string;
  ends: string;
  latestEnd: string;
  floatDays: number;
  critical: boolean;
  late: boolean;
  earlyStart: Day;
  earlyEnd: Day;
  lateEnd: Day;
  /** soonest to latest day promised for its end, where it rests on a promise */
  promise: DayRange | null;
  promised: string;
}

/** The address of a step's page. */
export function stepPath(key: string): string {
  return `/schedule/nodes/${encodeURIComponent(key)}`;
}

export function stepRow(schedule: Schedule, at: number): StepRow {
  const step = datedStep(schedule, at);
  const { today, parts } = schedule.facts;
  const part = step.partId === null ? undefined : parts.get(step.partId);
  const promise = promiseOf(schedule.facts, schedule.network.nodes[at]!);
  const { key, label, kind, because, floatDays, critical, late, earlyStart, earlyEnd, lateEnd } = step;
  return {
    key,
    href: stepPath(key),
    label,
    kind,
    partNumber: part?.number ?? null,
    partHref: part ? partPath(part.number) : null,
    jobNumber: step.jobId,
    because,
    takes: takes(step),
    starts: dayWords(earlyStart, today),
    ends: dayWords(earlyEnd, today),
    latestEnd: dayWords(lateEnd, today),
    floatDays,
    critical,
    late,
    earlyStart,
    earlyEnd,
    lateEnd,
    promise,
    promised: promise ? rangeWords(promise, today) : '',
  };
}

/** The days between which a maker promised to post what is still to be made. */
export function promiseOf({ timeZone }: BuildFacts, { word, claim }: Step): DayRange | null {
  if (word !== 'make' || claim === null || claim.doneMilli >= claim.milli - claim.backMilli) return null;
  const from = dayIn(timeZone, new Date(claim.claimedAt));
  return { fromOn: addDays(from, claim.soonestDays), untilOn: addDays(from, claim.latestDays) };
}

function rangeWords({ fromOn, untilOn }: DayRange, today: Day): string {
  return fromOn === untilOn
    ? dayWords(fromOn, today)
    : `${dayWords(fromOn, today)} to ${dayWords(untilOn, today)}`;
}

function takes({ durationDays, working }: DatedStep): string {
  return durationDays === 0 ? 'no time' : count(durationDays, working ? 'working day' : 'day');
}

/** Numbers of all steps that take time, by early start; those with the least float first among equals. */
export function stepsInOrder({ network, dates }: Schedule): number[] {
  const { earlyStarts, floats } = dates;
  const all: number[] = [];
  network.nodes.forEach(({ kind }, at) => {
    if (kind !== 'mark') all.push(at);
  });
  return all.sort((a, b) => earlyStarts[a]! - earlyStarts[b]! || floats[a]! - floats[b]! || a - b);
}

export const SHOWN = ['all', 'drives', 'late'] as const;
export type Shown = (typeof SHOWN)[number];

/** Whether a step belongs to what is asked for: all, what drives the finish, what should be over; and words in it. */
export function isAskedFor(schedule: Schedule, at: number, shown: Shown, words: string): boolean {
  const step = schedule.network.nodes[at]!;
  if (shown === 'drives' && schedule.dates.floats[at] !== 0) return false;
  if (shown === 'late' && !step.duration.late) return false;
  if (words === '') return true;
  const number = step.partId === null ? '' : (schedule.facts.parts.get(step.partId)?.number ?? '');
  const job = step.jobId === null ? '' : `job ${step.jobId}`;
  return `${step.label} ${number} ${job}`.toLowerCase().includes(words.toLowerCase());
}

/** The steps that set the finish, from today on, without the moments that take no time. */
export function drivingRows(schedule: Schedule): ChainRow[] {
  return chainRows(schedule, drivingChain(schedule));
}

/** The chain of facts that sets the start of a step, the step itself last. */
export function whyRows(schedule: Schedule, at: number): ChainRow[] {
  return chainRows(schedule, chainTo(schedule, at));
}

/** A step of a chain, with what lies between it and the one before. */
export interface ChainRow extends StepRow {
  /** how it follows, where it does not simply begin at the end of the one before; '' where it does */
  after: string;
}

function chainRows(schedule: Schedule, chain: readonly number[]): ChainRow[] {
  const { network, facts } = schedule;
  const links = linksBetween(schedule, new Set(chain));
  const rows = chain.map((at, place): ChainRow => {
    const row = stepRow(schedule, at);
    const before = chain[place - 1];
    const link = before === undefined ? undefined : links.get(`${before}-${at}`);
    const isWork = network.nodes[at]!.duration.working && network.nodes[at]!.duration.days > 0;
    const from = before === undefined ? facts.today : datedStep(schedule, before).earlyEnd;
    const closed = isWork ? closedBetween(schedule, from, row.earlyEnd) : '';
    const missed = missedGathering(schedule, at, row.earlyStart);
    return { ...row, after: [link ? howWords(link) : '', missed, closed].filter(Boolean).join('; ') };
  });
  // How a moment that takes no time follows is told by the step after it.
  for (const [place, { kind, after }] of rows.entries()) {
    const next = rows[place + 1];
    if (kind === 'mark' && after && next) next.after = next.after ? `${after}; ${next.after}` : after;
  }
  return rows.filter(({ kind }, place) => kind !== 'mark' || place === rows.length - 1);
}

/** That work meant for a gathering comes too late for it. */
function missedGathering({ network, facts }: Schedule, at: number, start: Day): string {
  const { job } = network.nodes[at]!;
  const gathering =
    job?.gatheringId == null || job.startedAt ? undefined : facts.gatherings.get(job.gatheringId);
  if (!gathering || gathering.untilOn < facts.today || start <= gathering.untilOn) return '';
  return `what it waits for comes after that gathering, which ends on ${dayWords(gathering.untilOn, facts.today)}: counted at the next one, or on working days where none is planned`;
}

/** The links among some steps, by the numbers of both; of two between the same steps the last. */
function linksBetween({ network }: Schedule, steps: ReadonlySet<number>): Map<string, StepLink> {
  const found = new Map<string, StepLink>();
  for (const link of network.links) {
    if (steps.has(link.from) && steps.has(link.to)) found.set(`${link.from}-${link.to}`, link);
  }
  return found;
}

/** The closures that fall between two days, both of them in it, in words. */
function closedBetween({ facts: { closures, today } }: Schedule, from: Day, until: Day): string {
  return closures
    .filter(({ fromOn, untilOn }) => fromOn <= until && untilOn >= from)
    .map((closure) => `closed ${rangeWords(closure, today)}, ${closure.name}`)
    .join('; ');
}

export interface Neighbour extends StepRow {
  /** how the one waits for the other, where it is not simply its end */
  how: string;
  /** whether this one sets the start */
  drives: boolean;
}

const HOW: Readonly<Record<LinkType, string>> = {
  FS: 'begins after its end',
  SS: 'begins once it has begun',
  FF: 'ends no sooner than it',
  SF: 'ends no sooner than it begins',
};

/** How a step follows another: '' where it begins when that is over, as nearly all do. */
function howWords({ type, lag, byHand }: StepLink): string {
  const gap =
    lag === 0
      ? ''
      : lag > 0
        ? `${count(lag, 'working day')} later`
        : `up to ${count(-lag, 'working day')} sooner`;
  const how = type === 'FS' && !gap ? '' : [HOW[type], gap].filter(Boolean).join(', ');
  return byHand ? `linked by hand${how ? `: ${how}` : ''}` : how;
}

/** What a step waits for, and what waits for it. */
export function neighbours(schedule: Schedule, at: number): { before: Neighbour[]; after: Neighbour[] } {
  const { network, dates } = schedule;
  const before: Neighbour[] = [];
  const after: Neighbour[] = [];
  for (const link of network.links) {
    const { from, to } = link;
    if (from !== at && to !== at) continue;
    const how = howWords(link);
    if (to === at) before.push({ ...stepRow(schedule, from), how, drives: dates.drivers[at] === from });
    else after.push({ ...stepRow(schedule, to), how, drives: dates.drivers[to] === at });
  }
  return { before, after };
}

/** How the finish moved since a week ago, in words. */
export function finishMoved(finishOn: Day | null, ago: FinishOfDay | null, today: Day): string {
  if (finishOn === null) return '';
  if (!ago) return 'no finish is stored from a week ago yet';
  const moved = daysMoved(ago.finishOn, finishOn);
  return `${moved}${ago.finishOn === finishOn ? '' : ' than'} as computed on ${dayWords(ago.day, today)}`;
}

/** '3 days later', '1 day sooner', 'the same'. */
export function daysMoved(from: Day, to: Day): string {
  const moved = daysBetween(from, to);
  if (moved === 0) return 'the same';
  return `${count(Math.abs(moved), 'day')} ${moved > 0 ? 'later' : 'sooner'}`;
}
