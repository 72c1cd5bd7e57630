import { type Day, dayWords } from '../platform/day.ts';
import type { JobKind } from './facts.ts';
import type { JobTime } from './times.ts';

/** By when a job is needed, and why, in sentences. */
export interface TimeWords {
  /** what the day is called: 'Post by' for makers, 'Done by' for others */
  label: string;
  needByOn: Day | null;
  /** why that day, or why there is none */
  why: string;
  critical: boolean;
  floatDays: number | null;
  expected: string;
}

/** Words for what the schedule says of a job that goes on. */
export function timeWords(kind: JobKind, time: JobTime | null, today: Day): TimeWords {
  const label = kind === 'fabricate' ? 'Post by' : kind === 'purchase' ? 'Here by' : 'Done by';
  const expected = time?.likelyOn ? `expected ${dayWords(time.likelyOn, today)}` : '';
  const known = {
    label,
    needByOn: time?.needByOn ?? null,
    critical: time?.critical ?? false,
    floatDays: time?.floatDays ?? null,
    expected,
  };
  if (!time?.needByOn)
    return { ...known, why: 'The schedule has no day for it: nothing in the build waits for it yet.' };
  if (time.critical)
    return { ...known, why: 'It drives the finish: each day later moves the end of the build.' };
  if (time.floatDays === null) return { ...known, why: '' };
  const count = `${time.floatDays} working ${time.floatDays === 1 ? 'day' : 'days'}`;
  return { ...known, why: `It can be ${count} later than expected without moving the end of the build.` };
}
