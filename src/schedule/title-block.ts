import { dayWords } from '../platform/day.ts';
import type { OutlookService } from './outlook-service.ts';
import type { ScheduleService } from './service.ts';

/** The schedule's cells in the title block of every sheet: what drives the finish, and when it is. */
export function titleBlock(
  service: ScheduleService,
  outlooks: OutlookService,
): { label: string; value: string; kind: 'num' }[] {
  const { schedule } = service.snapshot();
  if (!schedule || schedule.finishOn === null) return [];
  const { criticalJobs, finishOn, facts } = schedule;
  const cells: ReturnType<typeof titleBlock> = [
    { label: 'Critical', value: `${criticalJobs} ${criticalJobs === 1 ? 'job' : 'jobs'}`, kind: 'num' },
    { label: 'Finish', value: dayWords(finishOn, facts.today), kind: 'num' },
  ];
  // The simulation of an earlier moment would be read as that of this one.
  const { outlook } = outlooks.known();
  if (outlook?.finish && outlook.schedule === schedule) {
    cells.push({ label: 'In 80 of 100', value: dayWords(outlook.finish.at80, facts.today), kind: 'num' });
  }
  return cells;
}
