import { describe, expect, it } from 'vitest';
import { byDate, daysLeftWords, decisionDate } from '../../src/problems/decision-dates.ts';
import { trialDrawing } from '../../src/problems/trial-drawing.ts';
import { readValues } from '../../src/problems/trial-values.ts';
import { areLevels, figure, trialWords } from '../../src/problems/trial-words.ts';

const job = { id: 7, title: 'Moon arm', over: false, begun: false, startOn: '2026-03-12', floatDays: 4 };
const gathering = { title: 'Spring fit-up', fromOn: '2026-03-14', untilOn: '2026-03-15', off: false };
const today = '2026-03-02';

describe('decisionDate', () => {
  it('is the day the waiting job can begin', () => {
    expect(decisionDate({ job, gathering: null }, today)).toEqual({
      byOn: '2026-03-12',
      daysLeft: 10,
      because: 'Job 7, Moon arm, can begin then; it can wait 4 working days more before the finish moves',
      warning: null,
    });
    expect(decisionDate({ job: { ...job, floatDays: 0 }, gathering: null }, today).because).toContain(
      'it drives the finish',
    );
  });

  it('warns of a gathering that comes too late, is over or is called off', () => {
    const warning = (of: object) => decisionDate({ job, gathering: { ...gathering, ...of } }, today).warning;
    expect(warning({})).toBe(
      'Spring fit-up begins on 14 Mar, 2 days after that: what waits would stand still.',
    );
    expect(warning({ fromOn: '2026-03-12' })).toBeNull();
    expect(warning({ off: true })).toContain('called off');
    expect(warning({ fromOn: '2026-02-14', untilOn: '2026-02-15' })).toContain('is over');
  });

  it('follows the gathering where no job waits, and has no day where nothing does', () => {
    expect(decisionDate({ job: null, gathering }, today)).toMatchObject({ byOn: '2026-03-15', daysLeft: 13 });
    expect(decisionDate({ job: { ...job, over: true }, gathering }, today)).toMatchObject({
      byOn: '2026-03-15',
    });
    expect(decisionDate({ job: null, gathering: { ...gathering, off: true } }, today)).toMatchObject({
      byOn: null,
      daysLeft: null,
    });
    expect(decisionDate({ job: { ...job, over: true }, gathering: null }, today).because).toBe(
      'Job 7 is over: nothing waits for it any more',
    );
    expect(decisionDate({ job: { ...job, startOn: null }, gathering: null }, today)).toMatchObject({
      byOn: null,
      because: 'The schedule can’t date job 7, Moon arm, yet',
    });
    expect(decisionDate({ job: { ...job, begun: true }, gathering: null }, today)).toMatchObject({
      byOn: today,
      daysLeft: 0,
    });
  });

  it('is said in words, and puts the nearest first', () => {
    expect([null, 0, 1, 12, -3].map(daysLeftWords)).toEqual([
      'no date',
      'today',
      '1 day',
      '12 days',
      '3 days past',
    ]);
    const rows = [
      { id: 1, byOn: null },
      { id: 2, byOn: '2026-04-01' },
      { id: 3, byOn: '2026-03-01' },
      { id: 4, byOn: null },
    ];
    expect(rows.sort(byDate).map(({ id }) => id)).toEqual([3, 2, 1, 4]);
  });
});

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
