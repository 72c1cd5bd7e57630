import { describe, expect, it } from 'vitest';
import { trialDrawing } from '../../src/problems/trial-drawing.ts';
import { readValues } from '../../src/problems/trial-values.ts';
import { areLevels, figure, trialWords } from '../../src/problems/trial-words.ts';

describe('readValues', () => {
  it('takes points and commas, blanks, breaks, tabs and semicolons', () => {
    const values = (text: string) => {
      const read = readValues(text);
      return read.ok ? read.values : read.sentence;
    };
    expect(values('81,2 80,4\n82.0;\t81,7')).toEqual([81.2, 80.4, 82, 81.7]);
    expect(values('1, 2, 3,')).toEqual([1, 2, 3]);
    expect(values('−0,5 .25 +3 1e-3')).toEqual([-0.5, 0.25, 3, 0.001]);
    expect(values(' \n ')).toEqual([]);
    expect(values('1 two 3')).toContain('Value 2, “two”, is not a number');
    expect(values('1,2,3')).toContain('Value 1');
    expect(values('1 <b>')).toContain('Value 2');
    expect(values('NaN')).toContain('is not a number');
    expect(values('1e300')).toContain('too large');
    expect(values('1 '.repeat(1001))).toBe('At most 1000 values; this has 1001.');
  });
});

describe('trialWords', () => {
  it('says the means, the interval and the p-value of Welch’s t', () => {
    // NIST/SEMATECH e-Handbook has the method; the figures are those of the example in src/specs/comparison.ts.
    const words = trialWords([3, 4, 1, 2.1], [490.2, 340, 433.9], 'N')!;
    expect(words.compared?.pValue).toBeCloseTo(0.01075, 5);
    expect(words.rows.map(({ value }) => value)).toEqual(['3 N', '421 N', '419 N', '0.011']);
    expect(words.shows).toMatch(/^After is higher by 419 N: between 230 and 607 N, with 95 % confidence\./);
    expect(words.shows).toContain('in 1 of 93 trials like this one');
    expect(words.doesNot).toContain(
      '4 before and 3 after values do not show whether it holds on another day',
    );
    expect(words.doesNot).toContain('fewer than 5 values');
  });

  it('does not take no proof of a change for a proof of none', () => {
    const words = trialWords([10, 11, 12, 9, 10], [10, 12, 9, 11, 11], 'mm')!;
    expect(words.shows).toMatch(
      /^These values show no change: they fit anything from 1\.5 lower to 1\.9 mm higher\./,
    );
    expect(words.doesNot).toMatch(
      /do not show that nothing changed: a change below about 1\.7 mm cannot be seen/,
    );
    expect(words.doesNot).not.toContain('fewer than');
  });

  it('compares nothing where there is nothing to compare', () => {
    expect(trialWords([], [], 'mm')).toBeNull();
    expect(trialWords([1, 2], [], 'mm')?.shows).toContain('still to come');
    expect(trialWords([], [2], 'mm')).toMatchObject({ rows: [{ label: 'Mean after', value: '2.00 mm' }] });
    expect(trialWords([1], [2, 3], '')?.shows).toContain('One value has no spread');
    expect(trialWords([1, 1], [2, 2], '')?.shows).toContain('all equal');
  });

  it('takes the means of levels by energy', () => {
    expect(['dB', 'dB(A)', 'dBm', 'Nm', ''].map(areLevels)).toEqual([true, true, false, false, false]);
    // By energy, 80 and 90 dB are 10 log10((10^8 + 10^9) / 2) = 87.4 dB.
    const words = trialWords([80, 90], [70, 70.5], 'dB')!;
    expect(words.compared?.beforeMean).toBeCloseTo(87.404, 3);
    expect(words.source).toContain('by energy');
  });

  it('writes figures with a true minus and no minus nought', () => {
    expect([figure(-1.5, 1), figure(-0.01, 1), figure(2, 0)]).toEqual(['−1.5', '0.0', '2']);
  });
});

describe('trialDrawing', () => {
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
    ];
    for (const [before, after] of cases) {
      const drawing = trialDrawing(before, after, trialWords(before, after, '')?.compared ?? null)!;
      const xs = [
        ...drawing.rows.flatMap((row) => [...row.dots, row.from, row.to, row.mean ?? row.from]),
        ...drawing.axis.ticks.map(({ x }) => x),
        ...(drawing.interval ? [drawing.interval.x1, drawing.interval.x2, drawing.interval.zero] : []),
      ];
      for (const x of xs) expect(x >= 0 && x <= drawing.width).toBe(true);
      expect(drawing.axis.ticks.length).toBeGreaterThan(1);
      expect(drawing.axis.ticks.length).toBeLessThan(12);
    }
    expect(trialDrawing([], [], null)).toBeNull();
  });
});
