import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type DecimalMark, readNumber, scaled } from '../../src/parts/typed-number.ts';
import { anyText } from './any-text.ts';

describe('readNumber', () => {
  const value = (text: string, mark?: DecimalMark) => {
    const reading = readNumber(text, mark);
    if (!reading.ok) return reading.code;
    return Number(reading.value.numerator) / Number(reading.value.denominator);
  };

  test.each([
    ['12', 12],
    [' 12 ', 12],
    ['2,5', 2.5],
    ['2.5', 2.5],
    ['.5', 0.5],
    [',5', 0.5],
    ['5.', 5],
    ['0,234', 0.234],
    ['1.234', 1.234],
    ['1,2345', 1.2345],
    ['1 234', 1234],
    ['1\u00a0234,5', 1234.5],
    ['1\u202f234.5', 1234.5],
    ["1'234.50", 1234.5],
    ['1’234,50', 1234.5],
    ['1,234.5', 1234.5],
    ['1.234,5', 1234.5],
    ['1,234,567', 1_234_567],
    ['1.234.567', 1_234_567],
    ['1,234,567.25', 1_234_567.25],
    ['-3', -3],
    ['− 3', -3],
    ['+3', 3],
    ['1/2', 0.5],
    ['3 / 4', 0.75],
    ['1 1/2', 1.5],
    ['1-1/2', 1.5],
    ['½', 0.5],
    ['1½', 1.5],
    ['2 ⅝', 2.625],
    ['１２', 12],
  ])('reads %s', (text, expected) => {
    expect(value(text)).toBe(expected);
  });

  test.each([
    ['1,234', 'dot', 1234],
    ['1,234', 'comma', 1.234],
    ['1.234', 'comma', 1234],
    ['1.234', 'dot', 1.234],
    ['0.234', 'comma', 'other-mark'],
    ['2.5', 'comma', 'other-mark'],
    ['2,5', 'dot', 'other-mark'],
    ['1.234,5', 'dot', 'other-mark'],
    ['1.234,5', 'comma', 1234.5],
    ['1 234,5', 'dot', 'other-mark'],
    ['1.234.567', 'dot', 'not-a-number'],
    ['1.234.567', 'comma', 1_234_567],
  ] as const)('reads %s with a decimal %s', (text, mark, expected) => {
    expect(value(text, mark)).toBe(expected);
  });

  test.each([
    ['', 'empty'],
    ['   ', 'empty'],
    ['1,234', 'ambiguous'],
    ['twelve', 'not-a-number'],
    ['1E+03', 'not-a-number'],
    ['1e3', 'not-a-number'],
    ['0x10', 'not-a-number'],
    ['Infinity', 'not-a-number'],
    ['NaN', 'not-a-number'],
    ['1/0', 'not-a-number'],
    ['1/2/3', 'not-a-number'],
    ['1.2.3', 'not-a-number'],
    ['1,23,456', 'not-a-number'],
    ['12 34', 'not-a-number'],
    ['1 23', 'not-a-number'],
    ["1'234 567", 'not-a-number'],
    ['1,234.567.8', 'not-a-number'],
    ['1.,2', 'not-a-number'],
    ['.', 'not-a-number'],
    ['--3', 'not-a-number'],
    ['3-', 'not-a-number'],
    ['9'.repeat(41), 'not-a-number'],
  ])('refuses %j', (text, code) => {
    expect(value(text)).toBe(code);
  });

  test('scaled rounds a half away from zero and says when it is exact', () => {
    expect(scaled({ numerator: 1n, denominator: 3n }, 1000n)).toEqual({ whole: 333n, exact: false });
    expect(scaled({ numerator: 1n, denominator: 2n }, 1n)).toEqual({ whole: 1n, exact: false });
    expect(scaled({ numerator: -1n, denominator: 2n }, 1n)).toEqual({ whole: -1n, exact: false });
    expect(scaled({ numerator: 5n, denominator: 4n }, 100n)).toEqual({ whole: 125n, exact: true });
  });

  test('never throws, whatever is typed', () => {
    fc.assert(
      fc.property(fc.oneof(anyText, fc.stringMatching(/^[-+0-9.,' /½]{0,12}$/)), (text) => {
        const reading = readNumber(text);
        expect(reading.ok ? reading.value.denominator > 0n : reading.sentence.length > 0).toBe(true);
      }),
      { seed: 11, numRuns: 500 },
    );
  });
});
