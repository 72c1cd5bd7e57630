import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dayIn, dayOf } from '../../src/platform/day.ts';
import { momentOfDay } from '../../src/receiving/moment-of-day.ts';
import { parcelState } from '../../src/receiving/parcel-state.ts';
import { readCount } from '../../src/receiving/say.ts';
import { usualPost, usualPostWords } from '../../src/receiving/usual-post.ts';

const WIDE = { from: new Date('2000-01-01T00:00:00Z'), until: new Date('2099-01-01T00:00:00Z') };

describe('momentOfDay', () => {
  it('lies on the day it stands for, wherever the build is', () => {
    const zones = [
      'Pacific/Auckland',
      'Pacific/Kiritimati',
      'Asia/Kathmandu',
      'Europe/Oslo',
      'UTC',
      'America/St_Johns',
      'Pacific/Pago_Pago',
    ];
    fc.assert(
      fc.property(fc.integer({ min: 15_000, max: 30_000 }), fc.constantFrom(...zones), (number, zone) => {
        const day = dayOf(number);
        expect(dayIn(zone, momentOfDay(day, zone, WIDE))).toBe(day);
      }),
      { seed: 20260307 },
    );
    expect(momentOfDay('2026-03-03', 'Pacific/Auckland', WIDE).toISOString()).toBe(
      '2026-03-03T00:00:00.000Z',
    );
  });

  it('keeps within its bounds', () => {
    const from = new Date('2026-03-03T15:00:00Z');
    expect(momentOfDay('2026-03-03', 'UTC', { ...WIDE, from })).toEqual(from);
    const until = new Date('2026-03-03T09:00:00Z');
    expect(momentOfDay('2026-03-03', 'UTC', { ...WIDE, until })).toEqual(until);
  });
});

describe('usualPost', () => {
  const from = (country: string, ...days: number[]) => days.map((count) => ({ country, days: count }));

  it('takes the middle of the parcels from the country', () => {
    expect(usualPost([...from('NZ', 9, 6, 14), ...from('SE', 2, 2, 2, 2)], 'NZ')).toEqual({
      days: 9,
      count: 3,
      country: 'NZ',
    });
    expect(usualPost(from('NZ', 4, 6, 9, 14), 'NZ')?.days).toBe(9);
  });

  it('goes by all parcels where few came from there, and foretells nothing from fewer than three', () => {
    const times = [...from('NZ', 9, 6), ...from('SE', 2)];
    expect(usualPost(times, 'NZ')).toEqual({ days: 6, count: 3, country: null });
    expect(usualPost(times, '')).toEqual({ days: 6, count: 3, country: null });
    expect(usualPost(from('NZ', 9, 6), 'NZ')).toBeNull();
    expect(usualPost([], 'NZ')).toBeNull();
  });

  it('says truly that half of them took no longer', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(60), { minLength: 3, maxLength: 30 }), (days) => {
        const usual = usualPost(from('NZ', ...days), 'NZ');
        const within = days.filter((count) => count <= (usual?.days ?? -1)).length;
        expect(within * 2).toBeGreaterThanOrEqual(days.length);
        expect(days).toContain(usual?.days);
      }),
      { seed: 20260308 },
    );
    expect(usualPostWords({ days: 1, count: 4, country: null })).toBe(
      'half of 4 earlier parcels from anywhere took 1 day or less',
    );
  });
});

describe('parcelState', () => {
  const line = (countedMilli: number | null, checkedMilli = 0) => ({
    milli: 2000,
    countedMilli,
    checkedMilli,
  });
  it('follows from arrival, count and dispositions', () => {
    expect(parcelState(false, [line(null)])).toBe('in the post');
    expect(parcelState(false, [line(0)])).toBe('written off');
    expect(parcelState(true, [line(null), line(2000, 2000)])).toBe('to count');
    expect(parcelState(true, [line(2000, 1000), line(0)])).toBe('to inspect');
    expect(parcelState(true, [line(2000, 2000), line(0)])).toBe('done');
  });
});

describe('readCount', () => {
  it('takes none as a count, and nothing typed as no count', () => {
    expect([
      readCount('0', 'piece'),
      readCount('0,0', 'm'),
      readCount(' ', 'piece'),
      readCount('3', 'piece'),
    ]).toEqual([{ milli: 0 }, { milli: 0 }, { milli: null }, { milli: 3000 }]);
    expect(readCount('1.5', 'piece')).toHaveProperty('sentence');
  });
});
