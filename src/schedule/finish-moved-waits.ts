import { type LogRow, noted } from '../log/index.ts';
import { daysBetween } from '../platform/day.ts';
import { calendarPass } from './calendar-pass.ts';
import type { MovedBy } from './finish-moved.ts';
import { claimOfRow } from './finish-moved-groups.ts';
import { onlyTogether } from './finish-moved-together.ts';
import { togetherWords, waitPhrase, waitWords } from './finish-moved-words.ts';
import { finishDay, type Schedule, timesOf } from './schedule.ts';
import type { Step } from './steps.ts';

/** What somebody or something should have got on with. */
interface Waiting {
  key: string;
  drives: boolean;
  /** the first that should have gone on */
  step: Step;
  /** working or calendar days that were left now, by step, had it gone on */
  lengths: Map<number, number>;
}

/** Acts that are a word and no step forward. */
function isOnlyWord({ kind, milli }: LogRow): boolean {
  return kind === 'report-work' && !milli;
}

/** What a step belongs to: a claim, a job without one, a part without a job. */
function ownerOf({ claimId, jobId, partId }: Step): string {
  return claimId !== null ? `claim ${claimId}` : jobId !== null ? `job ${jobId}` : `part ${partId}`;
}

/** All that somebody did something about in the week. */
function touched(rows: readonly LogRow[]): Set<string> {
  const owners = new Set<string>();
  for (const row of rows) {
    if (isOnlyWord(row)) continue;
    const claimId = claimOfRow(row);
    if (claimId !== null) owners.add(`claim ${claimId}`).add(`claim ${noted(row.after).claimId}`);
    // A new claim goes on with its job, and a job or a drawing with its part.
    if (row.jobId !== null && (claimId === null || row.kind === 'claim-job')) owners.add(`job ${row.jobId}`);
    if (row.partId !== null && row.jobId === null) owners.add(`part ${row.partId}`);
    if (row.kind === 'create-job') owners.add(`part ${row.partId}`);
  }
  return owners;
}

/**
 * What should have gone on in the week and did not: each with the days by which the finish would be nearer, had it gone as
 * the plan of a week ago saw it go. Only steps that drive the finish now can do that, where nothing was done about them.
 *
 * @param then  the plan of the day before the week
 * @param rows  the log of the week
 */
export function waits(now: Schedule, then: Schedule, rows: readonly LogRow[]): MovedBy[] {
  const passed = daysBetween(then.facts.today, now.facts.today);
  const expectedEnds = new Map<string, number>();
  then.network.nodes.forEach((step, at) => {
    // A moment of that day's plan is so many days nearer by now.
    if (then.dates.earlyStarts[at]! < passed) expectedEnds.set(step.key, then.dates.earlyEnds[at]! - passed);
  });
  const isTouched = touched(rows);
  const late = new Map<string, Waiting>();
  now.network.nodes.forEach((step, at) => {
    const { duration } = step;
    const end = expectedEnds.get(step.key);
    const owner = ownerOf(step);
    if (end === undefined || duration.days === 0 || isTouched.has(owner)) return;
    const calendar = now.network.calendars[step.calendar]!;
    const left = duration.working ? calendar.workingBefore(end) - calendar.workingBefore(0) : end;
    if (Math.max(0, left) >= duration.days) return;
    const waiting = late.get(owner) ?? {
      key: `waited-${owner.replace(' ', '-')}`,
      drives: false,
      step,
      lengths: new Map(),
    };
    waiting.lengths.set(at, Math.max(0, left));
    waiting.drives ||= now.dates.floats[at] === 0;
    late.set(owner, waiting);
  });
  const found: MovedBy[] = [];
  const finishHad = (some: readonly Waiting[]) => {
    const times = timesOf(now.network.nodes);
    for (const { lengths } of some) for (const [at, days] of lengths) times.durations[at] = days;
    return finishDay(now.network, calendarPass(now.graph, times, now.network.calendars));
  };
  const silent: Waiting[] = [];
  for (const waiting of late.values()) {
    if (!waiting.drives) continue;
    const days = daysBetween(finishHad([waiting])!, now.finishOn!);
    if (days >= 1) found.push({ key: waiting.key, days, words: waitWords(waiting.step, days) });
    else silent.push(waiting);
  }
  const joint = onlyTogether(silent, now.finishOn!, finishHad);
  if (joint && joint.days >= 1) {
    const words = togetherWords(
      joint.of.map(({ step }) => waitPhrase(step)),
      joint.days,
    );
    found.push({ key: `${joint.of[0]!.key}-together`, days: joint.days, words });
  }
  return found;
}
