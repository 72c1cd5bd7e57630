import type { LogRow } from '../log/index.ts';
import { addDays, type Day, daysBetween } from '../platform/day.ts';
import type { BuildFacts } from './build-facts.ts';
import { count } from './durations-estimate.ts';
import { type FactGroup, factGroups } from './finish-moved-groups.ts';
import { onlyTogether } from './finish-moved-together.ts';
import { NOT_UNDONE, undone } from './finish-moved-undo.ts';
import type { Beside } from './finish-moved-undoing.ts';
import { waits } from './finish-moved-waits.ts';
import { factPhrase, factWords, movedBy, togetherWords } from './finish-moved-words.ts';
import { type Schedule, scheduleOf } from './schedule.ts';

/** Words with people in them. People stand by their id: how they are named is looked up when it is read. */
export type MovedWords = (string | { person: number })[];

/** One thing that moved the finish. */
export interface MovedBy {
  /** stays the same while the fact does: a line is left out by it */
  key: string;
  /** calendar days it put the finish back by; below 0: brought it nearer. Never 0. */
  days: number;
  /** one plain sentence, with the days and the full stop */
  words: MovedWords;
}

/** Why the finish is where it is, and not where it was a week ago. */
export interface WhyMoved {
  /** the finish as it is computed; null when nothing is left to do */
  finishOn: Day | null;
  /** the finish as it was stored before the week; null where none was */
  before: { day: Day; finishOn: Day } | null;
  /** calendar days from the one to the other: + later, - sooner; null where one of them is missing */
  movedDays: number | null;
  /** what was done in the week: each by computing the finish without it. Those of a day and more, the largest first */
  facts: MovedBy[];
  /** what should have gone on in the week and did not, likewise */
  waits: MovedBy[];
  /** how far these go together, what is left over, and what could not be tried: sentences, honest ones */
  remarks: string[];
}

/** What is known of a week: the answer, or that it is being found out. A week that only the records know is null. */
export type WhyMovedTold = { state: 'ready'; why: WhyMoved | null } | { state: 'computing' };

/** This module's own address, for the thread that runs `whyMoved`. */
export const whyMovedModule = import.meta.url;

/** What `whyMoved` is asked: all of it can be posted to a thread. */
export interface MovedQuestion {
  /** as they are now */
  facts: BuildFacts;
  /** the first day of the week, and its last or today, whichever comes first */
  from: Day;
  until: Day;
  /** the log of those days, oldest first, and what was done since */
  rows: readonly LogRow[];
  since: readonly LogRow[];
  beside: Beside;
  /** the finish as it was stored before the week, and at its end where that is over */
  before: { day: Day; finishOn: Day } | null;
  after: { day: Day; finishOn: Day } | null;
}

/** So many facts are tried at most, and fewer where the network is large: so many steps in all. */
const MOST_TRIED = 60;
const MOST_STEPS = 500_000;

/**
 * Why the finish is where it is and not where it was a week ago: each fact of the week is taken back by itself, and the
 * schedule computed without it. What should have gone on and did not is tried as if it had: every step as far as the plan
 * of a week ago saw it come.
 *
 * Two facts may answer for the same days (of two parcels that came, either would have held the machine up), so that these
 * days do not add up; what moves it only together with others is told in one line with them. What does add up is told in the remarks: what was done in the week taken together, the days that
 * went by with nothing done, and what is left over, which the log can't take back.
 *
 * Pure; the way of leaving one out at a time is common practice, no source.
 */
export function whyMoved(question: MovedQuestion): WhyMoved {
  const { from, until, rows, since, beside, before } = question;
  const facts = { ...undone(question.facts, since, beside), today: until };
  const now = scheduleOf(facts);
  // The day before, as its last act left it.
  const dayBefore = addDays(from, -1);
  const without = undone(facts, rows, beside);
  const then = scheduleOf({ ...without, today: dayBefore });
  const idle = scheduleOf(without);
  const finishOn = question.after?.finishOn ?? now.finishOn;
  const told: WhyMoved = { finishOn, before, movedDays: null, facts: [], waits: [], remarks: [] };
  if (now.finishOn === null) return told;

  const { tried, untried } = inOrder(factGroups(rows), now, then);
  let failed = 0;
  let all = 0;
  const silent: FactGroup[] = [];
  for (const group of tried) {
    const finish = finishWithout(facts, group.rows, beside);
    if (finish === 'loop') failed += 1;
    else if (finish === null) all += 1;
    else {
      const days = daysBetween(finish, now.finishOn);
      if (days === 0) silent.push(group);
      else told.facts.push({ key: group.key, days, words: factWords(group.rows, days) });
    }
  }
  const joint = onlyTogether(silent, now.finishOn, (groups) => {
    const ids = new Set(groups.flatMap((group) => group.rows.map(({ id }) => id)));
    const finish = finishWithout(
      facts,
      rows.filter(({ id }) => ids.has(id)),
      beside,
    );
    return finish === 'loop' ? null : finish;
  });
  if (joint) {
    const { of, days } = joint;
    const words = togetherWords(
      of.map(({ rows: own }) => factPhrase(own)),
      days,
    );
    told.facts.push({ key: `moved-together-${of[0]!.rows[0]!.id}`, days, words });
  }
  told.waits.push(...waits(now, then, rows));
  for (const list of [told.facts, told.waits]) list.sort((a, b) => Math.abs(b.days) - Math.abs(a.days));

  if (before && finishOn) told.movedDays = daysBetween(before.finishOn, finishOn);
  const isOnEdge =
    (before === null || before.day === dayBefore) &&
    (question.after === null || question.after.day === until);
  told.remarks = remarksOf({ told, now, idle, then, untried, failed, all, rows, isOnEdge });
  return told;
}

/** Null where nothing were left to do; 'loop' where the structure would close a circle. */
function finishWithout(facts: BuildFacts, rows: readonly LogRow[], beside: Beside): Day | 'loop' | null {
  try {
    return scheduleOf(undone(facts, rows, beside)).finishOn;
  } catch (fault) {
    // Without these lines alone the structure would close a circle: there is no such machine.
    if (fault instanceof Error && fault.name === 'StructureLoop') return 'loop';
    throw fault;
  }
}

/** The facts most likely to move the finish first: what counts for everything, then by the float of what they touch. */
function inOrder(groups: readonly FactGroup[], now: Schedule, then: Schedule) {
  const floats = new Map<string, number>();
  for (const { network, dates } of [now, then]) {
    network.nodes.forEach(({ jobId, partId }, at) => {
      for (const key of [jobId === null ? '' : `job ${jobId}`, partId === null ? '' : `part ${partId}`]) {
        if (key) floats.set(key, Math.min(floats.get(key) ?? Number.POSITIVE_INFINITY, dates.floats[at]!));
      }
    });
  }
  const floatOf = ({ rows }: FactGroup) => {
    let least = Number.POSITIVE_INFINITY;
    for (const { jobId, partId, thingType, thingId } of rows) {
      if (jobId === null && partId === null) return -1;
      const keys = [`job ${jobId}`, `part ${partId}`, thingType === 'part' ? `part ${thingId}` : ''];
      for (const key of keys) least = Math.min(least, floats.get(key) ?? Number.POSITIVE_INFINITY);
    }
    return least;
  };
  const sorted = groups
    .map((group) => ({ group, float: floatOf(group) }))
    .sort((a, b) => a.float - b.float || b.group.rows.length - a.group.rows.length)
    .map(({ group }) => group);
  const most = Math.max(8, Math.min(MOST_TRIED, Math.floor(MOST_STEPS / (now.network.nodes.length + 1))));
  return { tried: sorted.slice(0, most), untried: Math.max(0, sorted.length - most) };
}

interface Outcome {
  told: WhyMoved;
  now: Schedule;
  idle: Schedule;
  then: Schedule;
  untried: number;
  failed: number;
  /** things without which nothing were left to do */
  all: number;
  rows: readonly LogRow[];
  /** whether the finish was stored on the day before the week, and on its last where it is over */
  isOnEdge: boolean;
}

/** How far all of it goes together: the three parts add up to what the finish moved by. */
function remarksOf({ told, now, idle, then, untried, failed, all, rows, isOnEdge }: Outcome): string[] {
  const remarks: string[] = [];
  const by = (days: number) => (days === 0 ? 'no day either way' : movedBy(days));
  let needNotAddUp = told.facts.length + told.waits.length > 1;
  const dated = idle.finishOn !== null && then.finishOn !== null && now.finishOn !== null;
  if (dated) {
    const done = daysBetween(idle.finishOn!, now.finishOn!);
    const sum = told.facts.reduce((days, fact) => days + fact.days, 0);
    needNotAddUp ||= told.facts.length > 0 && sum !== done;
    const went = daysBetween(then.finishOn!, idle.finishOn!);
    const passed = daysBetween(then.facts.today, now.facts.today);
    remarks.push(
      `Taken together, what was done: ${by(done)}. The ${count(passed, 'day')} that went by, had nothing been done: ${by(went)}.`,
    );
    const rest = told.movedDays === null ? 0 : told.movedDays - done - went;
    if (rest !== 0) {
      remarks.push(
        isOnEdge
          ? `The rest, ${by(rest)}, comes from what can’t be taken back by the log.`
          : `The rest, ${by(rest)}, came about between the days on which the finish was stored and the first or last of these.`,
      );
    }
  }
  if (then.finishOn === null)
    remarks.push('Before these days nothing was planned that this finish could be held against.');
  if (needNotAddUp) {
    remarks.push(
      'Each line is the finish computed without that one thing. Two things may answer for the same days, so the lines need not add up.',
    );
  }
  const hidden = new Set<string>(NOT_UNDONE);
  const kept = rows.filter(({ kind }) => hidden.has(kind)).length;
  if (kept > 0) {
    remarks.push(
      `${count(kept, 'change')} of people’s details could not be tried: the log does not have what was before.`,
    );
  }
  if (all > 0) {
    remarks.push(
      `${count(all, 'thing')} done in the week could not be tried: without ${all === 1 ? 'it' : 'one of them'} nothing would be left to do.`,
    );
  }
  if (failed > 0) remarks.push(`${count(failed, 'change')} of the structure could not be taken back alone.`);
  if (untried > 0) {
    remarks.push(
      `${count(untried, 'more thing')} done in the week, less likely to matter, ${untried === 1 ? 'was' : 'were'} not tried alone.`,
    );
  }
  return remarks;
}
