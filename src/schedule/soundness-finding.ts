import { partPath } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import type { FinishEstimate } from './finish-chart.ts';
import type { Schedule } from './schedule.ts';
import { stepPath } from './view.ts';

/**
 * The ten best practices of the "GAO Schedule Assessment Guide: Best Practices for Project Schedules", GAO-16-89G,
 * U.S. Government Accountability Office, December 2015; their names from memory.
 */
export const PRACTICES = [
  { key: 'capturing', name: 'Capturing all activities' },
  { key: 'sequencing', name: 'Sequencing all activities' },
  { key: 'resources', name: 'Assigning resources to all activities' },
  { key: 'durations', name: 'Establishing the durations of all activities' },
  { key: 'traceable', name: 'Verifying that the schedule can be traced horizontally and vertically' },
  { key: 'critical', name: 'Confirming that the critical path is valid' },
  { key: 'float', name: 'Ensuring reasonable total float' },
  { key: 'risk', name: 'Conducting a schedule risk analysis' },
  { key: 'updating', name: 'Updating the schedule using actual progress and logic' },
  { key: 'baseline', name: 'Maintaining a baseline schedule' },
] as const;
export type Practice = (typeof PRACTICES)[number]['key'];

/** `ok`: nothing to do; `look`: may well be right, look at it; `act`: the dates can't be trusted until it is done. */
export type Verdict = 'ok' | 'look' | 'act';

/** A part, job, step, person or day that a check is about. */
export interface FindingItem {
  label: string;
  /** where it is put right; empty where no page is about it */
  href: string;
  note: string;
}

/** What one check came to. */
export interface Finding {
  practice: Practice;
  key: string;
  /** what was looked at */
  title: string;
  verdict: Verdict;
  /** how many of how many, in a sentence */
  said: string;
  /** what to do, in a sentence; empty when nothing is to be done */
  advice: string;
  /** the first of what was found, and how much there is in all */
  items: FindingItem[];
  found: number;
}

/** What the checks ask that a schedule does not hold itself. */
export interface Around {
  /** the estimates of the finish, in the order of their days */
  estimates: readonly FinishEstimate[];
  /** kept plans, the newest first */
  baselines: readonly { name: string; day: Day; finishOn: Day }[];
  /** the day of the last act in the log */
  lastActOn: Day | null;
  /** who comes to which gathering */
  comers: readonly { gatheringId: number; personId: number }[];
  /** after so many days a maker counts as silent */
  silentAfterDays: number;
}

export interface Looked {
  schedule: Schedule;
  around: Around;
}

/** What a check found, before it is put into words. */
export interface Found extends Pick<Finding, 'key' | 'title' | 'items' | 'found'> {
  /** how many were looked at */
  of: number;
  /** what they are, in the plural: 'open jobs' */
  what: string;
  /** what the found ones have: 'no person named' */
  fault: string;
  verdict: Verdict;
  advice: string;
}

/** So many of what a check found are named. */
const MOST_ITEMS = 60;

/** What was found: the first of it named, all of it counted. */
export function listed<T>(
  found: readonly T[],
  item: (one: T) => FindingItem,
): Pick<Finding, 'items' | 'found'> {
  return { items: found.slice(0, MOST_ITEMS).map(item), found: found.length };
}

/** A check that counts things: 'n of m: fault'. Found nothing, it holds. */
export function counted(practice: Practice, check: Found): Finding {
  const { key, title, items, found, of, what, fault, verdict, advice } = check;
  const holds = found === 0;
  const said =
    of === 0
      ? `There are no ${what}.`
      : holds
        ? of === 1
          ? 'None; one was looked at.'
          : `None of ${of} ${what}.`
        : `${found} of ${of} ${what}: ${fault}.`;
  return {
    practice,
    key,
    title,
    verdict: holds ? 'ok' : verdict,
    said,
    advice: holds || verdict === 'ok' ? '' : advice,
    items,
    found,
  };
}

/** A check that has one answer. */
export function judged(
  practice: Practice,
  {
    items = [],
    ...check
  }: Pick<Finding, 'key' | 'title' | 'verdict' | 'said' | 'advice'> & { items?: FindingItem[] },
): Finding {
  return {
    practice,
    ...check,
    advice: check.verdict === 'ok' ? '' : check.advice,
    items,
    found: items.length,
  };
}

export function partItem({ schedule }: Looked, partId: number, note = ''): FindingItem {
  const part = schedule.facts.parts.get(partId);
  return part
    ? { label: `${part.number} ${part.name}`, href: partPath(part.number), note }
    : { label: `part ${partId}`, href: '', note };
}

export function jobItem({ id, title }: { id: number; title: string }, note = ''): FindingItem {
  return { label: `${id} ${title}`, href: `/jobs/${id}`, note };
}

export function stepItem({ schedule }: Looked, at: number, note = ''): FindingItem {
  const { key, label } = schedule.network.nodes[at]!;
  return { label, href: stepPath(key), note };
}

export function personItem({ schedule }: Looked, personId: number, note = ''): FindingItem {
  const person = schedule.facts.people.get(personId);
  const href = person?.role === 'maker' ? `/makers/${personId}` : '';
  return { label: person?.name ?? `person ${personId}`, href, note };
}

/** Steps that take time, by number. */
export function working({ schedule }: Looked): number[] {
  const all: number[] = [];
  schedule.network.nodes.forEach(({ kind }, at) => {
    if (kind !== 'mark') all.push(at);
  });
  return all;
}

export function percent(share: number): string {
  return `${Math.round(share * 100)} %`;
}
