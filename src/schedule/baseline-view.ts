import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import type { KeptPlan } from './baseline-reader.ts';
import type { Slip } from './baseline-slips.ts';
import { count } from './durations.ts';
import { type FinishEstimate, weeklyEstimates } from './finish-chart.ts';

/** How many days later or sooner, in words. */
export function laterWords(days: number | null): string {
  if (days === null) return '';
  return days === 0 ? 'on the day' : `${count(Math.abs(days), 'day')} ${days > 0 ? 'later' : 'sooner'}`;
}

/** A number of days with its sign. */
function signed(days: number): string {
  return days === 0 ? '0' : `${days > 0 ? '+' : '−'}${Math.abs(days)}`;
}

/** A line of a kept plan as its page shows it. */
export function slipRow(slip: Slip, today: Day) {
  const { label, href, plannedOn, nowOn, state, days, workingDays, wasCritical, critical } = slip;
  const now = nowOn === null ? '' : dayWords(nowOn, today);
  return {
    label,
    href,
    planned: dayWords(plannedOn, today),
    now: state === 'gone' ? 'gone' : state === 'done' ? `since ${now || 'then'}` : now,
    later: laterWords(days),
    working: workingDays === null ? '' : signed(workingDays),
    isLater: state === 'open' && (days ?? 0) > 0,
    drives: critical,
    turned:
      wasCritical === critical || state !== 'open'
        ? ''
        : critical
          ? 'now drives the finish'
          : 'drove the finish then',
  };
}

/** A kept plan in a list: its finish beside that of now. */
export function planRow(plan: KeptPlan, finishOn: Day | null, today: Day) {
  return {
    id: plan.id,
    href: `/schedule/baselines/${plan.id}`,
    name: plan.name,
    note: plan.note,
    keptOn: dayWords(plan.day, today),
    keptBy: plan.keptBy ?? '',
    finish: dayWords(plan.finishOn),
    at80: plan.at80On ? dayWords(plan.at80On) : '',
    later: laterWords(finishOn === null ? null : daysBetween(plan.finishOn, finishOn)),
  };
}

/** The estimates of the weeks, newest first, each with how it moved since the week before. */
export function estimateRows(estimates: readonly FinishEstimate[], today: Day) {
  const weekly = weeklyEstimates(estimates);
  return weekly
    .map(({ day, finishOn, at80On }, at) => {
      const before = weekly[at - 1];
      const moved = before ? daysBetween(before.finishOn, finishOn) : null;
      return {
        day: dayWords(day, today),
        finish: dayWords(finishOn),
        at80: at80On ? dayWords(at80On) : '',
        moved: moved === null ? '' : signed(moved),
      };
    })
    .reverse();
}
