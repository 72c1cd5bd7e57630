import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import {
  ACT_WORDS,
  actBeside,
  daysMoved,
  type LeadStep,
  leadStepHref,
  type Outlook,
  perHourText,
  reasonOfNext,
  type Schedule,
  type Spread,
} from '../schedule/index.ts';

/** A possible next step of the lead, as Today shows it. */
export interface NextLine {
  label: string;
  href: string;
  act: string;
  reason: string;
  /** what stands at the end of its line, and what that is */
  figure: string;
  figureIs: string;
  critical: boolean;
  /** what the duration of the step rests on */
  because: string;
}

/** By what the simulation says they save. @param most  so many are shown */
export function simulatedLines({ next, schedule }: Outlook, most: number): NextLine[] {
  return next.slice(0, most).map((step) => ({
    label: step.label,
    href: leadStepHref(step, schedule),
    act: actBeside(step.act, step.label),
    reason: reasonOfNext(step, schedule),
    figure: `${perHourText(step.perHour)} d/h`,
    figureIs: `days of finish saved by hour of your time, ${step.hours} h: ${step.hoursBecause}`,
    critical: step.critical,
    because: step.because,
  }));
}

/** By float, until there is a simulation. @param most  so many are shown */
export function plannedLines(schedule: Schedule, steps: readonly LeadStep[], most: number): NextLine[] {
  return steps.slice(0, most).map((step) => ({
    label: step.label,
    href: leadStepHref(step, schedule),
    act: actBeside(step.act, step.label),
    reason:
      step.nextFitUp === null
        ? 'Nothing else waits for it.'
        : `${step.nextFitUp} waits for it${step.waiting > 1 ? `, and ${step.waiting - 1} more` : ''}.`,
    figure: `${step.floatDays} d float`,
    figureIs: 'working days it can wait before the finish moves',
    critical: step.critical,
    because: step.because,
  }));
}

/** The finish and how it moved, in a sentence. */
export function finishSentence(finishOn: Day | null, weekAgo: Day | null, today: Day): string {
  if (finishOn === null) return 'Nothing is left to do, or nothing is planned yet.';
  const on = `Finish on ${dayWords(finishOn, today)}`;
  if (weekAgo === null) return `${on}. No finish was computed a week ago to compare with.`;
  const days = daysBetween(weekAgo, finishOn);
  if (days === 0) return `${on}, as a week ago.`;
  return `${on}, ${Math.abs(days)} ${Math.abs(days) === 1 ? 'day' : 'days'} ${days > 0 ? 'later' : 'sooner'} than a week ago.`;
}

/** How a day moved since a week ago, '3 days later than a week ago'; '' where there was none then. */
export function movedSinceAWeek(weekAgo: Day | null, day: Day): string {
  if (weekAgo === null) return '';
  return weekAgo === day ? 'as a week ago' : `${daysMoved(weekAgo, day)} than a week ago`;
}

/** The spread over hands, with shares for the drawn bars and the lead's part in words. */
export function spreadLines(spread: Spread): { label: string; n: number; share: number; note: string }[] {
  const lead = spread.lead.map(({ act, n }) => `${n} to ${ACT_WORDS[act]}`).join(', ');
  const label: Record<string, string> = {
    lead: 'wait for lead and crew',
    makers: 'with makers',
    'the post': 'in the post',
    suppliers: 'with suppliers',
  };
  return spread.parts.map(({ with: hand, n }) => ({
    label: label[hand] ?? hand,
    n,
    share: spread.total ? n / spread.total : 0,
    note: hand === 'lead' ? lead : '',
  }));
}
