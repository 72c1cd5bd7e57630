import type { Day } from '../platform/day.ts';
import { datedStep, type Schedule } from './schedule.ts';

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

/** The plan that a schedule amounts to, to be kept; null when nothing is left to do. */
export function planOf(schedule: Schedule): Plan | null {
  const { facts, network, finishOn, jobTimes } = schedule;
  if (finishOn === null) return null;
  const lines: PlannedLine[] = [];
  for (const [partId, mark] of network.readyMarks) {
    const { number, name } = facts.parts.get(partId)!;
    const { earlyEnd, critical } = datedStep(schedule, mark);
    lines.push({ partId, jobId: null, label: `${number} ${name}`, readyOn: earlyEnd, critical });
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
