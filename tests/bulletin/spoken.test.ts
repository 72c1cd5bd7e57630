import { describe, expect, it } from 'vitest';
import { numberWords, spokenWords } from '../../src/bulletin/spoken.ts';

// What each text is when it is read aloud stands beside it: common practice, no source.
describe('spokenWords', () => {
  it.each([
    ['', 0],
    ['The ring is down.', 4],
    ['12 mm', 2], // twelve millimetres
    ['12mm', 2],
    ['48 teeth', 2], // forty-eight teeth
    ['206 pieces', 5], // two hundred and six pieces
    ['0.05 mm', 5], // zero point zero five millimetres
    ['0,05 mm', 5],
    ['±0.05', 6], // plus minus zero point zero five
    ['3.2 m', 4], // three point two metres
    ['1,234 parts', 7], // one thousand two hundred and thirty-four parts
    ['160 × 60 × 4 mm', 9], // a hundred and sixty... one hundred and sixty by sixty by four millimetres
    ['H7/g6', 4], // H seven g six
    ['TB-0001', 6], // T B zero zero zero one
    ['TB-0001, revision B', 8],
    ['2026', 2], // twenty twenty-six
    ['9 Mar 2026', 4], // nine March twenty twenty-six
    ['2026-03-09', 4], // ninth March twenty twenty-six
    ['2006', 4], // two thousand and six
    ['1905', 3], // nineteen oh five
    ['80 %', 3], // eighty per cent
    ['80%', 3],
    ['20 °C', 3], // twenty degrees Celsius
    ['1st', 1],
    ['21st of March', 3],
    ['don’t stop', 2],
    ['well-made', 1],
    ['Blaž’s bread', 2],
    ['https://example.org/a?b=12', 0],
    ['See https://example.org/offers/12 and write to ada@example.org.', 4],
    ['www.example.org', 0],
    ['(https://example.org)', 0],
    ['– — · …', 0],
    ['3/4', 3], // three over four
    ['and/or', 2],
  ])('counts %j as %i', (text, count) => {
    expect(spokenWords(text)).toBe(count);
  });

  it('adds up over any split between words', () => {
    const words =
      'The 12 arms of TB-0017, 3.2 m long, came on 9 Mar 2026 from https://a.example at 80 %.'.split(' ');
    for (let at = 0; at <= words.length; at += 1) {
      const [left, right] = [words.slice(0, at).join(' '), words.slice(at).join('\n')];
      expect(spokenWords(left) + spokenWords(right)).toBe(spokenWords(words.join(' ')));
    }
  });

  it('takes a text of 20,000 characters without a space', () => {
    expect(spokenWords('a'.repeat(20_000))).toBe(1);
    expect(spokenWords('1'.repeat(20_000))).toBeGreaterThan(0);
    expect(spokenWords('a-'.repeat(10_000))).toBe(1);
  });
});

describe('numberWords', () => {
  // Against the numbers spelt out in full, a slow second way.
  const ones =
    'zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'.split(
      ' ',
    );
  const tens = 'twenty thirty forty fifty sixty seventy eighty ninety'.split(' ');
  const spelt = (n: number): string => {
    if (n < 20) return ones[n]!;
    if (n < 100) return n % 10 ? `${tens[Math.floor(n / 10) - 2]}-${ones[n % 10]}` : tens[n / 10 - 2]!;
    if (n < 1000) return `${ones[Math.floor(n / 100)]} hundred${n % 100 ? ` and ${spelt(n % 100)}` : ''}`;
    const [size, word] = n < 1e6 ? [1e3, 'thousand'] : [1e6, 'million'];
    const rest = n % (size as number);
    const joined = rest === 0 ? '' : rest < 100 ? ` and ${spelt(rest)}` : ` ${spelt(rest)}`;
    return `${spelt(Math.floor(n / (size as number)))} ${word}${joined}`;
  };

  it('counts what is said, up to a million and beyond', () => {
    expect(spelt(206)).toBe('two hundred and six');
    expect(spelt(1_001_001)).toBe('one million one thousand and one');
    for (let n = 0; n < 2_000_000; n += n < 3000 ? 1 : 997)
      expect(numberWords(n), spelt(n)).toBe(spelt(n).split(' ').length);
  });
});
