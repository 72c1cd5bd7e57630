import { addDays, type Day, daysBetween } from '../platform/day.ts';
import { buildModel } from './build-model.ts';
import { finishSpread } from './outlook.ts';
import type { OutlookService } from './outlook-service.ts';
import { scheduleWith } from './redesign-cost.ts';
import type { PlannedRedesign } from './redesign-facts.ts';
import type { Schedule } from './schedule.ts';

/** What a redesign costs the finish in 80 of 100 runs of the simulation. */
export interface RedesignAt80 {
  /** the finish without it */
  finishOn: Day;
  best: { finishOn: Day; days: number };
  worst: { finishOn: Day; days: number };
  runs: number;
}

/**
 * The day by which the machine is finished in 80 of 100 runs, with a redesign and without, on the same luck. As with the
 * plan itself, a redesign never costs less than nothing, nor less in the worst than in the best.
 *
 * @returns null when nothing is left to do
 */
export async function redesignAt80(
  outlooks: Pick<OutlookService, 'simulate'>,
  schedule: Schedule,
  planned: PlannedRedesign,
): Promise<RedesignAt80 | null> {
  const { runs } = buildModel(schedule);
  const plans = [
    schedule,
    scheduleWith(schedule, planned, 'used').schedule,
    scheduleWith(schedule, planned, 'remade').schedule,
  ];
  const outcomes = await outlooks.simulate(plans.map((plan) => buildModel(plan, { runs })));
  const [finishOn, used, remade] = plans.map((plan, at) => finishSpread(plan, outcomes[at]!)?.at80 ?? null);
  if (!finishOn || !used || !remade) return null;
  const best = Math.max(0, daysBetween(finishOn, used));
  const worst = Math.max(best, daysBetween(finishOn, remade));
  const later = (days: number) => ({ finishOn: addDays(finishOn, days), days });
  return { finishOn, best: later(best), worst: later(worst), runs };
}
