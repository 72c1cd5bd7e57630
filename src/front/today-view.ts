import { partPath } from '../parts/index.ts';
import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import { reasonOf, type Spread, type StartableStep } from '../schedule/index.ts';

const VERBS: Record<NonNullable<StartableStep['act']>, string> = {
  draw: 'draw',
  release: 'release',
  offer: 'offer',
  order: 'order',
  inspect: 'inspect',
  fit: 'fit up',
  try: 'try',
  do: 'do',
};

/** A possible next step of the lead, as Today shows it. */
export interface NextLine {
  label: string;
  href: string;
  verb: string;
  reason: string;
  floatDays: number;
  critical: boolean;
  /** what the duration of the step rests on */
  because: string;
}

/** Where a step is done: the route card, the part, or the form that opens its job. */
function hrefOf({ step, act }: StartableStep, numberOf: (partId: number) => string | null): string {
  if (act === 'inspect' && step.claimId !== null) return '/receiving';
  if (step.jobId !== null) return `/jobs/${step.jobId}`;
  const number = step.partId === null ? null : numberOf(step.partId);
  if (number === null) return '/schedule';
  return act === 'draw' || act === 'release'
    ? partPath(number)
    : `/jobs/new?part=${encodeURIComponent(number)}`;
}

export function nextLines(
  steps: readonly StartableStep[],
  numberOf: (partId: number) => string | null,
): NextLine[] {
  return steps.map((one) => ({
    label: one.step.label,
    href: hrefOf(one, numberOf),
    verb: VERBS[one.act ?? 'do'],
    reason: reasonOf(one),
    floatDays: one.step.floatDays,
    critical: one.step.critical,
    because: one.step.because,
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

/** The spread over hands, with shares for the drawn bars and the lead's part in words. */
export function spreadLines(spread: Spread): { label: string; n: number; share: number; note: string }[] {
  const lead = spread.lead.map(({ act, n }) => `${n} to ${VERBS[act]}`).join(', ');
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
