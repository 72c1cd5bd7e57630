import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Gauged,
  gauged,
  judge,
  readMeasured,
  shownLength,
  suspicionOf,
  verdictOf,
  verdictWords,
} from '../../src/receiving/measure.ts';

function dimension(text: string, wish: { id?: number; isKey?: boolean } = {}): Gauged {
  const made = gauged({ id: 1, label: '', isKey: false, text, ...wish }, 'm');
  if (!made) throw new Error(`${text} is not measured`);
  return made;
}

// 25 H7 is 25 to 25.021 mm: ISO 286-2:2010, table 6 (as tests/checks has it).
const bore = dimension('25 H7', { isKey: true });

describe('gauged', () => {
  it('leaves requirements out and knows when there are no limits', () => {
    expect(gauged({ id: 1, label: '', isKey: true, text: 'deburr all edges' }, 'm')).toBeNull();
    expect(gauged({ id: 1, label: '', isKey: false, text: '30' }, null)).toMatchObject({
      limits: null,
      nominal: 30,
    });
    expect(bore.limits).toMatchObject({ lowerLimit: 25, upperLimit: 25.021 });
  });
});

describe('readMeasured', () => {
  it('reads comma or point, in the unit that is shown or the one that is typed', () => {
    expect(readMeasured('25,01', 'mm', 'mm')).toEqual({ value: 25.01 });
    expect(readMeasured(' 25.01 mm ', 'mm', 'in')).toEqual({ value: 25.01 });
    expect(readMeasured('1', 'mm', 'in')).toEqual({ value: 25.4 });
    expect(readMeasured('1"', 'mm', 'mm')).toEqual({ value: 25.4 });
    expect(readMeasured('12.7', 'in', 'mm')).toEqual({ value: 0.5 });
    expect(readMeasured('-0.2', 'mm', 'mm')).toEqual({ value: -0.2 });
    expect(readMeasured('45.5°', 'deg', 'mm')).toEqual({ value: 45.5 });
    expect(readMeasured('45.5', 'deg', 'in')).toEqual({ value: 45.5 });
  });

  it('says what does not fit', () => {
    for (const text of ['abc', '1e3', '1,000.5', '25.0 cm', '', '--1', '0x10', 'Infinity']) {
      expect(readMeasured(text, 'mm', 'mm'), text).toHaveProperty('sentence');
    }
    expect(readMeasured('25 mm', 'deg', 'mm')).toEqual({ sentence: 'This is an angle: type it in degrees.' });
    expect(readMeasured('25°', 'mm', 'mm')).toEqual({ sentence: 'This is a length, not an angle.' });
    expect(readMeasured('9999999', 'mm', 'mm')).toEqual({ sentence: 'At most 1000000; this is 9999999.' });
    expect(readMeasured('1.0123456789', 'mm', 'mm')).toHaveProperty('sentence');
  });
});

describe('verdictOf', () => {
  it('says by how much a value lies outside; a value on a limit is inside', () => {
    expect(verdictOf(25, bore.limits)).toEqual({ is: 'inside' });
    expect(verdictOf(25.021, bore.limits)).toEqual({ is: 'inside' });
    expect(verdictOf(25.034, bore.limits)).toEqual({ is: 'above', by: 0.013 });
    expect(verdictOf(24.98, bore.limits)).toEqual({ is: 'below', by: 0.02 });
    expect(verdictOf(1, null)).toEqual({ is: 'no limits' });
  });

  it('says the amount in the drawing’s unit, with that of the page beside it, never as nothing', () => {
    expect(verdictWords({ is: 'above', by: 0.013 }, 'mm', 'mm')).toBe('0.013 mm above the upper limit');
    expect(verdictWords({ is: 'below', by: 0.0254 }, 'mm', 'in')).toBe(
      '0.0254 mm below the lower limit (0.001 in)',
    );
    expect(shownLength(0.000001, 'mm', 'in')).not.toMatch(/^0 /);
  });

  it('puts each value on one side', () => {
    fc.assert(
      fc.property(fc.integer({ min: 24_000, max: 26_000 }), (thousandths) => {
        const value = thousandths / 1000;
        const verdict = verdictOf(value, bore.limits);
        const expected = thousandths > 25_021 ? 'above' : thousandths < 25_000 ? 'below' : 'inside';
        expect(verdict.is).toBe(expected);
        if ('by' in verdict) expect(verdict.by).toBeGreaterThan(0);
      }),
      { seed: 20260306 },
    );
  });
});

describe('suspicionOf', () => {
  it('asks about inches typed for mm, mm typed for inches, and a slipped point', () => {
    expect(suspicionOf(0.9843, bore)).toMatch(/inches\?$/);
    expect(suspicionOf(635.2, bore)).toMatch(/mm, or/);
    expect(suspicionOf(2.501, bore)).toMatch(/point/);
    expect(suspicionOf(250.1, bore)).toMatch(/point/);
    // Without limits the nominal stands for them.
    expect(suspicionOf(0.98, { ...bore, limits: null })).toMatch(/inches\?$/);
    expect(suspicionOf(249, { ...bore, limits: null })).toMatch(/point/);
    const inch = dimension('0.5 in ±0.005');
    expect(suspicionOf(12.7, inch)).toMatch(/mm, or/);
    expect(suspicionOf(0.5 / 25.4, inch)).toMatch(/inches\?$/);
  });

  it('asks about nothing else', () => {
    for (const value of [25.01, 25.2, 24, 30, 12, -25, 0, 100]) expect(suspicionOf(value, bore)).toBeNull();
    for (const value of [26, 24, 12, 2]) expect(suspicionOf(value, { ...bore, limits: null })).toBeNull();
    expect(suspicionOf(45 / 25.4, dimension('45° ±1°'))).toBeNull();
    expect(suspicionOf(4.5, dimension('45° ±1°'))).toMatch(/point/);
  });
});

describe('judge', () => {
  const length = dimension('40 ±0.1', { id: 2 });
  const of = (typed: [number, string][], disposition: Parameters<typeof judge>[2] = 'accept', sure = false) =>
    judge(new Map(typed), [bore, length], disposition, 'mm', new Set(sure ? [1] : []));

  it('accepts when each key dimension is measured and all values lie inside', () => {
    expect(of([[1, '25.01']])).toEqual({
      values: [{ characteristicId: 1, value: 25.01 }],
      errors: new Map(),
      questions: new Map(),
    });
  });

  it('keeps a unit from being accepted with the amount, at each dimension', () => {
    const { errors } = of([
      [1, '25.05'],
      [2, '39.8'],
    ]);
    expect(errors.get(1)).toMatch(/^25 H7: 0.029 mm above the upper limit, so not as drawn/);
    expect(errors.get(2)).toMatch(/^40 ±0.1: 0.1 mm below the lower limit/);
    expect(of([[2, '40']]).errors.get(1)).toMatch(/^25 H7 is a key dimension: measure it/);
  });

  it('takes the same values for a concession', () => {
    const judged = of([[1, '25.05']], 'concession');
    expect(judged.errors.size).toBe(0);
    expect(judged.values).toEqual([{ characteristicId: 1, value: 25.05 }]);
    expect(of([], 'scrap').errors.size).toBe(0);
  });

  it('asks about a suspicious value whatever becomes of the unit, until told that it is so', () => {
    const asked = of([[1, '0.985']], 'scrap');
    expect([...asked.questions.keys()]).toEqual([1]);
    expect(asked.errors.get(1)).toMatch(/inches\?/);
    expect(of([[1, '0.985']], 'scrap', true)).toMatchObject({ questions: new Map(), errors: new Map() });
    expect(of([[1, '0.985']], 'accept', true).errors.get(1)).toMatch(/below the lower limit/);
  });

  it('refuses a size that is not above zero, whatever becomes of the unit and however sure', () => {
    for (const value of ['-25.01', '0']) {
      const judged = of([[1, value]], 'scrap', true);
      expect(judged.values).toEqual([]);
      expect(judged.errors.get(1)).toBe('25 H7: a size is above zero; type what the gauge shows.');
    }
  });

  it('leaves values of other dimensions alone', () => {
    expect(of([[9, '1']], 'scrap')).toEqual({ values: [], errors: new Map(), questions: new Map() });
  });

  it('asks for every dimension of a piece that a sample rests on', () => {
    const { errors } = judge(new Map([[1, '25.01']]), [bore, length], 'accept', 'mm', new Set(), 'every');
    expect([...errors.keys()]).toEqual([2]);
    expect(errors.get(2)).toMatch(/because of the sample/);
    expect(judge(new Map(), [bore, length], 'scrap', 'mm', new Set(), 'every').errors.size).toBe(0);
  });
});
