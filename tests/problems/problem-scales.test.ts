import { describe, expect, it } from 'vitest';
import {
  byPriority,
  canHurt,
  DETECTION,
  isGrave,
  type Judged,
  OCCURRENCE,
  occurrenceOf,
  priorityNumber,
  priorityWords,
  RANKS,
  type Rank,
  rankOf,
  ranksOf,
  SEVERITY,
  worseRank,
} from '../../src/problems/problem-scales.ts';

const every = RANKS.flatMap((severity) =>
  RANKS.flatMap((occurrence) => RANKS.map((detection): Judged => ({ severity, occurrence, detection }))),
);

describe('priorityNumber', () => {
  it('gives the numbers of the published sample analysis of a car door', () => {
    // The sample design analysis of SAE J1739 (1994), corroded inner door panels; from memory.
    const rows: [Rank, Rank, Rank, number][] = [
      [7, 6, 7, 294],
      [7, 4, 7, 196],
      [7, 2, 2, 28],
      [7, 5, 8, 280],
      [7, 3, 1, 21],
      [7, 4, 4, 112],
    ];
    for (const [severity, occurrence, detection, number] of rows) {
      expect(priorityNumber({ severity, occurrence, detection })).toBe(number);
    }
  });

  it('takes 120 values of the thousand, and 60, 72 and 120 in 24 ways each', () => {
    // J. B. Bowles, Proc. Reliability and Maintainability Symposium 2003: why the number is weak; from memory.
    const ways = new Map<number, number>();
    for (const judged of every) {
      const number = priorityNumber(judged);
      ways.set(number, (ways.get(number) ?? 0) + 1);
    }
    expect(ways.size).toBe(120);
    expect([60, 72, 120].map((number) => ways.get(number))).toEqual([24, 24, 24]);
    expect(Math.max(...ways.values())).toBe(24);
  });

  it('counts what is not judged as the worst, and says so', () => {
    expect(priorityNumber({ severity: 8, occurrence: null, detection: 3 })).toBe(240);
    expect(priorityNumber({ severity: 1, occurrence: null, detection: null })).toBe(100);
    expect(priorityWords({ severity: 8, occurrence: null, detection: 3 })).toEqual({
      sum: '8 × 10 × 3',
      open: 'how often not judged: counted as 10',
    });
    expect(priorityWords({ severity: 2, occurrence: null, detection: null }).open).toBe(
      'how often and how hardly noticed not judged: counted as 10',
    );
    expect(priorityWords({ severity: 2, occurrence: 3, detection: 4 }).open).toBe('');
    for (const judged of every) {
      const open = priorityNumber({ ...judged, occurrence: null });
      expect(open).toBeGreaterThanOrEqual(priorityNumber(judged));
    }
  });
});

describe('byPriority', () => {
  it('puts what can hurt before any product, then the product, the graver, the older', () => {
    const problem = (id: number, severity: Rank, occurrence: Rank | null, detection: Rank | null) => ({
      id,
      severity,
      occurrence,
      detection,
    });
    const sorted = [
      problem(1, 8, 10, 10),
      problem(2, 10, 1, 1),
      problem(3, 9, 2, 1),
      problem(4, 4, 5, 5),
      problem(5, 5, 4, 5),
      problem(6, 5, 4, 5),
      problem(7, 2, null, null),
    ].sort(byPriority);
    expect(sorted.map(({ id }) => id)).toEqual([3, 2, 1, 7, 5, 6, 4]);
  });

  it('is an order: never two that go before one another, and none that is below itself', () => {
    const some = every.filter((_, at) => at % 37 === 0).map((judged, id) => ({ ...judged, id }));
    for (const a of some) {
      for (const b of some) {
        expect(Math.sign(byPriority(a, b))).toBe(-Math.sign(byPriority(b, a)) + 0);
        if (canHurt(a.severity) && !canHurt(b.severity)) expect(byPriority(a, b)).toBeLessThan(0);
      }
    }
  });
});

describe('the scales', () => {
  it('have each rank once, in order, each with words of its own', () => {
    for (const scale of [SEVERITY, OCCURRENCE, DETECTION]) {
      expect(scale.map(({ rank }) => rank)).toEqual([...RANKS]);
      expect(new Set(scale.map(({ word }) => word)).size).toBe(10);
      expect(new Set(scale.map(({ meaning }) => meaning)).size).toBe(10);
    }
    expect(RANKS.filter(isGrave)).toEqual([8, 9, 10]);
    expect(RANKS.filter(canHurt)).toEqual([9, 10]);
    const categories = SEVERITY.map(({ category }) => category);
    expect([...categories].sort().reverse()).toEqual(categories);
  });

  it('have the rates of occurrence rise with the rank', () => {
    for (let at = 1; at < OCCURRENCE.length; at++) {
      expect(OCCURRENCE[at]!.upTo).toBeGreaterThan(OCCURRENCE[at - 1]!.upTo);
    }
  });

  it('take whole numbers of 1 to 10 and nothing else', () => {
    expect(rankOf(10)).toBe(10);
    for (const wrong of [0, 11, 2.5, -1, Number.NaN]) expect(() => rankOf(wrong)).toThrow('from 1 to 10');
    expect(ranksOf({ severity: 3, occurrence: null, detection: 1 })).toEqual({
      severity: 3,
      occurrence: null,
      detection: 1,
    });
    expect(() => ranksOf({ severity: 3, occurrence: 0, detection: 1 })).toThrow(RangeError);
  });

  it('keep the worse of two ranks, and a judged one before none', () => {
    expect([worseRank(3, 5), worseRank(5, 3), worseRank(null, 2), worseRank(2, null)]).toEqual([5, 5, 2, 2]);
    expect(worseRank(null, null)).toBeNull();
  });
});

describe('occurrenceOf', () => {
  it('reads a count in words by the rates of IEC 60812:2006, table 5 (from memory)', () => {
    const ranks: [string, Rank][] = [
      ['3 of 10 runs', 10],
      ['each time: 10 of 10', 10],
      ['1 in 10', 10],
      ['1 in 20', 9],
      ['about 1 in 50 turns', 8],
      ['1/100', 7],
      ['1 out of 200', 6],
      ['1 of 500', 5],
      ['1 of 1000', 4],
      ['1 of 2000', 3],
      ['1 of 10000', 2],
      ['1 of 100000', 1],
      ['1 of 15', 10],
      ['1 of 101', 7],
    ];
    for (const [often, rank] of ranks) expect([often, occurrenceOf(often)]).toEqual([often, rank]);
  });

  it('has nothing to say where no count is named, none was seen, or it can’t be', () => {
    for (const often of [
      '',
      'now and then',
      '3 times',
      '0 of 10',
      '4 of 3',
      '3 of 0',
      '1.5 of 10',
      '2 of 3.5',
    ]) {
      expect([often, occurrenceOf(often)]).toEqual([often, null]);
    }
  });
});
