import { partPath } from '../parts/index.ts';
import { count } from './durations.ts';
import type { LeadAct, LeadStep } from './lead-steps.ts';
import type { PlannedStep } from './lead-week.ts';
import type { NextStep } from './outlook.ts';
import type { Schedule } from './schedule.ts';

/** What each act is called where it stands beside its step. */
export const ACT_WORDS: Readonly<Record<LeadAct, string>> = {
  draw: 'draw',
  release: 'release',
  offer: 'offer',
  order: 'order',
  inspect: 'inspect',
  fit: 'fit up',
  try: 'try',
  do: 'do',
  answer: 'answer',
  decide: 'decide',
};

/** The word beside a step's label; none where the label begins with it. */
export function actBeside(act: LeadAct, label: string): string {
  return act === 'do' || label.toLowerCase().startsWith(act) ? '' : ACT_WORDS[act];
}

/** A step of the lead's as pages list it. */
export interface NextRow {
  href: string;
  label: string;
  act: string;
  hours: string;
  hoursBecause: string;
  because: string;
  reason: string;
  critical: boolean;
  floatDays: number;
  saved50: string;
  saved80: string;
  perHour: string;
  /** whether it saves anything at all */
  saves: boolean;
}

/** Where a step is done: the route card, the part, or the form that opens its job. */
export function leadStepHref(
  { act, claimId, jobId, partId, decisionId }: LeadStep,
  { facts }: Schedule,
): string {
  if (decisionId !== null) return `/decisions/${decisionId}`;
  if (act === 'answer') return `/jobs/${jobId}#queries`;
  if (act === 'inspect' && claimId !== null) return '/receiving';
  if (jobId !== null) return `/jobs/${jobId}`;
  const number = partId === null ? null : (facts.parts.get(partId)?.number ?? null);
  if (number === null) return '/schedule';
  return act === 'draw' || act === 'release'
    ? partPath(number)
    : `/jobs/new?part=${encodeURIComponent(number)}`;
}

function tenth(value: number): string {
  return (Math.round(value * 10) / 10).toString();
}

/** Days of finish by the hour: to a tenth, below that to a hundredth. */
export function perHourText(days: number): string {
  return days >= 0.1 || days < 0.005 ? tenth(Math.max(0, days)) : days.toFixed(2);
}

/** Days of finish below this are told as none. */
const LEAST_TOLD = 0.05;

function daysOf(days: number): string {
  const text = tenth(days);
  return `${text} ${text === '1' ? 'day' : 'days'}`;
}

/** Why a step stands where it does: what it saves, what waits for it, who sits idle. */
export function reasonOfNext(step: NextStep, { facts }: Schedule): string {
  const { saved50, saved80, savedMean, waiting, nextFitUp, idle, act, floatDays } = step;
  const sentences: string[] = [];
  if (saved50 >= LEAST_TOLD || saved80 >= LEAST_TOLD) {
    const days =
      tenth(saved50) === tenth(saved80)
        ? daysOf(saved80)
        : `${daysOf(Math.max(0, saved50))} in the middle and ${daysOf(Math.max(0, saved80))} at 80 of 100`;
    sentences.push(`Done today rather than in a week, the finish comes nearer by ${days}`);
  } else if (savedMean >= LEAST_TOLD) {
    sentences.push(
      `A week of waiting moves the finish in few runs, by ${tenth(savedMean)} days on the average`,
    );
  } else {
    sentences.push(`It can wait a week: ${count(floatDays, 'working day')} of float`);
  }
  if (nextFitUp !== null) {
    sentences.push(
      waiting === 1
        ? `${nextFitUp} waits for it`
        : `${nextFitUp} and ${waiting - 1} more ${waiting === 2 ? 'step waits' : 'steps wait'} for it`,
    );
  }
  if (idle.length > 0) {
    const names = idle.map((id) => facts.people.get(id)?.name ?? 'somebody');
    const told =
      names.length > 3 ? `${names.slice(0, 2).join(', ')} and ${names.length - 2} more` : names.join(', ');
    sentences.push(
      act === 'answer'
        ? `${told} can’t go on without it`
        : `${told} ${names.length === 1 ? 'has' : 'have'} the tools and nothing in hand`,
    );
  }
  return `${sentences.join('. ')}.`;
}

export function nextRow(step: NextStep, schedule: Schedule): NextRow {
  const { label, act, hours, hoursBecause, because, critical, floatDays, saved50, saved80, perHour } = step;
  return {
    href: leadStepHref(step, schedule),
    label,
    act: actBeside(act, label),
    hours: tenth(hours),
    hoursBecause,
    because,
    reason: reasonOfNext(step, schedule),
    critical,
    floatDays,
    saved50: tenth(saved50),
    saved80: tenth(saved80),
    perHour: perHourText(perHour),
    saves: saved50 >= LEAST_TOLD || saved80 >= LEAST_TOLD,
  };
}

/** The lead's week in rows, with the hours it takes. */
export function weekRows(plan: readonly PlannedStep[], schedule: Schedule) {
  return plan.map(({ step, hours, isWhole }) => ({
    ...nextRow(step, schedule),
    hours: tenth(hours),
    note: isWhole ? '' : `begun: of ${tenth(step.hours)} h`,
  }));
}
