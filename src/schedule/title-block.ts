import { dayWords } from '../platform/day.ts';
import type { ScheduleService } from './service.ts';

/** The schedule's cells in the title block of every sheet: what drives the finish, and when it is. */
export function titleBlock(service: ScheduleService): { label: string; value: string; kind: 'num' }[] {
  const { schedule } = service.snapshot();
  if (!schedule || schedule.finishOn === null) return [];
  const { criticalJobs, finishOn, facts } = schedule;
  return [
    { label: 'Critical', value: `${criticalJobs} ${criticalJobs === 1 ? 'job' : 'jobs'}`, kind: 'num' },
    { label: 'Finish', value: dayWords(finishOn, facts.today), kind: 'num' },
  ];
}
