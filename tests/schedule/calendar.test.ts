import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  earliestStart,
  endOf,
  lagAfter,
  latestBefore,
  latestStart,
  weekdaysOf,
  workingCalendar,
} from '../../src/schedule/calendar.ts';

const anyCalendar = fc
  .record({
    offset: fc.integer({ min: 0, max: 6 }),
    weekdays: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1, maxLength: 7 }),
  })
  .map(({ offset, weekdays }) => workingCalendar(`2026-03-0${2 + offset}`, weekdays));
const anyMoment = fc.integer({ min: -60, max: 6000 });
const anyDays = fc.integer({ min: 0, max: 400 });

describe('workingCalendar', () => {
  it('numbers the working days from today, both ways', () => {
    const calendar = workingCalendar('2026-03-04', [1, 2, 3, 4, 5]); // a Wednesday
    expect([0, 1, 2, 3, 4].map((n) => calendar.dayAt(calendar.workingDay(n)))).toEqual([
      '2026-03-04',
      '2026-03-05',
      '2026-03-06',
      '2026-03-09',
      '2026-03-10',
    ]);
    expect(calendar.dayAt(calendar.workingDay(-3))).toBe('2026-02-27');
    expect(calendar.workingBefore(calendar.momentOf('2026-03-09'))).toBe(3);
    expect(calendar.workingBefore(calendar.momentOf('2026-02-27'))).toBe(-3);
  });

  it('counts as a walk over the days does', () => {
    fc.assert(
      fc.property(anyCalendar, fc.integer({ min: 0, max: 400 }), (calendar, moment) => {
        let walked = 0;
        for (let day = 0; day < moment; day++) {
          if (calendar.workingDay(calendar.workingBefore(day)) === day) walked += 1;
        }
        expect(calendar.workingBefore(moment)).toBe(walked);
      }),
      { seed: 1 },
    );
  });

  it('holds fifteen years ahead, and works every day where no weekday is named', () => {
    const calendar = workingCalendar('2026-03-02', []);
    expect(calendar.perWeek).toBe(7);
    const far = workingCalendar('2026-03-02', [6]);
    expect(far.dayAt(far.workingDay(52 * 15))).toBe('2041-02-16');
  });

  it('weekdaysOf reads a setting and passes over what is no weekday', () => {
    expect(weekdaysOf('1,2,6')).toEqual([1, 2, 6]);
    expect(weekdaysOf('0,8,x, 3')).toEqual([3]);
    expect(weekdaysOf('')).toEqual([]);
  });
});

describe('work on the calendar', () => {
  const calendar = workingCalendar('2026-03-02', [1, 2, 3, 4, 5]);

  it('endOf: five working days from Thursday end on Wednesday evening; five calendar days on Tuesday', () => {
    const thursday = calendar.momentOf('2026-03-05');
    expect(calendar.dayAt(endOf(calendar, thursday, 5, true) - 1)).toBe('2026-03-11');
    expect(calendar.dayAt(endOf(calendar, thursday, 5, false))).toBe('2026-03-10');
    expect(endOf(calendar, thursday, 0, true)).toBe(thursday);
  });

  it('latestStart is the latest start that still ends in time', () => {
    fc.assert(
      fc.property(anyCalendar, anyMoment, anyDays, fc.boolean(), (any, end, days, working) => {
        const start = latestStart(any, end, days, working);
        expect(endOf(any, start, days, working)).toBeLessThanOrEqual(end);
        expect(endOf(any, start + 1, days, working)).toBeGreaterThan(end);
      }),
      { seed: 2 },
    );
  });

  it('earliestStart is the earliest start that does not end before', () => {
    fc.assert(
      fc.property(anyCalendar, anyMoment, anyDays, fc.boolean(), (any, end, days, working) => {
        const start = earliestStart(any, end, days, working);
        expect(endOf(any, start, days, working)).toBeGreaterThanOrEqual(end);
        expect(endOf(any, start - 1, days, working)).toBeLessThan(end);
      }),
      { seed: 3 },
    );
  });

  it('latestBefore is the latest moment whose lag does not run over', () => {
    fc.assert(
      fc.property(anyCalendar, anyMoment, fc.integer({ min: -40, max: 40 }), (any, end, lag) => {
        const moment = latestBefore(any, end, lag);
        expect(lagAfter(any, moment, lag)).toBeLessThanOrEqual(end);
        expect(lagAfter(any, moment + 1, lag)).toBeGreaterThan(end);
      }),
      { seed: 4 },
    );
  });
});
