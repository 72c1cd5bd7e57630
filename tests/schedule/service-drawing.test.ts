import { describe, expect, it } from 'vitest';
import { barOf, dateScale, lastDayDrawn } from '../../src/schedule/drawing.ts';

describe('dateScale', () => {
  it('runs from the morning of the first day to the end of the last', () => {
    const scale = dateScale('2026-03-02', '2026-03-11');
    expect(scale.place('2026-03-02')).toBe(0);
    expect(scale.place('2026-03-07')).toBe(50);
    expect(scale.place('2026-03-12')).toBe(100);
    expect(scale.ticks).toEqual([]);
  });

  it('marks months, fewer the longer it is, with the year at its beginning', () => {
    const labels = (from: string, until: string) => dateScale(from, until).ticks.map(({ label }) => label);
    expect(labels('2026-11-10', '2027-03-20')).toEqual(['Dec 2026', 'Jan 2027', 'Feb', 'Mar']);
    expect(labels('2026-03-02', '2027-12-01')).toEqual(['Jul 2026', 'Jan 2027', 'Jul']);
    expect(labels('2026-03-02', '2036-03-02')).toEqual(['2028', '2030', '2032', '2034', '']);
    for (const until of ['2026-03-02', '2026-05-30', '2029-01-01', '2041-03-02', '2099-12-31']) {
      const { ticks } = dateScale('2026-03-02', until);
      expect(ticks.length).toBeLessThanOrEqual(8);
      for (const { at } of ticks) expect(at).toBeGreaterThan(0);
      for (const { at } of ticks) expect(at).toBeLessThan(100);
    }
  });
});

describe('lastDayDrawn', () => {
  const until = (day: string) => ({ fromOn: '2026-03-02', untilOn: day });

  it('takes in what ends after the finish, up to a quarter more', () => {
    expect(lastDayDrawn('2026-03-02', '2026-03-21', [])).toBe('2026-03-21');
    expect(lastDayDrawn('2026-03-02', '2026-03-21', [null, until('2026-03-10')])).toBe('2026-03-21');
    expect(lastDayDrawn('2026-03-02', '2026-03-21', [until('2026-03-23')])).toBe('2026-03-23');
    expect(lastDayDrawn('2026-03-02', '2026-03-21', [until('2036-03-23')])).toBe('2026-03-26');
    expect(lastDayDrawn('2026-03-02', '2026-03-02', [until('2026-04-01')])).toBe('2026-03-03');
  });
});

describe('barOf', () => {
  const scale = dateScale('2026-03-02', '2026-03-11');
  const none = { promise: null, simulated: null };

  it('gives a day its whole width, and the float from the end to the latest end', () => {
    const day = { earlyStart: '2026-03-04', earlyEnd: '2026-03-04', lateEnd: '2026-03-08' };
    expect(barOf(scale, day)).toEqual({ at: 20, width: 10, floatFrom: 30, floatTo: 70, ...none });
  });

  it('has no float where the latest end is the early one', () => {
    const day = { earlyStart: '2026-03-02', earlyEnd: '2026-03-11', lateEnd: '2026-03-11' };
    expect(barOf(scale, day)).toEqual({ at: 0, width: 100, floatFrom: 100, floatTo: 100, ...none });
  });

  it('draws ranges from the morning of their first day to the end of their last, marked where they end within', () => {
    const day = { earlyStart: '2026-03-02', earlyEnd: '2026-03-04', lateEnd: '2026-03-04' };
    const ranges = (fromOn: string, untilOn: string) =>
      barOf(scale, { ...day, promise: { fromOn, untilOn }, simulated: { fromOn, untilOn } });
    const whole = { from: 10, to: 50, beginsHere: true, endsHere: true };
    expect(ranges('2026-03-03', '2026-03-06')).toMatchObject({ promise: whole, simulated: whole });
    expect(ranges('2026-02-03', '2026-04-06').promise).toEqual({
      from: 0,
      to: 100,
      beginsHere: false,
      endsHere: false,
    });
    expect(ranges('2026-02-03', '2026-02-06').promise).toBeNull();
    expect(ranges('2026-03-12', '2026-03-13').simulated).toBeNull();
  });
});
