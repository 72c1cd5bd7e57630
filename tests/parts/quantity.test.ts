import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatQuantity, parseQuantity, type QuantityRefusal, type Unit } from '../../src/parts/quantity.ts';
import { anyText } from './any-text.ts';

describe('parseQuantity', () => {
  test.each<[string, Unit | null, number, Unit]>([
    ['12', null, 12_000, 'piece'],
    ['12', 'piece', 12_000, 'piece'],
    ['12 pcs', null, 12_000, 'piece'],
    ['12pcs.', 'piece', 12_000, 'piece'],
    ['12 Stk.', 'piece', 12_000, 'piece'],
    ['12 off', 'piece', 12_000, 'piece'],
    ['x12', 'piece', 12_000, 'piece'],
    ['12 ×', 'piece', 12_000, 'piece'],
    ['2 pairs', 'piece', 4000, 'piece'],
    ['1 dozen', 'piece', 12_000, 'piece'],
    ['1 234', 'piece', 1_234_000, 'piece'],
    ['1,500', 'piece', 1_500_000, 'piece'],
    ['1.500', 'piece', 1_500_000, 'piece'],
    ['2,5', 'm', 2500, 'm'],
    ['2.5 m', 'm', 2500, 'm'],
    ['2.5 M', null, 2500, 'm'],
    ['250 mm', 'm', 250, 'm'],
    ['30cm', null, 300, 'm'],
    ['1 1/2', 'm', 1500, 'm'],
    ['1½ m', 'm', 1500, 'm'],
    ['1.234', 'm', 1234, 'm'],
    ['10 in', 'm', 254, 'm'],
    ['10"', 'm', 254, 'm'],
    ['250 ml', 'l', 250, 'l'],
    ['0.5 litres', 'l', 500, 'l'],
    ['500 g', 'kg', 500, 'kg'],
    ['2 kg', null, 2000, 'kg'],
    ['0.001', 'kg', 1, 'kg'],
    ['1 000 000', 'piece', 1_000_000_000, 'piece'],
  ])('reads %j for a part in %s', (text, unit, milli, read) => {
    expect(parseQuantity(text, unit)).toEqual({ ok: true, milli, unit: read });
  });

  test.each<[string, Unit | null, QuantityRefusal, string]>([
    ['', 'piece', 'empty', 'No quantity is given.'],
    ['a few', 'piece', 'not-a-number', '"a few" is not a quantity.'],
    ['12 3', 'piece', 'not-a-number', '"12 3" is not a number.'],
    ['3 m2', 'm', 'not-a-number', '"3 m2" is not a number.'],
    ['m', 'm', 'empty', 'Nothing is written where a number is needed.'],
    ['1e3', 'piece', 'not-a-number', '"1e3" is not a number.'],
    ['-3', 'piece', 'negative', '"-3" is below zero: a quantity is above zero.'],
    ['-3 pcs', 'piece', 'negative', '"-3 pcs" is below zero: a quantity is above zero.'],
    ['0', 'piece', 'zero', '"0" is zero: a quantity is above zero.'],
    ['0.000', 'm', 'zero', '"0.000" is zero: a quantity is above zero.'],
    [
      '2.5',
      'piece',
      'not-whole',
      '"2.5" is not whole: pieces are counted whole (a length, volume or mass has a unit).',
    ],
    [
      '1/2',
      'piece',
      'not-whole',
      '"1/2" is not whole: pieces are counted whole (a length, volume or mass has a unit).',
    ],
    [
      '1/3',
      'piece',
      'not-whole',
      '"1/3" is not whole: pieces are counted whole (a length, volume or mass has a unit).',
    ],
    ['1/3', 'm', 'too-fine', '"1/3" is finer than a thousandth of a m: write 0.333 m, or what you mean.'],
    [
      '0.1 mm',
      'm',
      'too-fine',
      '"0.1 mm" is finer than a thousandth of a m: write 0.001 m, or what you mean.',
    ],
    ['1 ft', 'm', 'too-fine', '"1 ft" is finer than a thousandth of a m: write 0.305 m, or what you mean.'],
    [
      '1 000 001',
      'piece',
      'too-large',
      '"1 000 001" is above 1\u202f000\u202f000 pieces, the most taken here.',
    ],
    ['1,234', 'm', 'ambiguous', '"1,234" can be read as 1.234 or as 1234: write it one of these ways.'],
    ['1.000', 'piece', 'ambiguous', '"1.000" can be read as 1 or as 1000: write it one of these ways.'],
    ['1,000', 'piece', 'ambiguous', '"1,000" can be read as 1 or as 1000: write it one of these ways.'],
    [
      '3 furlongs',
      'm',
      'unknown-unit',
      '"furlongs" in "3 furlongs" is not a unit known here: use pieces, m, l or kg.',
    ],
    ['2.5 m', 'piece', 'wrong-unit', '"2.5 m" is in m, but the part is in pieces.'],
    ['12 pcs', 'kg', 'wrong-unit', '"12 pcs" is in pieces, but the part is in kg.'],
  ])('refuses %j for a part in %s as %s', (text, unit, code, sentence) => {
    expect(parseQuantity(text, unit)).toEqual({ ok: false, code, sentence });
  });

  test('the decimal mark decides what is ambiguous without it', () => {
    expect(parseQuantity('1,234', 'm', 'comma')).toMatchObject({ milli: 1234 });
    expect(parseQuantity('1,234', 'm', 'dot')).toMatchObject({ milli: 1_234_000 });
    expect(parseQuantity('1.000', 'piece', 'comma')).toMatchObject({ milli: 1_000_000 });
    expect(parseQuantity('1.000', 'piece', 'dot')).toMatchObject({ milli: 1000 });
  });

  test('never throws, whatever is typed', () => {
    fc.assert(
      fc.property(fc.oneof(anyText, fc.stringMatching(/^[-½0-9., mkgx]{0,12}$/)), (text) => {
        const quantity = parseQuantity(text);
        expect(quantity.ok ? quantity.milli > 0 : quantity.sentence !== '').toBe(true);
      }),
      { seed: 3, numRuns: 500 },
    );
  });

  test('reads back every quantity that formatQuantity writes', () => {
    const quantities = fc.constantFrom<Unit>('piece', 'm', 'l', 'kg').chain((unit) =>
      fc.integer({ min: 1, max: unit === 'piece' ? 1_000_000 : 1_000_000_000 }).map((amount) => ({
        unit,
        milli: unit === 'piece' ? amount * 1000 : amount,
      })),
    );
    fc.assert(
      fc.property(quantities, ({ unit, milli }) => {
        expect(parseQuantity(formatQuantity(milli, unit))).toEqual({ ok: true, milli, unit });
      }),
      { seed: 7, numRuns: 500 },
    );
  });
});

test('formatQuantity writes one piece, several pieces and measures', () => {
  expect(formatQuantity(1000, 'piece')).toBe('1 piece');
  expect(formatQuantity(12_000, 'piece')).toBe('12 pieces');
  expect(formatQuantity(0, 'piece')).toBe('0 pieces');
  expect(formatQuantity(1332, 'piece')).toBe('1.332 pieces');
  expect(formatQuantity(2500, 'm')).toBe('2.5 m');
  expect(formatQuantity(1, 'kg')).toBe('0.001 kg');
  expect(formatQuantity(1_234_000, 'l')).toBe('1234 l');
  expect(formatQuantity(12_345_600, 'l')).toBe('12\u202f345.6 l');
});
