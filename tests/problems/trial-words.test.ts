import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { trialDrawing } from '../../src/problems/trial-drawing.ts';
import { figure, threeFigures } from '../../src/problems/trial-figures.ts';
import type { TrialData } from '../../src/problems/trial-finding.ts';
import { areLevels } from '../../src/problems/trial-kinds.ts';
import { disagreement } from '../../src/problems/trial-wanted.ts';
import { trialWords } from '../../src/problems/trial-words.ts';

fc.configureGlobal({ seed: 82 });

const EMPTY: TrialData = {
  kind: 'other',
  unit: '',
  before: [],
  after: [],
  noiseBefore: [],
  noiseAfter: [],
  runsBefore: null,
  runsAfter: null,
  runsUnit: '',
  wantedMin: null,
  wantedMax: null,
  worthwhile: null,
};
const told = (data: Partial<TrialData>) => trialWords({ ...EMPTY, ...data });
const finding = (data: Partial<TrialData>) => told(data).finding!;
const answers = (yes: number, of: number) => Array.from({ length: of }, (_, at) => (at < yes ? 1 : 0));

describe('trialWords of measurements', () => {
  it('say the means, the interval and the p-value of Welch’s t', () => {
    // NIST/SEMATECH e-Handbook has the method; the figures are those of the example in src/specs/comparison.ts.
    const words = finding({ before: [3, 4, 1, 2.1], after: [490.2, 340, 433.9], unit: 'N' });
    expect(words.pValue).toBeCloseTo(0.01075, 5);
    expect(words.rows.map(({ value }) => value)).toEqual(['3 N', '421 N', '419 N', '0.011']);
    expect(words.shows).toMatch(/^After is higher by 419 N: between 230 and 607 N, with 95 % confidence\./);
    expect(words.shows).toContain('in 1 of 93 trials like this one');
    expect(words.doesNot).toContain(
      '4 before and 3 after values do not show whether it holds on another day',
    );
    expect(words.doesNot).toContain('fewer than 5 values');
    expect(words.more).toBe(
      'No more are needed to tell that it changed; more only make the interval narrower.',
    );
  });

  it('do not take no proof of a change for a proof of none, and say how many more would settle it', () => {
    const data = { before: [10, 11, 12, 9, 10], after: [10, 12, 9, 11, 11], unit: 'mm' };
    const words = finding(data);
    expect(words.shows).toMatch(
      /^These values show no change: they fit anything from 1\.5 lower to 1\.9 mm higher\./,
    );
    expect(words.doesNot).toMatch(
      /do not show that nothing changed: a change below about 1\.7 mm cannot be seen/,
    );
    expect(words.doesNot).not.toContain('fewer than');
    // deviations 1.14 both, difference 0.2: 510 a side find it 8 times of 10 by Cohen's table (d 0.175)
    const more =
      /^To settle it: (\d+) more values on each side\..* a difference of 0\.2 mm, as it was seen, 8 times of 10/.exec(
        words.more,
      );
    expect(Math.abs(Number(more?.[1]) - 505)).toBeLessThan(6);
    expect(words.more).toContain(
      'If before can’t be measured again, more after alone will not settle it: too many would be needed.',
    );
    expect(words.more).toContain('What was seen may be chance itself');
    // what matters is named: 1.14 is one deviation: 17 a side
    expect(finding({ ...data, worthwhile: 1.14 }).more).toMatch(
      /^To settle it: 12 more values on each side\..*a change of 1\.1 mm, the smallest that would matter, 8 times of 10/,
    );
    expect(finding({ ...data, worthwhile: 3 }).more).toBe(
      'No more are needed: whatever changed is less than the 3.0 mm that would matter.',
    );
    expect(finding({ ...data, worthwhile: 0.001 }).more).toContain(
      'no number of runs that can be asked for will do',
    );
    const same = { before: [10, 11, 12], after: [12, 10, 11] };
    expect(finding(same).more).toContain('No difference was seen');
    const far = { before: [10, 10.1, 9.9, 10], after: [8, 8.1, 7.9, 8], worthwhile: 1 };
    expect(finding(far).more).toContain('it changed by more than the 1.00 that would matter');
    expect(finding({ ...far, worthwhile: 2 }).more).toContain(
      'Whether by as much as the 2.00 that would matter, these do not settle',
    );
  });

  it('compare nothing where there is nothing to compare', () => {
    expect(told({}).finding).toBeNull();
    expect(finding({ before: [1, 2] }).shows).toContain('still to come');
    expect(finding({ after: [2], unit: 'mm' })).toMatchObject({
      rows: [{ label: 'Mean after', value: '2.00 mm' }],
    });
    expect(finding({ before: [1], after: [2, 3] }).shows).toContain('One value has no spread');
    expect(finding({ before: [1, 1], after: [2, 2] }).shows).toContain('all equal');
    expect(finding({ before: [0, 1], after: [9000, 9001], unit: 'dB' }).shows).toContain('too far apart');
  });

  it('take the means of levels by energy', () => {
    expect(['dB', 'dB(A)', 'dBm', 'Nm', ''].map(areLevels)).toEqual([true, true, false, false, false]);
    // By energy, 80 and 90 dB are 10 log10((10^8 + 10^9) / 2) = 87.4 dB.
    const words = finding({ before: [80, 90], after: [70, 70.5], unit: 'dB' });
    expect(words.sides[0]?.value).toBeCloseTo(87.404, 3);
    expect(words.source).toContain('by energy');
    expect(words.doesNot).toContain(
      'Drawn again from fewer than 10 levels, the interval comes out too narrow.',
    );
  });

  it('say how far a level stands above its noise where both are given', () => {
    const data = {
      kind: 'level' as const,
      unit: 'dB',
      before: [60, 61, 60.5],
      after: [63, 64, 63.4],
      noiseBefore: [54, 55, 54.5],
      noiseAfter: [50, 51, 51.2],
    };
    const { signal } = told(data);
    expect(signal?.shows).toMatch(/^The signal stands 7\.7 dB further above its noise after the change\./);
    expect(signal?.rows.map(({ value }) => value)).toEqual([
      '59.3 dB',
      '4.7 dB',
      '63.2 dB',
      '12.5 dB',
      '7.7 dB',
      'under 0.0001',
    ]);
    expect(told({ ...data, noiseAfter: [] }).signal).toBeNull();
    expect(told({ ...data, noiseBefore: [58, 59, 58.5] }).signal?.trust).toContain(
      'within 3 dB of what was measured before',
    );
    expect(told({ ...data, noiseBefore: [65] }).signal?.shows).toContain('nothing can be compared');
    expect(told({ ...data, noiseBefore: [50] }).signal?.shows).toContain('can’t be told');
  });
});

describe('trialWords of yes and no', () => {
  const data = (before: number[], after: number[], more: Partial<TrialData> = {}) =>
    finding({ kind: 'yes-no', before, after, ...more });

  it('say shares, Fisher’s p-value and Newcombe’s interval', () => {
    // Newcombe (1998), table II: 9 of 10 less 3 of 10, 0.1705 to 0.8090; Fisher's p by counting 2 (10!)^2 ... = 0.0198
    const words = data(answers(3, 10), answers(9, 10));
    expect(words.rows.map(({ value }) => value)).toEqual(['3 of 10', '9 of 10', '60 points', '0.02']);
    expect(words.rows[2]?.hint).toContain('17 to 81');
    expect(words.shows).toMatch(
      /^After, yes comes more often: 9 of 10 instead of 3 of 10, between 17 and 81 percentage points more, with 95 % confidence\./,
    );
    expect(words.more).toContain('No more are needed');
  });

  it('are written as finely as so many runs can tell', () => {
    const many = finding({
      kind: 'yes-no',
      unit: '',
      before: answers(9900, 10_000),
      after: answers(9950, 10_000),
      worthwhile: 0.5,
    });
    expect(many.shows).toContain('between 0.26 and 0.75 percentage points more');
    expect(many.rows.map(({ value }) => value)).toContain('0.50 points');
    expect(many.more).toContain('the 0.5 percentage points that would matter');
    expect(many.write(99.5)).toBe('99.50 %');
    const all = { kind: 'yes-no' as const, after: answers(10_000, 10_000) };
    expect(finding(all).doesNot).toContain('it could still fail up to once in 2,600.');
    expect(told({ ...all, after: answers(994, 1000), wantedMin: 99.5 }).wanted?.sentence).toContain(
      'The share after, 99.4 %, lies outside',
    );
  });

  it('say what runs that all worked leave open', () => {
    const words = data(answers(6, 10), answers(10, 10));
    expect(words.shows).toContain('take it as not shown');
    // Wilson: 10 of 10 leaves 1 - 0.722
    expect(words.doesNot).toContain(
      '10 of 10 after does not show that it always works: it could still fail up to 28 times of 100.',
    );
    expect(words.more).toMatch(
      /^To settle it: \d+ more runs on each side\..*40 percentage points, as it was seen/,
    );
    expect(data(answers(0, 4), answers(0, 4)).doesNot).toContain('does not show that it never works');
    expect(data(answers(5, 10), answers(5, 10)).more).toContain('No difference was seen');
    expect(data(answers(5, 10), answers(5, 10), { worthwhile: 30 }).more).toContain(
      'a change of 30 percentage points, the smallest',
    );
    expect(data(answers(9, 10), answers(9, 10), { worthwhile: 30 }).more).toContain(
      'a change of 30 percentage points',
    );
    expect(data([], answers(3, 3)).shows).toContain('nothing to compare');
    expect(data(answers(3, 3), []).shows).toContain('still to come');
  });
});

describe('trialWords of failures', () => {
  const data = (
    before: number[],
    runsBefore: number,
    after: number[],
    runsAfter: number,
    more: Partial<TrialData> = {},
  ) => finding({ kind: 'failures', runsUnit: 'hours', before, runsBefore, after, runsAfter, ...more });

  it('say rates and the ratio with its exact limits', () => {
    // the example of src/specs/rates.ts: p 0.0797, 1.971, 0.858 to 4.277
    const words = data([21], 3011, [6, 5], 800);
    expect(words.rows.map(({ value }) => value)).toEqual([
      '21 in 3010 hours',
      '11 in 800 hours',
      '2 times',
      '0.08',
    ]);
    expect(words.shows).toMatch(
      /^These counts show no change: they fit anything from 0\.86 to 4\.3 times as often\./,
    );
    expect(words.more).toMatch(/^To settle it: .* more hours/);
    // the rate before stays what it was: more hours after alone tell less
    expect(words.more).toMatch(/If before can’t be measured again: [\d,]+ more hours after\./);
    const fewer = data([20], 100, [2], 100);
    expect(fewer.shows).toMatch(
      /^Failures come less often after: 0\.1 times as often, between 0\.011 and 0\.41 times/,
    );
  });

  it('say what none seen leaves open', () => {
    const words = data([9], 100, [0], 100);
    expect(words.shows).toContain('Failures come less often after: 0 times as often');
    // Garwood: 3.689 for none
    expect(words.doesNot).toContain(
      'None seen does not show that it never fails: a rate of up to 3.69 in 100 hours fits as well.',
    );
    expect(data([0], 10, [0], 10).shows).toContain('No failure before and none after');
    expect(data([0], 10, [9], 10).shows).toContain('at least');
    // 9 of 100 either way: from 10.9 fewer to 10.9 more
    expect(data([9], 100, [9], 100, { worthwhile: 12 }).more).toContain(
      'whatever changed is less than the 12 in 100 hours',
    );
    expect(data([9], 100, [9], 100, { worthwhile: 8 }).more).toContain('To settle it:');
    expect(data([0], 10, [0], 10, { worthwhile: 5 }).more).toContain('5 in 100 hours');
    expect(finding({ kind: 'failures', before: [], after: [2], runsAfter: 40 }).shows).toContain(
      'nothing to compare',
    );
  });
});

describe('what is wanted', () => {
  const wanted = (after: number[], more: Partial<TrialData>) => told({ unit: 'Nm', after, ...more }).wanted;

  it('is met, not met, or not certain', () => {
    expect(wanted([2, 2.1, 1.9, 2], { wantedMax: 2.5 })).toMatchObject({
      meets: 'within',
      limits: 'at most 2.5 Nm',
    });
    expect(wanted([2, 2.8, 1.9, 2.6], { wantedMax: 2.5 })?.meets).toBe('reaches out');
    expect(wanted([2, 3.2, 1.9, 3.4], { wantedMax: 2.5 })?.meets).toBe('reaches in');
    expect(wanted([4, 4.1, 4], { wantedMax: 2.5 })?.meets).toBe('outside');
    expect(wanted([2], { wantedMin: 1, wantedMax: 2.5 })).toMatchObject({
      meets: 'in, not certain',
      limits: 'from 1 to 2.5 Nm',
    });
    expect(wanted([3, 3], { wantedMin: 4 })).toMatchObject({
      meets: 'out, not certain',
      limits: 'at least 4 Nm',
    });
    expect(wanted([], { wantedMin: -4 })).toMatchObject({
      meets: null,
      sentence: 'Wanted: a mean of at least −4 Nm.',
    });
    expect(wanted([3], {})).toBeNull();
    expect(told({ kind: 'yes-no', after: answers(10, 10), wantedMin: 90 }).wanted?.sentence).toBe(
      'Wanted: at least 90 %. The share after, 100 %, lies within, but its 95 % interval, 72 % to 100 %, reaches beyond: met as far as was seen, not for certain.',
    );
    expect(
      told({ kind: 'failures', after: [0], runsAfter: 1000, runsUnit: 'h', wantedMax: 0.5 }).wanted?.meets,
    ).toBe('within');
  });

  it('is met on its very limit, whatever rounding leaves behind', () => {
    // 0.1 + 0.2 + 0.3 is 0.6000000000000001 to the computer
    expect(wanted([0.1, 0.2, 0.3], { wantedMax: 0.2 })?.meets).toBe('reaches out');
    expect(wanted([0.7, 0.7, 0.7], { wantedMin: 0.7 })?.meets).toBe('in, not certain');
    expect(finding({ after: [0.7, 0.7, 0.7] }).sides[0]).toMatchObject({ value: 0.7, interval: null });
    expect(told({ kind: 'yes-no', after: answers(2, 3), wantedMin: 67 }).wanted?.sentence).toContain(
      'The share after, 67 %, lies just outside, but',
    );
    expect(wanted([2.6, 2.7, 2.9], { wantedMax: 2.5 })?.sentence).toContain('lies outside, but');
  });

  it('never decides, but says when the word and the numbers disagree', () => {
    const outside = wanted([4, 4.1, 4], { wantedMax: 2.5 });
    const within = wanted([2, 2.1, 1.9, 2], { wantedMax: 2.5 });
    expect(disagreement(true, outside)).toContain('The word is passed, but the values after lie outside');
    expect(disagreement(false, within)).toContain('The word is not passed, though');
    expect([
      disagreement(true, within),
      disagreement(false, outside),
      disagreement(null, outside),
      disagreement(true, null),
    ]).toEqual(['', '', '', '']);
    expect(disagreement(false, wanted([2, 2.8, 1.9, 2.6], { wantedMax: 2.5 }))).toBe('');
  });
});

describe('figures', () => {
  it('have a true minus and no minus nought', () => {
    expect([figure(-1.5, 1), figure(-0.01, 1), figure(2, 0)]).toEqual(['−1.5', '0.0', '2']);
    expect([0, 0.012345, 4.5, 1234.5, 123456].map(threeFigures)).toEqual([
      '0',
      '0.0123',
      '4.5',
      '1230',
      '123,000',
    ]);
  });
});

describe('trialDrawing', () => {
  const marks = (data: Partial<TrialData>) => {
    const drawing = trialDrawing(told(data).finding, { ...EMPTY, ...data })!;
    const { rows, axis, interval } = drawing;
    const xs = [
      ...rows.flatMap((row) => [...row.dots, row.from, row.to, row.mean]),
      ...axis.ticks.map(({ x }) => x),
      ...(interval
        ? [interval.x1, interval.x2, interval.still, interval.mark ?? 0, ...interval.ticks.map(({ x }) => x)]
        : []),
      ...(drawing.wanted ? [drawing.wanted.from, drawing.wanted.from + drawing.wanted.width] : []),
    ];
    for (const x of xs) expect(x >= 0 && x <= drawing.width).toBe(true);
    expect(axis.ticks.length).toBeGreaterThan(1);
    expect(axis.ticks.length).toBeLessThan(12);
    if (interval) expect(interval.ticks.length).toBeLessThan(16);
    return drawing;
  };

  it('keeps every mark inside its width, whatever the values', () => {
    const cases: [number[], number[]][] = [
      [
        [1, 2, 3],
        [4, 5],
      ],
      [[5], [5]],
      [[0], []],
      [
        [-1e9, 1e9],
        [1e-9, 2e-9],
      ],
      [[1e12, 1e12], [-1e12]],
      // three readings of 0.7, and values whose mean lies off them by rounding: no tick lies between
      [
        [0.7, 0.7, 0.7],
        [0.7, 0.7, 0.7],
      ],
      [[1_000_000, 1_000_000.0000000001], []],
      [[0.1, 0.1, 0.1], [-0.1]],
      [[1e12, 1e12 + 1e-4], [1e12]],
    ];
    for (const [before, after] of cases) {
      marks({ before, after });
      marks({ before, after, wantedMin: -3, wantedMax: 1e6 });
    }
    expect(trialDrawing(null, EMPTY)).toBeNull();
    const many = marks({ before: Array.from({ length: 10_000 }, (_, at) => at % 97), after: [4, 5] });
    expect(many.rows[0]).toMatchObject({ band: true, dots: [] });
  });

  it('draws counts as marks with their intervals, and ratios from half to double at least', () => {
    const count = fc.integer({ min: 0, max: 100_000 });
    fc.assert(
      fc.property(
        count,
        count,
        fc.integer({ min: 1, max: 1_000_000 }),
        fc.integer({ min: 1, max: 1_000_000 }),
        (b, a, rb, ra) => {
          const drawing = marks({
            kind: 'failures',
            before: [b],
            after: [a],
            runsBefore: rb,
            runsAfter: ra,
            wantedMax: 3,
          });
          expect(drawing.counted).toBe(true);
          expect(drawing.interval?.ticks.length).toBeGreaterThan(1);
        },
      ),
      { numRuns: 60 },
    );
    marks({ kind: 'yes-no', before: answers(0, 3), after: answers(3, 3), wantedMin: 90 });
  });
});
