import { describe, expect, it } from 'vitest';
import {
  mayAcceptWithSample,
  mayTakeSample,
  measuredOf,
  missChance,
  sampleSize,
  sampleState,
  sampleWords,
  surelyFound,
} from '../../src/receiving/sampling.ts';

describe('sampleSize', () => {
  // MIL-STD-105E (1989), table I, general inspection level II, and table II-A: the ends of each line.
  it.each([
    [26, 'D', 8],
    [50, 'D', 8],
    [51, 'E', 13],
    [90, 'E', 13],
    [91, 'F', 20],
    [150, 'F', 20],
    [151, 'G', 32],
    [280, 'G', 32],
    [281, 'H', 50],
    [400, 'H', 50],
    [500, 'H', 50],
    [501, 'J', 80],
    [1200, 'J', 80],
    [1201, 'K', 125],
    [3200, 'K', 125],
    [3201, 'L', 200],
    [10_000, 'L', 200],
    [10_001, 'M', 315],
    [35_000, 'M', 315],
    [150_000, 'N', 500],
    [500_000, 'P', 800],
    [500_001, 'Q', 1250],
  ])('of %i pieces is letter %s, %i of them', (lot, letter, size) => {
    expect(sampleSize(lot)).toEqual({ letter, size });
  });

  it('is none of a small lot, which is measured whole', () => {
    for (const lot of [0, 1, 12, 25, 26.5]) expect(sampleSize(lot)).toBeNull();
  });
});

describe('what a sample shows', () => {
  it('misses as often as counting all samples says', () => {
    // Of 5 pieces with 2 outside there are 10 pairs; 3 of them have none of the two.
    expect(missChance(5, 2, 2)).toBeCloseTo(0.3, 12);
    expect(missChance(400, 50, 1)).toBeCloseTo(0.875, 12);
    expect(missChance(400, 50, 0)).toBe(1);
    expect(missChance(30, 30, 1)).toBe(0);
  });

  it('finds so many bad ones 19 times in 20, and one fewer more seldom', () => {
    for (const [lot, size] of [
      [26, 8],
      [400, 50],
      [1200, 80],
    ] as const) {
      const found = surelyFound(lot, size);
      expect(missChance(lot, size, found)).toBeLessThanOrEqual(0.05);
      expect(missChance(lot, size, found - 1)).toBeGreaterThan(0.05);
    }
    expect(surelyFound(400, 50)).toBe(22);
  });

  it('is said with what it does not show, and its source', () => {
    const words = sampleWords(400, { letter: 'H', size: 50 }).join(' ');
    expect(words).toContain('22 or more bad pieces (5.5 %) at least 95 times in 100');
    expect(words).toContain('a single one is missed 88 times in 100');
    expect(words).toContain('MIL-STD-105E');
    expect(words).toContain('does not show that none is bad');
  });
});

describe('a sample that was taken', () => {
  const sample = { lot: 26, letter: 'D', unitNos: [1, 2, 3], isEnded: false };
  const units = (...dispositions: string[]) =>
    dispositions.map((disposition, index) => ({ unitNo: index + 1, disposition }));

  it('stands as its pieces came out', () => {
    expect(sampleState(sample, [])).toBe('measuring');
    expect(sampleState(sample, units('accept', 'accept'))).toBe('measuring');
    expect(sampleState(sample, units('accept', 'accept', 'accept'))).toBe('passed');
    expect(sampleState(sample, units('accept', 'concession'))).toBe('failed');
    expect(
      sampleState(sample, [...units('accept', 'accept', 'accept'), { unitNo: 9, disposition: 'scrap' }]),
    ).toBe('passed');
  });

  it('has every dimension measured, but of pieces that a passed one stands for', () => {
    expect(measuredOf(2, sample, 'passed')).toBe('every');
    expect(measuredOf(9, sample, 'passed')).toBe('key');
    expect(measuredOf(9, sample, 'measuring')).toBe('every');
    expect(measuredOf(9, sample, 'failed')).toBe('every');
    expect(measuredOf(9, { ...sample, isEnded: true }, 'measuring')).toBe('key');
    expect(measuredOf(9, null, null)).toBe('key');
  });

  it('is taken once, of enough pieces none of which was bad', () => {
    const open = Array.from({ length: 30 }, (_, index) => index + 1);
    expect(mayTakeSample(open, null, [], 2)).toBeNull();
    expect(mayTakeSample(open, sample, [], 2)?.code).toBe('sampled');
    expect(mayTakeSample(open, null, [{ unitNo: 40, disposition: 'rework' }], 2)?.sentence).toContain(
      'Piece 40',
    );
    expect(mayTakeSample(open.slice(5), null, [], 2)?.code).toBe('lot-too-small');
    expect(mayTakeSample(open, null, [], 0)?.code).toBe('nothing-to-measure');
  });

  it('lets the others be accepted with it only when it passed and no dimension is key', () => {
    expect(mayAcceptWithSample([9], sample, 'passed', 0)).toBeNull();
    expect(mayAcceptWithSample([9], sample, 'passed', 1)?.code).toBe('keys-on-each');
    expect(mayAcceptWithSample([9], sample, 'measuring', 0)?.code).toBe('sample-open');
    expect(mayAcceptWithSample([9], sample, 'failed', 0)?.code).toBe('sample-failed');
    expect(mayAcceptWithSample([], sample, 'passed', 0)?.code).toBe('nothing-waits');
    expect(mayAcceptWithSample([9], { ...sample, isEnded: true }, 'passed', 0)?.code).toBe('no-sample');
  });
});
