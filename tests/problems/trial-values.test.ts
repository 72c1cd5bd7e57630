import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { unitTrouble } from '../../src/problems/trial-kinds.ts';
import { readValues, writtenValues } from '../../src/problems/trial-values.ts';

fc.configureGlobal({ seed: 81 });

const values = (text: string, unit = '', kind: Parameters<typeof readValues>[1] = 'other') => {
  const read = readValues(text, kind, unit);
  return read.ok ? read.values : read.sentence;
};

describe('readValues', () => {
  it('takes points and commas, blanks, breaks, tabs and semicolons', () => {
    expect(values('81,2 80,4\n82.0;\t81,7')).toEqual([81.2, 80.4, 82, 81.7]);
    expect(values('1, 2, 3,')).toEqual([1, 2, 3]);
    expect(values('−0,5 .25 +3 1e-3 5,')).toEqual([-0.5, 0.25, 3, 0.001, 5]);
    expect(values('1.5,2.25,3.125')).toEqual([1.5, 2.25, 3.125]);
    expect(values(' \n ')).toEqual([]);
    expect(values('4\r\n5\r6')).toEqual([4, 5, 6]);
  });

  it('takes marks for thousands where they can be nothing else', () => {
    expect(values('1,234.5 1.234,5 1,234,567 1.234.567')).toEqual([1234.5, 1234.5, 1234567, 1234567]);
    expect(values('1’234 12\u202f345,5 1\u00a0000')).toEqual([1234, 12345.5, 1000]);
    // alone a comma or a point is for decimals; beside a number that tells, it follows that one
    expect(values('1,234 1.234')).toEqual([1.234, 1.234]);
    expect(values('1,234.5 1,234')).toEqual([1234.5, 1234]);
    expect(values('0,5 1,234')).toEqual([0.5, 1.234]);
    expect(values('1 234')).toEqual([1, 234]);
  });

  it('asks back what can be read in two ways', () => {
    expect(values('0.5\n1,234')).toBe(
      'Line 2, value 1, “1,234”, can be 1.234 or 1234: type 1234 for the one, 1.2340 for the other.',
    );
    expect(values('12,5 1.234')).toContain('can be 1.234 or 1234');
    expect(values('0.5 1.2340 1234')).toEqual([0.5, 1.234, 1234]);
    expect(values('1,2,3')).toContain('Line 1, value 1, “1,2,3”, is not a number. Put blanks');
    expect(values('4,1,3,8')).toContain('a comma is a decimal comma');
  });

  it('takes the unit after the number, the trial’s and no other', () => {
    expect(values('81,2 dB\n80.4dB; 82 dB(A) 79dBA', 'dB(A)')).toEqual([81.2, 80.4, 82, 79]);
    expect(values('3.4 Nm 3,5Nm', 'Nm')).toEqual([3.4, 3.5]);
    expect(values('5 μm 6 µm', 'μm')).toEqual([5, 6]);
    expect(values('21 °C', '°C')).toEqual([21]);
    expect(values('7 m/s 8 m/s', 'm/s')).toEqual([7, 8]);
    expect(values('5 s\n12 ms', 's')).toBe(
      'Line 2, value 2, “ms”, is not a number. Only the unit s may stand after one.',
    );
    expect(values('5 mm', '')).toContain('This trial has no unit: type the numbers alone.');
    expect(values('5mmm', 'mm')).toContain('“5mmm”, is not a number');
  });

  it('leaves out the name of a column, and no other words', () => {
    expect(values('Torque (Nm)\n3,4\n3,6', 'Nm')).toEqual([3.4, 3.6]);
    expect(values('\n\nbefore\n3\n')).toEqual([3]);
    expect(values('vier')).toContain('Line 1, value 1, “vier”');
    expect(values('3\nbefore\n4')).toContain('Line 2, value 1, “before”');
    expect(values('one\ntwo\n3')).toContain('Line 2');
    expect(values('4,1 vier')).toContain('Line 1, value 2, “vier”, is not a number');
    expect(values(`1 <b>${'x'.repeat(40)}`)).toContain(`“<b>${'x'.repeat(27)}…”`);
  });

  it('refuses what is no number, too large or too much', () => {
    for (const bad of ['NaN', 'Infinity', '--3', '0x10', '1e', '1..2', '1,2.3,4']) {
      expect(values(`5 ${bad}`)).toContain('value 2');
    }
    expect(values('1e300')).toContain('too large: choose a larger unit');
    expect(values('1 '.repeat(10_000))).toHaveLength(10_000);
    expect(values('1 '.repeat(10_001))).toBe('At most 10,000 values; this has 10,001.');
  });

  it('reads back what it writes', () => {
    const number = fc.double({ min: -1e12, max: 1e12, noNaN: true }).map((value) => value + 0);
    fc.assert(
      fc.property(fc.array(number, { maxLength: 30 }), (numbers) => {
        // the stored form is JSON, which knows no minus nought
        const stored = JSON.parse(JSON.stringify(numbers)) as number[];
        const small = stored.map((value) => (Math.abs(value) < 1e-99 ? 0 : value));
        expect(values(writtenValues(small))).toEqual(small);
      }),
    );
    const answers = fc.array(fc.constantFrom(0, 1), { maxLength: 120 });
    fc.assert(
      fc.property(answers, fc.boolean(), (answer, sorted) => {
        const list = sorted ? [...answer].sort((a, b) => b - a) : answer;
        expect(values(writtenValues(list, 'yes-no'), '', 'yes-no')).toEqual(list);
      }),
    );
  });
});

describe('readValues of yes and no', () => {
  const answers = (text: string) => values(text, '', 'yes-no');

  it('takes words, ones and noughts, and so many of so many', () => {
    expect(answers('yes no Y n 1 0')).toEqual([1, 0, 1, 0, 1, 0]);
    expect(answers('yes,no,yes')).toEqual([1, 0, 1]);
    expect(answers('2 of 3')).toEqual([1, 1, 0]);
    expect(answers('1/2; 0 of 1 yes')).toEqual([1, 0, 0, 1]);
    expect(answers('catches\n1\n0')).toEqual([1, 0]);
    expect(answers('700 of 1000')).toHaveLength(1000);
  });

  it('refuses the rest', () => {
    expect(answers('yes\nmaybe')).toBe(
      'Line 2, value 1, “maybe”, is neither yes nor no: type yes and no, 1 and 0, or 7 of 10.',
    );
    expect(answers('2')).toContain('neither yes nor no');
    expect(answers('8 of 7')).toBe('Line 1: 8 of 7 is more than all.');
    expect(answers('1 of 999999999')).toContain('At most 10,000 runs; this has 999,999,999.');
    expect(answers('9999 of 9999 yes no')).toContain('At most 10,000 runs; this has 10,001.');
  });
});

describe('readValues of failures', () => {
  const counts = (text: string) => values(text, '', 'failures');

  it('takes whole numbers of 0 or more', () => {
    expect(counts('3 0 12')).toEqual([3, 0, 12]);
    expect(counts('3,0,12')).toEqual([3, 0, 12]);
    expect(counts('100,200,300')).toContain('can be one number or several');
    expect(counts('1’234 5')).toEqual([1234, 5]);
    expect(counts('2.5')).toContain('is no count: type whole numbers of 0 or more');
    expect(counts('-1')).toContain('is no count');
    expect(counts('1,234')).toContain('can be one number or several');
  });
});

describe('unitTrouble', () => {
  it('wants a unit that measures such a thing', () => {
    expect(unitTrouble('level', 'dB(A)')).toBeNull();
    expect(unitTrouble('level', 'dBm')).toContain('A level is in dB');
    expect(unitTrouble('level', '')).toContain('A level is in dB');
    expect(unitTrouble('time', 'min')).toBeNull();
    expect(unitTrouble('size', 'μm')).toBeNull();
    expect(unitTrouble('force', 'Nm')).toContain('A force is in mN, N,');
    expect(unitTrouble('time', '')).toContain('Name the unit: µs, ms, s');
    expect(unitTrouble('other', 'furlongs')).toBeNull();
    expect(unitTrouble('yes-no', '')).toBeNull();
  });
});

describe('readValues of levels', () => {
  it('refuses what no level can be', () => {
    expect(values('-20,5 500', 'dB', 'level')).toEqual([-20.5, 500]);
    expect(values('60\n-5000', 'dB', 'level')).toBe(
      'Line 2, value 1, “-5000”, is no level: in dB it lies between −500 and 500.',
    );
    expect(values('500.1', 'dB', 'level')).toContain('is no level');
    expect(values('60000', 'Pa')).toEqual([60000]);
  });
});
