import { NotComputable } from '../platform/not-computable.ts';
import {
  type ComparisonAnswer,
  comparison,
  type MeanWithLimits,
  meansRunsNeeded,
  meanWithLimits,
} from '../specs/index.ts';
import { chanceWords, countWords, figure, placesFor, pWords, withUnit } from './trial-figures.ts';
import type { Finding, Side, TrialData } from './trial-finding.ts';
import { areLevels } from './trial-kinds.ts';
import { against, moreWords } from './trial-more.ts';

/** Below this, one stray value decides. Common practice, no source. */
const FEW = 5;
/** Below this, an interval by drawing again from the values is clearly too narrow. Common practice, no source. */
const FEW_DRAWN = 10;

/**
 * What measurements before and after a change say: means, difference with its 95 % interval and p-value, and in words
 * what so few values do and do not show.
 *
 * Source: Welch's t, and levels by energy, as `comparison` of src/specs has them.
 */
export function measuredFinding(data: TrialData): Finding {
  const { before, after, unit } = data;
  const levels = isLevel(data);
  const sides = [sideOf('before', before, levels), sideOf('after', after, levels)].filter(
    (side) => side !== null,
  );
  const answer = compare(before, after, levels);
  if (typeof answer !== 'string') return compared(data, answer, sides);
  const spread = Math.max(0, ...sides.map(({ deviation }) => deviation ?? 0));
  const places = placesFor(spread);
  const write = (value: number) => withUnit(figure(value, places), unit);
  return {
    sides,
    difference: null,
    pValue: null,
    shown: null,
    unit,
    rows: sides.map(({ name, value, dots }) => ({
      label: `Mean ${name}`,
      value: write(value),
      hint: countWords(dots.length, 'value'),
    })),
    shows: answer,
    doesNot:
      before.length > 0 && after.length > 0
        ? 'Whether chance alone would make the difference can’t be told from these values.'
        : '',
    more: '',
    source: levels ? 'means by energy, as for sound levels' : 'arithmetic means',
    write,
  };
}

const isLevel = ({ kind, unit }: Pick<TrialData, 'kind' | 'unit'>) => kind === 'level' || areLevels(unit);

type MeasuredSide = Side & Pick<MeanWithLimits, 'deviation'>;

function sideOf(name: Side['name'], values: readonly number[], levels: boolean): MeasuredSide | null {
  if (values.length === 0) return null;
  const { mean, deviation, interval95 } = meanWithLimits(values, levels);
  // equal values: the instrument reads no finer, which is no certainty
  return { name, value: mean, deviation, interval: deviation ? interval95 : null, dots: values };
}

/** The comparison, or why there is none. */
function compare(
  before: readonly number[],
  after: readonly number[],
  levels: boolean,
): ComparisonAnswer | string {
  if (before.length === 0) return 'Measured after only: there is nothing to compare with.';
  if (after.length === 0) return 'Measured before only: the values after the change are still to come.';
  if (before.length < 2 || after.length < 2) {
    return 'One value has no spread: measure at least twice, before and after, to tell a change from chance.';
  }
  try {
    return comparison({ before: [...before], after: [...after], levels });
  } catch (fault) {
    if (!(fault instanceof NotComputable)) throw fault;
    return levels && /too far/.test(fault.message)
      ? 'The levels before and after lie too far apart to be compared.'
      : 'The values before are all equal, and so are those after: the instrument reads no finer, or one reading was copied.';
  }
}

function compared(data: TrialData, answer: ComparisonAnswer, sides: MeasuredSide[]): Finding {
  const { before, after, unit, worthwhile } = data;
  const { difference, pValue, interval95 } = answer;
  const { low, high } = interval95;
  const half = (high - low) / 2;
  const places = placesFor(half);
  const short = (value: number) => figure(value, places);
  const write = (value: number) => withUnit(short(value), unit);
  const shown = (low > 0 || high < 0) && pValue < 0.05;
  return {
    sides,
    difference: { kind: 'difference', value: difference, low, high, unit },
    pValue,
    shown,
    unit,
    rows: [
      { label: 'Mean before', value: write(answer.beforeMean), hint: countWords(before.length, 'value') },
      { label: 'Mean after', value: write(answer.afterMean), hint: countWords(after.length, 'value') },
      {
        label: 'Difference',
        value: write(difference),
        hint: `after minus before; 95 % interval ${short(low)} to ${short(high)}`,
      },
      {
        label: 'p-value',
        value: pWords(pValue),
        hint: `two-sided, ${figure(answer.degreesOfFreedom, 1)} degrees of freedom`,
      },
    ],
    ...sentences(data, answer, { shown, half, short, write }),
    more: moreNeeded(data, answer, sides, { shown, short, write, worthwhile }),
    source: answer.source,
    write,
  };
}

interface Writing {
  shown: boolean;
  short(value: number): string;
  write(value: number): string;
}

function sentences(
  { before, after, ...data }: TrialData,
  { difference, pValue, interval95: { low, high } }: ComparisonAnswer,
  { shown, half, short, write }: Writing & { half: number },
): Pick<Finding, 'shows' | 'doesNot'> {
  const numbers =
    before.length === after.length
      ? `${before.length} and ${after.length}`
      : `${before.length} before and ${after.length} after`;
  const direction = difference > 0 ? 'higher' : 'lower';
  const [near, far] = [Math.abs(low), Math.abs(high)].sort((a, b) => a - b) as [number, number];
  const least = Math.min(before.length, after.length);
  const few = [
    least < FEW
      ? ` With fewer than ${FEW} values a side, a single stray one decides: measure more often where you can.`
      : '',
    isLevel(data) && least < FEW_DRAWN
      ? ` Drawn again from fewer than ${FEW_DRAWN} levels, the interval comes out too narrow.`
      : '',
  ].join('');
  const chance = chanceWords(pValue);
  if (shown) {
    return {
      shows: `After is ${direction} by ${write(Math.abs(difference))}: between ${short(near)} and ${write(far)}, with 95 % confidence. ${chance}`,
      doesNot: `${numbers} values do not show whether it holds on another day, in other hands or at another temperature, nor how bad the rarest case is.${few}`,
    };
  }
  const apart = low > 0 || high < 0 || pValue < 0.05;
  return {
    shows: apart
      ? `After is ${direction} by ${write(Math.abs(difference))} as far as these values go, but the test and the interval do not agree: take it as not shown. ${chance}`
      : `These values show no change: they fit anything from ${short(Math.abs(low))} lower to ${write(Math.abs(high))} higher. ${chance}`,
    doesNot: `${numbers} values do not show that nothing changed: a change below about ${write(half)} cannot be seen with so few.${few}`,
  };
}

function moreNeeded(
  { before, after }: TrialData,
  { difference, interval95 }: ComparisonAnswer,
  sides: MeasuredSide[],
  { shown, write, worthwhile }: Writing & { worthwhile: number | null },
): string {
  const looked = worthwhile ?? Math.abs(difference);
  const [beforeDeviation = 0, afterDeviation = 0] = sides.map(({ deviation }) => deviation ?? 0);
  const planned = { difference: looked, beforeDeviation, afterDeviation };
  return moreWords({
    before: before.length,
    after: after.length,
    shown,
    difference: looked > 0 ? write(looked) : null,
    named: worthwhile !== null,
    ...against(worthwhile, interval95.low, interval95.high),
    needed: (chance) => meansRunsNeeded(planned, chance),
    neededAfter: (chance) => meansRunsNeeded(planned, chance, before.length),
    amount: (runs, more) =>
      more ? countWords(runs, 'more value', 'more values') : countWords(runs, 'value'),
  });
}
