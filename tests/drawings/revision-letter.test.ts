import { describe, expect, test } from 'vitest';
import {
  compareRevisionLetters,
  isRevisionLetter,
  lastRevisionLetter,
  nextRevisionLetter,
} from '../../src/drawings/revision-letter.ts';

function allLetters(): string[] {
  const found: string[] = [];
  for (let letter = nextRevisionLetter(null); letter !== null; letter = nextRevisionLetter(letter))
    found.push(letter);
  return found;
}

describe('nextRevisionLetter', () => {
  test.each([
    [null, 'A'],
    ['A', 'B'],
    ['H', 'J'],
    ['N', 'P'],
    ['P', 'R'],
    ['R', 'T'],
    ['W', 'Y'],
    ['Y', 'AA'],
    ['AA', 'AB'],
    ['AH', 'AJ'],
    ['AY', 'BA'],
    ['HY', 'JA'],
    ['YY', null],
  ])('after %s comes %s', (letter, expected) => {
    expect(nextRevisionLetter(letter)).toBe(expected);
  });

  test('runs through 20 single letters and 400 pairs, none with I, O, Q, S, X or Z', () => {
    const all = allLetters();
    expect(all).toHaveLength(420);
    expect(all.slice(0, 20).join('')).toBe('ABCDEFGHJKLMNPRTUVWY');
    expect(new Set(all).size).toBe(420);
    expect(all.at(-1)).toBe(lastRevisionLetter);
    expect(all.every((letter) => isRevisionLetter(letter) && !/[IOQSXZ]/.test(letter))).toBe(true);
  });

  test.each(['', 'a', 'I', 'AI', 'AAA', '1', 'A ', '-', 'É'])('throws for %j', (text) => {
    expect(() => nextRevisionLetter(text)).toThrow(RangeError);
  });
});

describe('isRevisionLetter', () => {
  test.each(['I', 'O', 'Q', 'S', 'X', 'Z', 'OA', 'AO', 'a', '', 'AAA', 'A1', ' A'])('refuses %j', (text) => {
    expect(isRevisionLetter(text)).toBe(false);
  });
});

describe('compareRevisionLetters', () => {
  test('sorts every letter as it was issued', () => {
    const all = allLetters();
    const shuffled = all.map((letter, place) => ({ letter, key: (place * 7919) % 420 }));
    shuffled.sort((a, b) => a.key - b.key);
    expect(shuffled.map(({ letter }) => letter).sort(compareRevisionLetters)).toEqual(all);
  });

  test('puts Y before AA and equals before nothing', () => {
    expect(compareRevisionLetters('Y', 'AA')).toBeLessThan(0);
    expect(compareRevisionLetters('B', 'A')).toBeGreaterThan(0);
    expect(compareRevisionLetters('AA', 'AA')).toBe(0);
    expect(() => compareRevisionLetters('A', 'i')).toThrow(RangeError);
  });
});
