import type { Day } from '../platform/day.ts';
import type { Schedule } from './schedule.ts';

/** When one part is to be ready to fit, or one job is expected to be over. */
export interface PlannedLine {
  partId: number | null;
  jobId: number | null;
  /** what it is called today */
  label: string;
  readyOn: Day;
  critical: boolean;
}

/** What a schedule expects: the finish, every part that is not ready yet, every open job. */
export interface Plan {
  finishOn: Day;
  lines: PlannedLine[];
}

/** The day from which a part is ready to fit, by its mark in the network. */
export function readyDay({ network, dates }: Schedule, mark: number): Day {
  return network.calendar.dayAt(dates.earlyEnds[mark]!);
}

/** The parts that have a step which drives the finish: their own readiness may well have float left. */
export function criticalParts({ network, dates }: Schedule): Set<number> {
  const found = new Set<number>();
  network.nodes.forEach(({ partId }, at) => {
    if (partId !== null && dates.floats[at] === 0) found.add(partId);
  });
  return found;
}

/** The plan that a schedule amounts to, to be kept; null when nothing is left to do. */
export function planOf(schedule: Schedule): Plan | null {
  const { facts, network, finishOn, jobTimes } = schedule;
  if (finishOn === null) return null;
  const lines: PlannedLine[] = [];
  const critical = criticalParts(schedule);
  for (const [partId, mark] of network.readyMarks) {
    const { number, name } = facts.parts.get(partId)!;
    const label = `${number} ${name}`;
    const readyOn = readyDay(schedule, mark);
    lines.push({ partId, jobId: null, label, readyOn, critical: critical.has(partId) });
  }
  for (const { id, title } of network.openJobs) {
    const time = jobTimes.get(id);
    if (!time?.likelyOn) continue;
    lines.push({
      partId: null,
      jobId: id,
      label: title,
      readyOn: time.likelyOn,
      critical: time.critical,
    });
  }
  return { finishOn, lines };
}
