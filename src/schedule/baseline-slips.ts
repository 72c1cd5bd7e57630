import { stageOf } from '../jobs/index.ts';
import { partPath } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import { criticalParts, type PlannedLine, readyDay } from './baseline-plan.ts';
import type { Schedule } from './schedule.ts';

/** The days on which parts and jobs came to their end, as far as the log tells: by id. */
export interface EndDays {
  parts: ReadonlyMap<number, Day>;
  jobs: ReadonlyMap<number, Day>;
}

/** One line of a kept plan against what has become of it. */
export interface Slip {
  label: string;
  href: string;
  plannedOn: Day;
  /** expected now, or when it came about; null where that is not known, or it is gone */
  nowOn: Day | null;
  /** `open`: still to come; `done`: ready or over; `gone`: taken out, dropped, or needed no more */
  state: 'open' | 'done' | 'gone';
  /** later (sooner below 0) in calendar days and in working days of the build; null without a day */
  days: number | null;
  workingDays: number | null;
  /** whether it drove the finish then, and whether it does now */
  wasCritical: boolean;
  critical: boolean;
}

export interface Slips {
  assemblies: Slip[];
  parts: Slip[];
  jobs: Slip[];
  /** of today's plan, what the kept one did not know */
  newParts: Slip[];
  newJobs: Slip[];
}

/**
 * What has become of a kept plan: each of its lines beside the schedule of now, the worst first.
 *
 * A part without a mark in the network is ready, if the machine still needs it; the day is that of the last act on it.
 */
export function slipsAgainst(planned: readonly PlannedLine[], schedule: Schedule, ends: EndDays): Slips {
  const { facts, network } = schedule;
  const { calendar, readyMarks } = network;
  // Thousands of lines share a few hundred days.
  const moments = new Map<Day, number>();
  const momentOf = (day: Day) => {
    let moment = moments.get(day);
    if (moment === undefined) {
      moment = calendar.momentOf(day);
      moments.set(day, moment);
    }
    return moment;
  };
  const criticalNow = criticalParts(schedule);
  const jobs = new Map(facts.jobs.map((job) => [job.id, job]));

  const slip = (line: PlannedLine, href: string, now: Pick<Slip, 'state' | 'nowOn' | 'critical'>): Slip => {
    const { label, readyOn: plannedOn, critical: wasCritical } = line;
    const { nowOn } = now;
    return {
      label,
      href,
      plannedOn,
      wasCritical,
      ...now,
      days: nowOn === null ? null : momentOf(nowOn) - momentOf(plannedOn),
      workingDays:
        nowOn === null
          ? null
          : calendar.workingBefore(momentOf(nowOn)) - calendar.workingBefore(momentOf(plannedOn)),
    };
  };

  const ofPart = (partId: number): Pick<Slip, 'state' | 'nowOn' | 'critical'> => {
    const mark = readyMarks.get(partId);
    if (mark !== undefined) {
      return { state: 'open', nowOn: readyDay(schedule, mark), critical: criticalNow.has(partId) };
    }
    const isNeeded = facts.parts.has(partId) && (network.needs.get(partId)?.required ?? 0) > 0;
    return isNeeded
      ? { state: 'done', nowOn: ends.parts.get(partId) ?? null, critical: false }
      : { state: 'gone', nowOn: null, critical: false };
  };

  const ofJob = (jobId: number): Pick<Slip, 'state' | 'nowOn' | 'critical'> => {
    const time = schedule.jobTimes.get(jobId);
    if (time) return { state: 'open', nowOn: time.likelyOn, critical: time.critical };
    const job = jobs.get(jobId);
    return !job || stageOf(job, true) === 'dropped'
      ? { state: 'gone', nowOn: null, critical: false }
      : { state: 'done', nowOn: ends.jobs.get(jobId) ?? null, critical: false };
  };

  const found: Slips = { assemblies: [], parts: [], jobs: [], newParts: [], newJobs: [] };
  const known = { parts: new Set<number>(), jobs: new Set<number>() };
  for (const line of planned) {
    if (line.partId !== null) {
      known.parts.add(line.partId);
      const part = facts.parts.get(line.partId);
      const list = part?.kind === 'assembly' ? found.assemblies : found.parts;
      list.push(slip(line, part ? partPath(part.number) : '', ofPart(line.partId)));
    } else if (line.jobId !== null) {
      known.jobs.add(line.jobId);
      found.jobs.push(slip(line, `/jobs/${line.jobId}`, ofJob(line.jobId)));
    }
  }
  for (const [partId, mark] of readyMarks) {
    if (known.parts.has(partId)) continue;
    const { number, name } = facts.parts.get(partId)!;
    const readyOn = readyDay(schedule, mark);
    const label = `${number} ${name}`;
    const line = { partId, jobId: null, label, readyOn, critical: criticalNow.has(partId) };
    found.newParts.push(slip(line, partPath(number), ofPart(partId)));
  }
  for (const { id, title } of network.openJobs) {
    const time = schedule.jobTimes.get(id);
    if (known.jobs.has(id) || !time?.likelyOn) continue;
    const line = { partId: null, jobId: id, label: title, readyOn: time.likelyOn, critical: time.critical };
    found.newJobs.push(slip(line, `/jobs/${id}`, ofJob(id)));
  }
  for (const list of Object.values(found)) list.sort(worstFirst);
  return found;
}

function worstFirst(a: Slip, b: Slip): number {
  const rank = (slip: Slip) => slip.days ?? Number.NEGATIVE_INFINITY;
  if (rank(a) !== rank(b)) return rank(b) - rank(a);
  return a.label < b.label ? -1 : a.label > b.label ? 1 : 0;
}
