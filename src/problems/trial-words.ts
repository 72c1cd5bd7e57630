import { NotComputable } from '../platform/not-computable.ts';
import { type ComparisonAnswer, comparison } from '../specs/index.ts';

/** What a trial's values say, in figures and sentences. All figures are texts with a true minus. */
export interface TrialWords {
  /** the comparison itself, for the drawing; null where there is none */
  compared: ComparisonAnswer | null;
  rows: { label: string; value: string; hint: string }[];
  /** what the values show */
  shows: string;
  /** what they don't */
  doesNot: string;
  /** where the figures come from */
  source: string;
  /** decimals that make sense for these values */
  places: number;
}

/** Below this, one stray value decides. Common practice, no source. */
const FEW = 5;

/** Sound levels have their means by energy; the unit says that they are levels. */
export function areLevels(unit: string): boolean {
  return /^dB(\b|\()/.test(unit.trim());
}

/** A number with so many decimals, and a true minus. */
export function figure(value: number, places: number): string {
  const text = value.toFixed(places);
  return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', '−');
}

/** Decimals that show two figures of a spread, eight at most. */
function placesFor(size: number): number {
  return size > 0 ? Math.min(8, Math.max(0, 1 - Math.floor(Math.log10(size)))) : 2;
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
const meanLevel = (levels: readonly number[]) =>
  10 * Math.log10(mean(levels.map((level) => 10 ** (level / 10))));
const spread = (values: readonly number[]) => Math.max(...values) - Math.min(...values);

/**
 * What measurements before and after a change say: means, difference with its 95 % interval and p-value where they can
 * be computed, and in words what so few values do and do not show.
 *
 * @param unit  of the values; dB gives means by energy
 * @returns     null when nothing was measured
 *
 * Source: Welch's t as `comparison` of src/specs has it.
 */
export function trialWords(
  before: readonly number[],
  after: readonly number[],
  unit: string,
): TrialWords | null {
  if (before.length === 0 && after.length === 0) return null;
  const levels = areLevels(unit);
  const withUnit = (text: string) => (unit ? `${text} ${unit}` : text);
  const middle = levels ? meanLevel : mean;
  const answer = compare(before, after, levels);
  if (typeof answer !== 'string') return comparedWords(answer, before, after, unit);
  const places = placesFor(
    Math.max(0, ...[before, after].filter(({ length }) => length > 1).map(spread)) / 2,
  );
  const side = (label: string, values: readonly number[]) =>
    values.length === 0
      ? []
      : [{ label, value: withUnit(figure(middle(values), places)), hint: count(values.length) }];
  return {
    compared: null,
    rows: [...side('Mean before', before), ...side('Mean after', after)],
    shows: answer,
    doesNot:
      before.length > 0 && after.length > 0
        ? 'Whether chance alone would make the difference can’t be told from these values.'
        : '',
    source: levels ? 'means by energy, as for sound levels' : 'arithmetic means',
    places,
  };
}

const count = (n: number) => `${n} ${n === 1 ? 'value' : 'values'}`;

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
    return 'The values before are all equal, and so are those after: the instrument reads no finer, or one reading was copied.';
  }
}

function comparedWords(
  answer: ComparisonAnswer,
  before: readonly number[],
  after: readonly number[],
  unit: string,
): TrialWords {
  const { difference, pValue, interval95 } = answer;
  const { low, high } = interval95;
  const half = (high - low) / 2;
  const places = placesFor(half);
  const write = (value: number) => figure(value, places);
  const withUnit = (text: string) => (unit ? `${text} ${unit}` : text);
  const numbers =
    before.length === after.length
      ? `${before.length} and ${after.length}`
      : `${before.length} before and ${after.length} after`;
  const shown = low > 0 || high < 0;
  const direction = difference > 0 ? 'higher' : 'lower';
  const [near, far] = [Math.abs(low), Math.abs(high)].sort((a, b) => a - b) as [number, number];
  const chance = `If nothing had changed, values this far apart would come about in ${oddsWords(pValue)} trials like this one.`;
  const fits = `${write(Math.abs(low))} lower to ${withUnit(write(high))} higher`;
  const few =
    Math.min(before.length, after.length) < FEW
      ? ` With fewer than ${FEW} values a side, a single stray one decides: measure more often where you can.`
      : '';
  return {
    compared: answer,
    rows: [
      { label: 'Mean before', value: withUnit(write(answer.beforeMean)), hint: count(before.length) },
      { label: 'Mean after', value: withUnit(write(answer.afterMean)), hint: count(after.length) },
      {
        label: 'Difference',
        value: withUnit(write(difference)),
        hint: `after minus before; 95 % interval ${write(low)} to ${write(high)}`,
      },
      {
        label: 'p-value',
        value: pWords(pValue),
        hint: `two-sided, ${figure(answer.degreesOfFreedom, 1)} degrees of freedom`,
      },
    ],
    shows: shown
      ? `After is ${direction} by ${withUnit(write(Math.abs(difference)))}: between ${write(near)} and ${withUnit(write(far))}, with 95 % confidence. ${chance}`
      : `These values show no change: they fit anything from ${fits}. ${chance}`,
    doesNot: shown
      ? `${numbers} values do not show whether it holds on another day, in other hands or at another temperature, nor how bad the rarest case is.${few}`
      : `${numbers} values do not show that nothing changed: a change below about ${withUnit(write(half))} cannot be seen with so few.${few}`,
    source: answer.source,
    places,
  };
}

function pWords(p: number): string {
  if (p < 0.0001) return 'under 0.0001';
  return p < 0.1 ? String(Number(p.toPrecision(2))) : p.toFixed(2);
}

/** A chance as odds that a person can picture: '1 of 250', '34 of 100'. */
function oddsWords(p: number): string {
  if (p < 1e-6) return 'fewer than 1 of 1,000,000';
  if (p >= 0.015) return `${Math.min(99, Math.round(p * 100))} of 100`;
  const one = Number((1 / p).toPrecision(2));
  return `1 of ${one.toLocaleString('en')}`;
}
