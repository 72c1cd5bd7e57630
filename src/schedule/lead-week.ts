import type { BuildFacts } from './build-facts.ts';
import { calendarsOf } from './calendars.ts';
import { LEFT_FOR_DAYS } from './lead-steps.ts';
import type { NextStep } from './outlook.ts';

/** The lead's hours in the seven days from today, days away and closures left out. */
export function hoursThisWeek(facts: BuildFacts): { hours: number; because: string } {
  const calendars = calendarsOf(facts);
  const leads = [...facts.people].filter(([, { role, active }]) => role === 'lead' && active);
  const lead = leads.length === 1 ? leads[0]![0] : null;
  const own = calendars.all[calendars.ofPerson(lead)]!;
  const days = own.workingBefore(LEFT_FOR_DAYS);
  const { perWeek } = calendars.build;
  const hours = Math.round((facts.leadWeeklyHours * days * 10) / perWeek) / 10;
  const whole = `${facts.leadWeeklyHours} h a week by the settings`;
  return {
    hours,
    because: days === perWeek ? whole : `${whole}, ${days} of ${perWeek} working days in the next seven`,
  };
}

/** A step in the plan of a week; begun and not finished where its hours are more than are left. */
export interface PlannedStep {
  step: NextStep;
  hours: number;
  isWhole: boolean;
}

/**
 * What to do in so many hours: what saves most by the hour first, then what has the least float.
 *
 * Steps that save nothing fill the hours left: they still have to be done. One that does not fit is begun if nothing
 * shorter comes after it that saves anything.
 */
export function leadWeek(next: readonly NextStep[], hours: number): { plan: PlannedStep[]; left: number } {
  const saves = next.filter(({ savedMean }) => savedMean > 0);
  const rest = next
    .filter(({ savedMean }) => savedMean <= 0)
    .sort((a, b) => a.floatDays - b.floatDays || a.hours - b.hours);
  const plan: PlannedStep[] = [];
  const tooLong: NextStep[] = [];
  let left = hours;
  for (const step of [...saves, ...rest]) {
    if (step.hours <= left) {
      plan.push({ step, hours: step.hours, isWhole: true });
      left -= step.hours;
    } else tooLong.push(step);
  }
  const begun = tooLong[0];
  if (begun && left >= 0.5) {
    plan.push({ step: begun, hours: left, isWhole: false });
    left = 0;
  }
  return { plan, left: Math.round(left * 100) / 100 };
}
