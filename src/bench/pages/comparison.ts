import type { ComparisonAnswer, ComparisonQuestion } from '../../specs/pure/index.ts';
import type { BenchPage } from '../calculator.ts';
import { figure } from '../figures.ts';
import { rangeDrawing } from '../range-drawing.ts';

const MOST = 10_000;

/** Did the change do anything? Measurements before and after it. */
export const comparisonPage: BenchPage<ComparisonQuestion, ComparisonAnswer> = {
  method: 'post',
  example: {
    before: '81,2 80,4 82,0 81,7 80,9 81,5',
    after: '78,1 77,6 79,0 78,4 77,9',
    unit: 'dB',
    levels: 'yes',
  },
  read(typed) {
    typed.text('unit', 12);
    const [before, after] = (['before', 'after'] as const).map((name) => {
      const values = typed.numbers(name, MOST);
      if (values.length === 0) typed.wrong(name, 'Paste at least two values.');
      return values;
    });
    return { request: { before, after, ...(typed.ticked('levels') ? { levels: true } : {}) } };
  },
  blame: (sentence) =>
    sentence.startsWith('before:') ? 'before' : sentence.startsWith('after:') ? 'after' : '_form',
  show({ before, after, levels }, reply, values) {
    const unit = typeof values.unit === 'string' ? values.unit.trim() : '';
    const { difference, interval95: interval, pValue } = reply;
    const least = Math.min(
      ...[interval.low, interval.high, difference].map(Math.abs).filter((size) => size > 0),
    );
    // four figures that mean something, whatever the unit
    const places = Math.min(8, Math.max(1, 3 - Math.floor(Math.log10(least || 1))));
    const write = (value: number) => figure(value, places);
    const apart = interval.low > 0 || interval.high < 0;
    const direction = difference > 0 ? 'higher' : 'lower';
    return {
      unit,
      sentence: apart
        ? `After is ${direction} by ${write(Math.abs(difference))}${unit ? ` ${unit}` : ''}; chance alone would seldom do that.`
        : 'The difference is no larger than chance alone makes it: measure more, or nothing has changed.',
      rows: [
        { label: 'Mean before', value: write(reply.beforeMean), hint: `${before.length} values` },
        { label: 'Mean after', value: write(reply.afterMean), hint: `${after.length} values` },
        { label: 'Difference, after minus before', value: write(difference) },
        { label: '95 % interval', value: `${write(interval.low)} to ${write(interval.high)}` },
        { label: 'Standard error', value: write(reply.standardError) },
      ],
      freedom: figure(reply.degreesOfFreedom, 2),
      chance: pValue < 0.0001 ? 'under 0.0001' : figure(pValue, 4),
      levels,
      drawing: rangeDrawing(
        [
          {
            name: 'Difference, 95 % interval',
            min: interval.low,
            max: interval.high,
            line: 'thick',
            mark: difference,
          },
        ],
        unit,
        write,
      ),
    };
  },
};
