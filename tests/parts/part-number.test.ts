import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  nextPartNumber,
  partNumberKey,
  partNumberSeries,
  readPartNumber,
  tidyPartNumber,
} from '../../src/parts/part-number.ts';
import { anyText } from './any-text.ts';

describe('readPartNumber', () => {
  test.each(['A', 'OR-0001', 'b1', '585440', 'GEAR_32.T-48', 'A'.repeat(40)])('takes %s', (number) => {
    expect(readPartNumber(` ${number} `)).toEqual({ ok: true, number });
  });

  test.each([
    ['', 'empty', 'No part number is given.'],
    [' \t ', 'empty', 'No part number is given.'],
    ['A'.repeat(41), 'too-long', 'The part number has 41 characters: at most 40 are taken.'],
    ['A 1', 'bad-sign', 'The part number "A 1" holds a blank: use letters A to Z, digits and . _ -'],
    [
      'A\u00a01',
      'bad-sign',
      'The part number "A\u00a01" holds a blank: use letters A to Z, digits and . _ -',
    ],
    ['A/1', 'bad-sign', 'The part number "A/1" holds "/": use letters A to Z, digits and . _ -'],
    ['#6', 'bad-sign', 'The part number "#6" holds "#": use letters A to Z, digits and . _ -'],
    ['Ø12', 'bad-sign', 'The part number "Ø12" holds "Ø": use letters A to Z, digits and . _ -'],
    ['A😀', 'bad-sign', 'The part number "A😀" holds "😀": use letters A to Z, digits and . _ -'],
    [
      'A\u202e1',
      'bad-sign',
      'The part number "A\ufffd1" holds an invisible character: use letters A to Z, digits and . _ -',
    ],
    [
      'A\u00001',
      'bad-sign',
      'The part number "A\ufffd1" holds an invisible character: use letters A to Z, digits and . _ -',
    ],
    ['..', 'bad-end', 'The part number ".." begins or ends with a sign: use a letter or digit there.'],
    ['-A', 'bad-end', 'The part number "-A" begins or ends with a sign: use a letter or digit there.'],
    ['A.', 'bad-end', 'The part number "A." begins or ends with a sign: use a letter or digit there.'],
  ])('refuses %j as %s', (text, code, sentence) => {
    expect(readPartNumber(text)).toEqual({ ok: false, code, sentence });
  });

  test('takes nothing that changes inside an address', () => {
    fc.assert(
      fc.property(anyText, (text) => {
        const reading = readPartNumber(text);
        if (!reading.ok) return;
        expect(encodeURIComponent(reading.number)).toBe(reading.number);
        expect(new URL(`http://h/parts/${reading.number}`).pathname).toBe(`/parts/${reading.number}`);
      }),
      { seed: 2, numRuns: 500 },
    );
  });
});

test('partNumberKey does not tell capitals from small letters', () => {
  expect(partNumberKey(' or-0001')).toBe(partNumberKey('OR-0001'));
  expect(partNumberKey('OR-001')).not.toBe(partNumberKey('OR-0001'));
});

describe('tidyPartNumber', () => {
  test.each([
    ['A/12 b', 'A-12-b'],
    ['#6-32', '6-32'],
    ['Träger 4', 'Trager-4'],
    ['  (X)  ', 'X'],
    ['OR-0001', 'OR-0001'],
    ['###', null],
    ['', null],
    ['A'.repeat(41), null],
  ])('%j becomes %j', (text, expected) => {
    expect(tidyPartNumber(text)).toBe(expected);
  });

  test('gives a number that readPartNumber takes, and leaves it alone the second time', () => {
    fc.assert(
      fc.property(anyText, (text) => {
        const tidy = tidyPartNumber(text);
        if (tidy === null) return;
        expect(readPartNumber(tidy)).toEqual({ ok: true, number: tidy });
        expect(tidyPartNumber(tidy)).toBe(tidy);
      }),
      { seed: 4, numRuns: 500 },
    );
  });
});

describe('nextPartNumber', () => {
  test.each([
    [[], 'OR-0001'],
    [['OR-0001', 'OR-0012'], 'OR-0013'],
    [['or-0041'], 'OR-0042'],
    [['OR-9999'], 'OR-10000'],
    [['OR-7', 'OR-07'], 'OR-0008'],
    [['ORX-0500', 'OR-0002-A', 'XOR-0900', 'OR-', 'OR-0003B', 'OR0700'], 'OR-0001'],
    [['OR-1234567890'], 'OR-0001'],
  ])('after %j comes %s', (used, expected) => {
    expect(nextPartNumber('OR', used)).toBe(expected);
  });

  test('keeps a prefix that itself holds signs', () => {
    expect(nextPartNumber('OR.2-B', ['OR.2-B-0004', 'ORX2-B-0009'])).toBe('OR.2-B-0005');
  });

  test.each(['', '-', 'O R', 'A'.repeat(31)])('throws for the prefix %j', (prefix) => {
    expect(() => nextPartNumber(prefix, [])).toThrow(RangeError);
  });

  test('partNumberSeries gives one after another', () => {
    const next = partNumberSeries('OR', ['OR-0009']);
    expect([next(), next(), next()]).toEqual(['OR-0010', 'OR-0011', 'OR-0012']);
  });
});
