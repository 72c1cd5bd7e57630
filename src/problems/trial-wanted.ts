import { plainNumber } from './trial-figures.ts';
import type { Finding, TrialData } from './trial-finding.ts';

/** How the values after lie to what was wanted: the mean, and with its interval or without. */
export type Meets =
  | 'within'
  | 'reaches out'
  | 'outside'
  | 'reaches in'
  | 'in, not certain'
  | 'out, not certain';

export interface WantedWords {
  meets: Meets | null;
  /** the limits: 'at most 2.5 Nm' */
  limits: string;
  sentence: string;
}

const NOUN = { 'yes-no': 'share', failures: 'rate' } as const;
export const noun = ({ kind }: Pick<TrialData, 'kind'>) =>
  kind === 'yes-no' || kind === 'failures' ? NOUN[kind] : 'mean';

/** A mean that lies off a limit by less than this share of it lies on it: sums leave as much behind. */
const ROUNDING = 1e-12;

/** Limits in words, or '' for none. */
export function limitsWords(min: number | null, max: number | null, unit: string): string {
  const write = (value: number) => plainNumber(value).replace('-', '−');
  const end = unit ? ` ${unit}` : '';
  if (min !== null && max !== null) return `from ${write(min)} to ${write(max)}${end}`;
  if (min !== null) return `at least ${write(min)}${end}`;
  return max === null ? '' : `at most ${write(max)}${end}`;
}

/**
 * Whether the values after the change meet what was wanted of their mean, share or rate, and with what certainty.
 *
 * @param finding  null where nothing was measured yet
 * @param unit     of the limits
 * @returns        null where nothing is wanted in numbers
 */
export function wantedWords(data: TrialData, finding: Finding | null, unit: string): WantedWords | null {
  const { wantedMin, wantedMax } = data;
  const limits = limitsWords(wantedMin, wantedMax, unit);
  if (limits === '') return null;
  const after = finding?.sides.find(({ name }) => name === 'after');
  if (!finding || !after) return { meets: null, limits, sentence: `Wanted: a ${noun(data)} of ${limits}.` };
  const [min, max] = [wantedMin ?? Number.NEGATIVE_INFINITY, wantedMax ?? Number.POSITIVE_INFINITY];
  const off = (limit: number | null) => ROUNDING * Math.abs(limit ?? 0);
  const inside = (value: number) => value >= min - off(wantedMin) && value <= max + off(wantedMax);
  const { value, interval } = after;
  // so near that it is written like the limit itself
  const isNear = [wantedMin, wantedMax].some(
    (near) => near !== null && finding.write(near) === finding.write(value),
  );
  const outside = isNear ? 'lies just outside' : 'lies outside';
  const shown = `The ${noun(data)} after, ${finding.write(value)},`;
  const wanted = `Wanted: ${limits}.`;
  if (!interval) {
    return inside(value)
      ? {
          meets: 'in, not certain',
          limits,
          sentence: `${wanted} ${shown} lies within, but with no spread to be seen it can’t be told how surely.`,
        }
      : {
          meets: 'out, not certain',
          limits,
          sentence: `${wanted} ${shown} ${outside}, but with no spread to be seen it can’t be told how surely.`,
        };
  }
  const range = `${finding.write(interval.low)} to ${finding.write(interval.high)}`;
  if (inside(value)) {
    return inside(interval.low) && inside(interval.high)
      ? {
          meets: 'within',
          limits,
          sentence: `${wanted} ${shown} lies within, and so does its whole 95 % interval, ${range}: the numbers meet it.`,
        }
      : {
          meets: 'reaches out',
          limits,
          sentence: `${wanted} ${shown} lies within, but its 95 % interval, ${range}, reaches beyond: met as far as was seen, not for certain.`,
        };
  }
  return interval.high < min || interval.low > max
    ? {
        meets: 'outside',
        limits,
        sentence: `${wanted} ${shown} ${outside}, and so does its whole 95 % interval, ${range}: the numbers do not meet it.`,
      }
    : {
        meets: 'reaches in',
        limits,
        sentence: `${wanted} ${shown} ${outside}, but its 95 % interval, ${range}, reaches in: not met as far as was seen, not for certain.`,
      };
}

/** Where the word passed or not passed and the numbers disagree: a sentence; '' where they don't. */
export function disagreement(passed: boolean | null, wanted: WantedWords | null): string {
  const meets = wanted?.meets;
  if (passed === null || !meets) return '';
  const outside = meets === 'outside' || meets === 'reaches in' || meets === 'out, not certain';
  if (passed && outside) {
    return 'The word is passed, but the values after lie outside what was wanted. It stands: whoever was there decides, on all that was seen. Say below why.';
  }
  return !passed && meets === 'within'
    ? 'The word is not passed, though the values after lie within what was wanted. It stands: whoever was there decides, on all that was seen. Say below why.'
    : '';
}
