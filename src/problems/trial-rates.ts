import {
  type Counted,
  type RateComparison,
  rateComparison,
  rateDifferenceInterval,
  rateInterval,
  ratesRunsAfter,
  ratesRunsNeeded,
} from '../specs/index.ts';
import { chanceWords, countWords, pWords, threeFigures, twoFigures } from './trial-figures.ts';
import type { Finding, Side, TrialData } from './trial-finding.ts';
import { against, moreWords } from './trial-more.ts';

/** Rates are told in so many runs, so that they are numbers one can picture. */
export const IN_RUNS = 100;
/** Beyond so many times the runs there are, nobody will go on counting. */
const MOST_TIMES = 1000;

const total = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0);

/** A side that was counted, or null: a count without the runs it was taken in says nothing. */
const countedOf = (values: readonly number[], runs: number | null): Counted | null =>
  values.length > 0 && runs !== null && runs > 0 ? { count: total(values), runs } : null;

export const rateUnit = ({ runsUnit }: Pick<TrialData, 'runsUnit'>) => `in ${IN_RUNS} ${runsUnit || 'runs'}`;

function sideOf(name: Side['name'], counted: Counted | null): Side | null {
  if (!counted) return null;
  const { low, high } = rateInterval(counted);
  return {
    name,
    value: (IN_RUNS * counted.count) / counted.runs,
    interval: { low: IN_RUNS * low, high: IN_RUNS * high },
    dots: [],
  };
}

/**
 * What failures counted in so many runs say, before and after a change.
 *
 * Source: the exact conditional test of two rates, as `rateComparison` of src/specs has it.
 */
export function rateFinding(data: TrialData): Finding {
  const runsWord = data.runsUnit || 'runs';
  const unit = rateUnit(data);
  const before = countedOf(data.before, data.runsBefore);
  const after = countedOf(data.after, data.runsAfter);
  const sides = [sideOf('before', before), sideOf('after', after)].filter((side) => side !== null);
  const write = (value: number) => `${threeFigures(value)} ${unit}`;
  const rows = [
    { name: 'before', counted: before, side: sides.find(({ name }) => name === 'before') },
    { name: 'after', counted: after, side: sides.find(({ name }) => name === 'after') },
  ].flatMap(({ name, counted, side }) =>
    counted && side
      ? [
          {
            label: `Failures ${name}`,
            value: `${counted.count.toLocaleString('en')} in ${threeFigures(counted.runs)} ${runsWord}`,
            hint: `${write(side.value)}; 95 % interval ${threeFigures(side.interval?.low ?? 0)} to ${threeFigures(side.interval?.high ?? 0)}`,
          },
        ]
      : [],
  );
  const common = { sides, unit, write };
  if (!before || !after) {
    return {
      ...common,
      difference: null,
      pValue: null,
      shown: null,
      rows,
      shows: after
        ? 'Counted after only: there is nothing to compare with.'
        : 'Counted before only: the runs after the change are still to come.',
      doesNot: after ? noneSeen(after, write) : '',
      more: '',
      source: 'exact intervals of a rate by Garwood (1936)',
    };
  }
  const answer = rateComparison(before, after);
  const { low, high } = answer.interval95;
  const shown = answer.pValue < 0.05 && ((low ?? 0) > 1 || (high ?? Number.POSITIVE_INFINITY) < 1);
  return {
    ...common,
    difference: { kind: 'ratio', value: answer.ratio, low, high, unit: 'times as often' },
    pValue: answer.pValue,
    shown,
    rows: [
      ...rows,
      {
        label: 'After over before',
        value: answer.ratio === null ? 'no figure' : `${twoFigures(answer.ratio)} times`,
        hint:
          low === null
            ? 'nothing was counted on either side'
            : `95 % interval ${twoFigures(low)} to ${high === null ? 'any number of' : twoFigures(high)} times`,
      },
      { label: 'p-value', value: pWords(answer.pValue), hint: 'two-sided, exact test of two rates' },
    ],
    ...sentences(answer, { before, after, shown, write }),
    more: moreNeeded(data, answer, { before, after, shown, write }),
    source: `${answer.source}; intervals of the rates by Garwood (1936)`,
  };
}

interface Told {
  before: Counted;
  after: Counted;
  shown: boolean;
  write(value: number): string;
}

/** No failure seen is not none to come. */
function noneSeen(after: Counted, write: Told['write']): string {
  return after.count === 0
    ? `None seen does not show that it never fails: a rate of up to ${write(IN_RUNS * rateInterval(after).high)} fits as well.`
    : '';
}

function sentences(
  answer: RateComparison,
  { before, after, shown, write }: Told,
): Pick<Finding, 'shows' | 'doesNot'> {
  const { ratio, pValue } = answer;
  const { low, high } = answer.interval95;
  const chance = chanceWords(pValue).replace('values', 'counts');
  const counts = `${countWords(before.count, 'failure')} before and ${countWords(after.count, 'failure')} after`;
  const never = noneSeen(after, write);
  if (low === null) {
    return {
      shows: 'No failure before and none after: there is nothing to compare.',
      doesNot: never,
    };
  }
  const range =
    high === null
      ? `at least ${twoFigures(low)} times`
      : `between ${twoFigures(low)} and ${twoFigures(high)} times`;
  if (shown) {
    const word = ratio === null || ratio > 1 ? 'more' : 'less';
    return {
      shows: `Failures come ${word} often after: ${ratio === null ? '' : `${twoFigures(ratio)} times as often, `}${range}, with 95 % confidence. ${chance}`,
      doesNot:
        `${counts} do not show whether it holds in other hands, when warm or when worn. ${never}`.trim(),
    };
  }
  const apart = low > 1 || (high !== null && high < 1) || pValue < 0.05;
  return {
    shows: apart
      ? `Failures came ${ratio === null || ratio > 1 ? 'more' : 'less'} often after, but the test and the interval do not agree: take it as not shown. ${chance}`
      : `These counts show no change: they fit anything from ${twoFigures(low)} to ${high === null ? 'any number of' : twoFigures(high)} times as often. ${chance}`,
    doesNot:
      `${counts} do not show that nothing changed: what matters is how many failures were counted, not how many runs. ${never}`.trim(),
  };
}

function moreNeeded(
  { worthwhile, runsUnit }: TrialData,
  { beforeRate, afterRate }: RateComparison,
  { before, after, shown, write }: Told,
): string {
  const named = worthwhile === null ? null : worthwhile / IN_RUNS;
  const up = afterRate > beforeRate || (named !== null && beforeRate < named);
  const wanted = named === null ? afterRate : Math.max(0, up ? beforeRate + named : beforeRate - named);
  const looked = Math.abs(wanted - beforeRate);
  const { low, high } = rateDifferenceInterval(before, after);
  const most = MOST_TIMES * Math.max(before.runs, after.runs);
  return moreWords({
    before: before.runs,
    after: after.runs,
    shown,
    difference: looked > 0 ? write(IN_RUNS * looked) : null,
    named: named !== null,
    ...against(named, low, high),
    needed: (chance) => {
      const runs = ratesRunsNeeded(beforeRate, wanted, chance);
      return runs === null || runs > most ? null : runs;
    },
    neededAfter: (chance) => ratesRunsAfter(beforeRate, before.runs, wanted, chance),
    amount: (runs, more) => `${twoFigures(Math.min(runs, most))}${more ? ' more' : ''} ${runsUnit || 'runs'}`,
  });
}
