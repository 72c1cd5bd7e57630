import { describe, expect, it } from 'vitest';
import { daysOf, momentsOf, type Week, weekChain, weekOf } from '../../src/bulletin/week.ts';
import { addDays, dayIn, daysBetween, weekday } from '../../src/platform/day.ts';

describe('weekOf', () => {
  it('closes on the weekday asked for', () => {
    expect(weekOf('2026-03-02', 7)).toEqual({ from: '2026-03-02', until: '2026-03-08' });
    expect(weekOf('2026-03-08', 7)).toEqual({ from: '2026-03-02', until: '2026-03-08' });
    expect(weekOf('2026-03-02', 1)).toEqual({ from: '2026-02-24', until: '2026-03-02' });
  });
});

const untils = (weeks: Week[]) => weeks.map(({ until }) => until);

describe('weekChain', () => {
  it('goes back to the first day and no further', () => {
    expect(untils(weekChain('2026-03-10', '2026-03-02', 7, []))).toEqual(['2026-03-15', '2026-03-08']);
    expect(untils(weekChain('2026-03-10', '2026-03-01', 7, []))).toEqual([
      '2026-03-15',
      '2026-03-08',
      '2026-03-01',
    ]);
  });

  it('keeps what was published to Sunday when the build closes its weeks on Wednesday: the week between is short', () => {
    const weeks = weekChain('2026-03-18', '2026-02-24', 3, ['2026-03-01', '2026-03-08']);
    expect(weeks).toEqual([
      { from: '2026-03-12', until: '2026-03-18' },
      { from: '2026-03-09', until: '2026-03-11' },
      { from: '2026-03-02', until: '2026-03-08' },
      { from: '2026-02-23', until: '2026-03-01' },
    ]);
    expect(daysOf(weeks[1]!)).toBe(3);
  });

  it('lets a week that is being written run to its end', () => {
    expect(weekChain('2026-03-03', '2026-03-02', 3, ['2026-03-08'])).toEqual([
      { from: '2026-03-02', until: '2026-03-08' },
    ]);
  });

  it('puts each day into exactly one week, whatever was kept and changed', () => {
    let seed = 20260302;
    const random = (below: number) => {
      seed = (seed * 1103515245 + 12345) % 2147483648;
      return Math.floor((seed / 2147483648) * below);
    };
    for (let round = 0; round < 300; round += 1) {
      const first = addDays('2026-01-01', random(30));
      const today = addDays(first, random(120));
      let kept: string[] = [];
      // A build that lives: now and then a week of the chain is kept, now and then the weekday changes.
      let closing = 1 + random(7);
      for (let day = first; day <= today; day = addDays(day, 1 + random(9))) {
        const chain = weekChain(day, first, closing, kept);
        if (random(2)) kept = [...kept, chain[random(chain.length)]!.until];
        if (random(4) === 0) closing = 1 + random(7);
      }
      const weeks = weekChain(today, first, closing, kept);
      expect(untils(weeks)).toEqual(expect.arrayContaining([...new Set(kept)]));
      expect(weeks[0]!.from <= today && today <= weeks[0]!.until).toBe(true);
      expect(weeks.at(-1)!.from <= first).toBe(true);
      for (const [at, week] of weeks.entries()) {
        expect(daysOf(week)).toBeGreaterThanOrEqual(1);
        expect(daysOf(week)).toBeLessThanOrEqual(7);
        if (at > 0) expect(daysBetween(week.until, weeks[at - 1]!.from)).toBe(1);
      }
      if (kept.length === 0) expect(weeks.every(({ until }) => weekday(until) === closing)).toBe(true);
    }
  });
});

describe('momentsOf', () => {
  it.each([
    // Zones and their offsets: the tz database, as the runtime carries it.
    ['Pacific/Auckland', '2026-03-01T11:00:00.000+00:00', '2026-03-08T11:00:00.000+00:00'], // UTC+13 in summer
    ['Pacific/Pago_Pago', '2026-03-02T11:00:00.000+00:00', '2026-03-09T11:00:00.000+00:00'], // UTC-11
    ['Pacific/Kiritimati', '2026-03-01T10:00:00.000+00:00', '2026-03-08T10:00:00.000+00:00'], // UTC+14
    ['UTC', '2026-03-02T00:00:00.000+00:00', '2026-03-09T00:00:00.000+00:00'],
  ])('begins and ends the week at midnight in %s', (timeZone, from, until) => {
    expect(momentsOf({ from: '2026-03-02', until: '2026-03-08' }, timeZone)).toEqual({ from, until });
  });

  it('knows weeks of 167 and 169 hours', () => {
    const hours = (week: Week, timeZone: string) => {
      const { from, until } = momentsOf(week, timeZone);
      return (Date.parse(until) - Date.parse(from)) / 3_600_000;
    };
    // Summer time in the European Union: last Sunday of March to last Sunday of October (Directive 2000/84/EC).
    expect(hours({ from: '2026-03-23', until: '2026-03-29' }, 'Europe/Ljubljana')).toBe(167);
    expect(hours({ from: '2026-10-19', until: '2026-10-25' }, 'Europe/Ljubljana')).toBe(169);
    expect(hours({ from: '2026-03-30', until: '2026-04-05' }, 'Europe/Ljubljana')).toBe(168);
    // Clocks there go back at midnight: the last day of the week has its first hour twice.
    expect(hours({ from: '2026-10-26', until: '2026-11-01' }, 'America/Havana')).toBe(169);
  });

  it('agrees with the calendar day of each moment at the border', () => {
    for (const timeZone of ['Pacific/Auckland', 'Pacific/Pago_Pago', 'Asia/Kathmandu', 'Europe/Ljubljana'])
      for (const until of ['2026-03-29', '2026-10-25', '2026-04-05', '2026-09-27']) {
        const bounds = momentsOf({ from: addDays(until, -6), until }, timeZone);
        const end = Date.parse(bounds.until);
        expect(dayIn(timeZone, new Date(end - 1))).toBe(until);
        expect(dayIn(timeZone, new Date(end))).toBe(addDays(until, 1));
        expect(dayIn(timeZone, new Date(Date.parse(bounds.from)))).toBe(addDays(until, -6));
      }
  });
});
