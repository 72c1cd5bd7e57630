import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  DISPOSITIONS,
  followReason,
  type LineToCheck,
  mayCheck,
  openUnits,
  pieces,
  uncheckedOf,
} from '../../src/receiving/check-rules.ts';

const line: LineToCheck = {
  milli: 4000,
  countedMilli: 3000,
  checkedMilli: 1000,
  firstUnit: 5,
  checkedUnits: [5],
};
const accept = { disposition: 'accept', reason: '' };

describe('openUnits', () => {
  it('numbers on from the lines before, leaves out what is decided, and takes the short ones to be the last', () => {
    expect(openUnits(line)).toEqual([6, 7]);
    expect(openUnits({ ...line, checkedUnits: [6] })).toEqual([5, 7]);
    expect(openUnits({ ...line, countedMilli: null, checkedMilli: 0, checkedUnits: [] })).toEqual([]);
  });

  it('gives as many numbers as wait, each once, none decided, all of the line', () => {
    fc.assert(
      fc.property(fc.nat(30), fc.nat(30), fc.nat(99), fc.array(fc.nat(29)), (posted, count, first, done) => {
        const counted = Math.min(posted, count);
        const checkedUnits = [...new Set(done)]
          .filter((n) => n < posted)
          .slice(0, counted)
          .map((n) => n + first);
        const some: LineToCheck = {
          milli: posted * 1000,
          countedMilli: counted * 1000,
          checkedMilli: checkedUnits.length * 1000,
          firstUnit: first,
          checkedUnits,
        };
        const open = openUnits(some);
        expect(open.length * 1000).toBe(uncheckedOf(some));
        expect(new Set([...open, ...checkedUnits]).size).toBe(counted);
        for (const unit of open) expect(unit >= first && unit < first + posted).toBe(true);
      }),
      { seed: 20260304 },
    );
  });
});

describe('mayCheck', () => {
  const check = (unitNos: number[], what = accept) =>
    mayCheck(line, { unitNos }, what, 'piece')?.code ?? null;

  it('decides on counted units that have no disposition', () => {
    expect(check([6])).toBeNull();
    expect(check([6, 7])).toBeNull();
    expect(check([5])).toBe('unit-checked');
    expect(check([8])).toBe('unit-not-here');
    expect(check([1])).toBe('unit-not-here');
    expect(check([])).toBe('no-quantity');
    expect(check([6, 6])).toBe('unit-twice');
    expect(mayCheck({ ...line, countedMilli: null }, { unitNos: [6] }, accept, 'piece')?.code).toBe(
      'not-counted',
    );
  });

  it('asks for a reason for all but accept', () => {
    for (const disposition of DISPOSITIONS) {
      expect(check([6], { disposition, reason: ' ' })).toBe(disposition === 'accept' ? null : 'no-reason');
      expect(check([6], { disposition, reason: 'bent' })).toBeNull();
    }
    expect(check([6], { disposition: 'lose', reason: 'bent' })).toBe('no-disposition');
  });

  it('decides on metres by quantity, and only on what the person saw waiting', () => {
    const metres: LineToCheck = { ...line, checkedUnits: [1] };
    const of = (milli: number, waitingMilli = 2000) =>
      mayCheck(metres, { milli, waitingMilli }, accept, 'm')?.code ?? null;
    expect(of(1500)).toBeNull();
    expect(of(2000)).toBeNull();
    expect(of(2001)).toBe('more-than-counted');
    expect(of(0)).toBe('no-quantity');
    expect(of(-5)).toBe('no-quantity');
    expect(of(500, 3000)).toBe('checked-meanwhile');
    expect(mayCheck(metres, { unitNos: [6] }, accept, 'm')?.code).toBe('other-unit');
    expect(mayCheck(line, { milli: 1000, waitingMilli: 2000 }, accept, 'piece')?.code).toBe('other-unit');
  });

  it('never decides on more than was counted, whatever is tried', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 12 }),
        fc.nat(12),
        fc.array(fc.array(fc.integer({ min: 0, max: 14 }), { maxLength: 4 }), { maxLength: 20 }),
        (posted, count, tries) => {
          const counted = Math.min(posted, count);
          let now: LineToCheck = {
            milli: posted * 1000,
            countedMilli: counted * 1000,
            checkedMilli: 0,
            firstUnit: 1,
            checkedUnits: [],
          };
          for (const unitNos of tries) {
            if (mayCheck(now, { unitNos }, accept, 'piece')) continue;
            now = {
              ...now,
              checkedMilli: now.checkedMilli + unitNos.length * 1000,
              checkedUnits: [...now.checkedUnits, ...unitNos],
            };
          }
          expect(new Set(now.checkedUnits).size).toBe(now.checkedUnits.length);
          expect(uncheckedOf(now)).toBeGreaterThanOrEqual(0);
        },
      ),
      { seed: 20260305 },
    );
  });
});

describe('followReason', () => {
  it('reworks what is reworked or returned, replaces what is scrapped, and leaves the rest', () => {
    expect(DISPOSITIONS.map(followReason)).toEqual([null, null, 'rework', 'rework', 'replacement']);
  });
});

describe('pieces', () => {
  it('names pieces in words', () => {
    expect([pieces([4]), pieces([4, 5]), pieces([4, 5, 9])]).toEqual([
      'piece 4',
      'pieces 4 and 5',
      'pieces 4, 5 and 9',
    ]);
  });
});
