import { describe, expect, it } from 'vitest';
import { textLines } from '../../src/schedule/text-lines.ts';

describe('textLines', () => {
  it('leaves a short text on one line', () => {
    expect(textLines('Make hub', 12, 2)).toEqual(['Make hub']);
    expect(textLines('  Make \n hub ', 12, 2)).toEqual(['Make hub']);
    expect(textLines('', 12, 2)).toEqual([]);
  });

  it('breaks between words, and ends in dots what does not fit', () => {
    expect(textLines('Inspect the long idler posts', 9, 2)).toEqual(['Inspect the long', 'idler posts']);
    const [one, two, ...more] = textLines('Inspect the long idler posts of the upper column stack', 9, 2);
    expect(more).toEqual([]);
    expect(one).toBe('Inspect the long');
    expect(two).toMatch(/^idler posts of.*…$/);
  });

  it('breaks a word only where it is wider than a line', () => {
    const lines = textLines('x'.repeat(200), 9, 2);
    expect(lines).toHaveLength(2);
    expect(lines[0]).toMatch(/^x{16}$/);
    expect(lines[1]).toMatch(/^x+…$/);
  });

  it('takes wide signs as wide, and parts no sign from its marks', () => {
    expect(textLines('土星の輪を作って送る', 5, 2)).toEqual(['土星の輪', 'を作っ…']);
    const family = '👩‍👩‍👧‍👦';
    expect(textLines(family.repeat(9), 3, 1)[0]).toMatch(new RegExp(`^(${family})+…$`, 'u'));
    expect(textLines('e\u0301'.repeat(40), 3, 1)[0]).toMatch(/^(e\u0301)+…$/u);
  });

  it('ends whatever it is given', () => {
    for (const width of [0.1, 1, 3]) {
      for (const text of ['Wm', 'a b c d', '\u202Eabc', 'صنع الحلقة الكبيرة', '   ']) {
        expect(textLines(text, width, 2).length).toBeLessThanOrEqual(2);
      }
    }
  });
});
