import {
  type ShareComparison,
  shareComparison,
  sharesRunsAfter,
  sharesRunsNeeded,
  wilsonInterval,
} from '../specs/index.ts';
import { chanceWords, countWords, figure, plainNumber, pWords } from './trial-figures.ts';
import type { Finding, Side, TrialData } from './trial-finding.ts';
import { against, moreWords } from './trial-more.ts';

const counted = (values: readonly number[]) => ({
  yes: values.reduce((sum, value) => sum + value, 0),
  of: values.length,
});

/** How shares are written: with as many decimals of a percent as so many runs can tell apart. */
function writingOf(before: readonly number[], after: readonly number[]) {
  const runs = Math.max(before.length, after.length);
  const places = runs <= 200 ? 0 : runs <= 2000 ? 1 : 2;
  const hundredths = (share: number) => figure(share * 100, places);
  return {
    hundredths,
    percent: (share: number) => `${hundredths(share)} %`,
    points: (share: number) => pointsWords(hundredths(Math.abs(share))),
  };
}

const pointsWords = (text: string) => `${text} percentage ${text === '1' ? 'point' : 'points'}`;

/** A share that is no more than this, as one can picture it: '31 times of 100', 'once in 2,600'. */
function upTo(share: number): string {
  if (share >= 0.015) return `${Math.ceil(100 * share - 0.5)} times of 100`;
  const power = 10 ** Math.max(0, Math.floor(Math.log10(1 / share)) - 1);
  return `once in ${(Math.floor(1 / share / power) * power).toLocaleString('en')}`;
}

function sideOf(name: Side['name'], values: readonly number[]): Side | null {
  if (values.length === 0) return null;
  const share = counted(values);
  const { low, high } = wilsonInterval(share);
  return {
    name,
    value: (100 * share.yes) / share.of,
    interval: { low: 100 * low, high: 100 * high },
    dots: [],
  };
}

/**
 * What runs that worked or did not say, before and after a change.
 *
 * Source: Fisher's exact test and Newcombe's interval, as `shareComparison` of src/specs has them.
 */
export function shareFinding(data: TrialData): Finding {
  const { before, after } = data;
  const sides = [sideOf('before', before), sideOf('after', after)].filter((side) => side !== null);
  const { hundredths, percent } = writingOf(before, after);
  const rows = sides.map(({ name, value, interval }) => {
    const { yes, of } = counted(data[name]);
    return {
      label: `Yes ${name}`,
      value: `${yes} of ${of}`,
      hint: `${percent(value / 100)}; 95 % interval ${hundredths((interval?.low ?? 0) / 100)} to ${percent((interval?.high ?? 0) / 100)}`,
    };
  });
  const common = { sides, unit: '%', write: (value: number) => percent(value / 100) };
  if (before.length === 0 || after.length === 0) {
    return {
      ...common,
      difference: null,
      pValue: null,
      shown: null,
      rows,
      shows:
        after.length === 0
          ? 'Tried before only: the runs after the change are still to come.'
          : 'Tried after only: there is nothing to compare with.',
      doesNot: after.length > 0 ? notAlways(after, 'after') : '',
      more: '',
      source: 'intervals by Wilson (1927)',
    };
  }
  const answer = shareComparison(counted(before), counted(after));
  const { difference, interval95, pValue } = answer;
  const outside = interval95.low > 0 || interval95.high < 0;
  const shown = outside && pValue < 0.05;
  return {
    ...common,
    difference: {
      kind: 'difference',
      value: 100 * difference,
      low: 100 * interval95.low,
      high: 100 * interval95.high,
      unit: 'percentage points',
    },
    pValue,
    shown,
    rows: [
      ...rows,
      {
        label: 'Difference',
        value: `${hundredths(difference)} points`,
        hint: `percentage points, after minus before; 95 % interval ${hundredths(interval95.low)} to ${hundredths(interval95.high)}`,
      },
      { label: 'p-value', value: pWords(pValue), hint: 'two-sided, Fisher’s exact test' },
    ],
    ...sentences(data, answer, shown),
    more: moreNeeded(data, answer, shown),
    source: `${answer.source}; intervals of the shares by Wilson (1927)`,
  };
}

/** What runs that all came out alike leave open. */
function notAlways(values: readonly number[], when: string): string {
  const { yes, of } = counted(values);
  const { low, high } = wilsonInterval({ yes, of });
  if (yes === of) {
    return `${of} of ${of} ${when} does not show that it always works: it could still fail up to ${upTo(1 - low)}.`;
  }
  return yes === 0
    ? `0 of ${of} ${when} does not show that it never works: it could still do so up to ${upTo(high)}.`
    : '';
}

function sentences(
  { before, after }: TrialData,
  { difference, interval95: { low, high }, pValue }: ShareComparison,
  shown: boolean,
): Pick<Finding, 'shows' | 'doesNot'> {
  const [first, second] = [counted(before), counted(after)];
  const { hundredths, points } = writingOf(before, after);
  const chance = chanceWords(pValue).replace('values', 'shares');
  const came = `${second.yes} of ${second.of} instead of ${first.yes} of ${first.of}`;
  const word = difference > 0 ? 'more' : 'less';
  const often = notAlways(after, 'after');
  const numbers = `${first.of} and ${second.of} runs`;
  if (shown) {
    const [near, far] = [Math.abs(low), Math.abs(high)].sort((a, b) => a - b) as [number, number];
    return {
      shows: `After, yes comes ${word} often: ${came}, between ${hundredths(near)} and ${points(far)} ${word}, with 95 % confidence. ${chance}`,
      doesNot:
        `${numbers} do not show whether it holds on another day, in other hands or when worn. ${often}`.trim(),
    };
  }
  const apart = low > 0 || high < 0 || pValue < 0.05;
  return {
    shows: apart
      ? `Yes came ${word} often after, ${came}, but the exact test and the interval do not agree: take it as not shown. ${chance}`
      : `These runs show no change: ${came} fits anything from ${points(low)} less to ${points(high)} more. ${chance}`,
    doesNot:
      `${numbers} do not show that nothing changed: so few can’t tell apart shares that lie closer. ${often}`.trim(),
  };
}

function moreNeeded(
  { before, after, worthwhile }: TrialData,
  { beforeShare, afterShare, difference, interval95 }: ShareComparison,
  shown: boolean,
): string {
  const named = worthwhile === null ? null : Math.min(1, worthwhile / 100);
  // towards where the share went; where it can't go so far, the other way
  const up = difference > 0 ? beforeShare + (named ?? 0) <= 1 : beforeShare - (named ?? 0) < 0;
  const wanted =
    named === null ? afterShare : Math.min(1, Math.max(0, up ? beforeShare + named : beforeShare - named));
  const looked = Math.abs(wanted - beforeShare);
  const { points } = writingOf(before, after);
  // what the lead typed is said as typed
  const asTyped = named !== null && Math.abs(looked - named) < 1e-9;
  return moreWords({
    before: before.length,
    after: after.length,
    shown,
    difference: looked > 0 ? (asTyped ? pointsWords(plainNumber(worthwhile ?? 0)) : points(looked)) : null,
    named: named !== null,
    ...against(named, interval95.low, interval95.high),
    needed: (chance) => sharesRunsNeeded(beforeShare, wanted, chance),
    neededAfter: (chance) => sharesRunsAfter(beforeShare, before.length, wanted, chance),
    amount: (runs, more) => (more ? countWords(runs, 'more run', 'more runs') : countWords(runs, 'run')),
  });
}
