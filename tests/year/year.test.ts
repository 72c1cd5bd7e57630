import { describe, expect, it } from 'vitest';
import { graphOf } from '../../src/parts/index.ts';
import { addDays } from '../../src/platform/day.ts';
import {
  type AcceptedUnits,
  acceptedByPart,
  acceptedOverTime,
  neededOverTime,
  plannedOverTime,
} from '../../src/year/accepted.ts';
import { byAssembly, mainAssemblies } from '../../src/year/by-assembly.ts';
import { byCountry, type CountryYear, ELSEWHERE, pooled } from '../../src/year/by-country.ts';
import { hoursByMonth } from '../../src/year/hours.ts';
import { addMonths, isMonth, lastDayOf, monthsFrom, monthWords } from '../../src/year/months.ts';
import { giversOf, toldMonths, untold } from '../../src/year/outside.ts';
import { countLines, countTicks, estimateLines, monthBars } from '../../src/year/pictures.ts';
import { promiseOutcome, promisesByMonth } from '../../src/year/promises.ts';
import { countriesView, promisesView } from '../../src/year/view.ts';
import { part } from '../schedule/derive-facts.ts';

/** Whole numbers below a limit, always the same ones: the multiplicative generator of Park and Miller (1988). */
function dice(seed: number): (limit: number) => number {
  let state = seed;
  return (limit) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % limit;
  };
}

describe('months', () => {
  it('count across years, leap days and the ends of them', () => {
    expect(addMonths('2025-11', 3)).toBe('2026-02');
    expect(addMonths('2026-01', -1)).toBe('2025-12');
    expect(lastDayOf('2024-02')).toBe('2024-02-29');
    expect(monthsFrom('2025-11', '2026-02')).toEqual(['2025-11', '2025-12', '2026-01', '2026-02']);
    expect(monthsFrom('2026-02', '2026-01')).toEqual([]);
    expect(monthWords('2026-03')).toBe('Mar 2026');
    expect(['2026-13', '2026-00', '26-01', '2026-1', ''].map(isMonth)).toEqual(Array(5).fill(false));
  });
});

describe('acceptedOverTime', () => {
  const required = new Map([
    [1, 3000],
    [2, 2000],
  ]);
  const unit = (day: string, partId: number, milli: number, personId = 3): AcceptedUnits => ({
    day,
    partId,
    personId,
    milli,
  });

  it('counts a part no further than it is needed, and what was given up not at all', () => {
    const units = [
      unit('2025-12-31', 1, 1000),
      unit('2026-01-01', 1, 4000),
      unit('2026-02-10', 2, 1000),
      unit('2026-02-11', 9, 1000),
      unit('2026-03-01', 1, -3000),
    ];
    expect(acceptedOverTime(units, required, ['2026-01', '2026-02', '2026-03'])).toEqual({
      before: 1,
      ends: [3, 4, 3],
      spare: 0,
    });
    expect(acceptedOverTime(units.slice(0, 2), required, ['2026-01']).spare).toBe(2);
    expect(acceptedOverTime([], required, ['2026-01', '2026-02'])).toEqual({
      before: 0,
      ends: [0, 0],
      spare: 0,
    });
  });

  it('is what a plain count up to each last day gives, in whatever order', () => {
    const next = dice(20_261_130);
    const months = monthsFrom('2025-10', '2026-09');
    const needs = new Map(Array.from({ length: 12 }, (_, id) => [id, 1000 * (1 + next(9))]));
    const units = Array.from({ length: 400 }, () =>
      unit(addDays('2025-07-15', next(420)), next(14), next(12) === 0 ? -1000 : 1000 * (1 + next(2))),
    );
    const upTo = (day: string) => {
      let milli = 0;
      for (const [partId, most] of needs) {
        const sum = units
          .filter((one) => one.partId === partId && one.day <= day)
          .reduce((a, b) => a + b.milli, 0);
        milli += Math.max(0, Math.min(most, sum));
      }
      return milli / 1000;
    };
    const { before, ends } = acceptedOverTime(units, needs, months);
    expect(before).toBe(upTo('2025-09-30'));
    expect(ends).toEqual(months.map((month) => upTo(lastDayOf(month))));
    const all = [...acceptedByPart(units, needs).values()].reduce((a, b) => a + b, 0);
    expect(all / 1000).toBe(upTo('2999-12-31'));
  });
});

describe('what is needed by when', () => {
  const required = new Map([
    [1, 3000],
    [2, 2000],
  ]);

  it('adds what jobs owe by the end of each month to what is there, no part more than it lacks', () => {
    const accepted = new Map([[1, 1000]]);
    const toCome = [
      { partId: 2, milli: 1000, byOn: '2026-05-31' },
      { partId: 1, milli: 4000, byOn: '2026-04-02' },
      { partId: 2, milli: 1000, byOn: null },
    ];
    const months = ['2026-02', '2026-03', '2026-04', '2026-05'];
    expect(neededOverTime(toCome, accepted, required, months, '2026-03-02')).toEqual([null, 1, 3, 4]);
  });

  it('tells a kept plan from the month it was kept in: a part counts when all of it is to be ready', () => {
    const plan = { day: '2026-02-10', parts: [{ partId: 1, readyOn: '2026-04-01' }] };
    expect(plannedOverTime(plan, required, ['2026-01', '2026-02', '2026-03', '2026-04'])).toEqual([
      null,
      2,
      2,
      5,
    ]);
  });
});

describe('promises', () => {
  const promise = {
    claimedOn: '2026-03-01',
    soonestDays: 5,
    latestDays: 10,
    postedOn: null as string | null,
  };
  it('are judged by their soonest and latest day, both of them in time', () => {
    const outcome = (postedOn: string | null, today = '2026-03-20') =>
      promiseOutcome({ ...promise, postedOn }, today);
    expect(outcome('2026-03-05')).toBe('early');
    expect(outcome('2026-03-06')).toBe('onTime');
    expect(outcome('2026-03-11')).toBe('onTime');
    expect(outcome('2026-03-12')).toBe('late');
    expect(outcome(null, '2026-03-11')).toBe('open');
    expect(outcome(null, '2026-03-12')).toBe('overdue');
  });

  it('stand in the month of their latest day; each is counted once', () => {
    const next = dice(7);
    const all = Array.from({ length: 300 }, () => {
      const claimedOn = addDays('2025-06-01', next(400));
      const latestDays = next(60);
      const postedOn = next(3) === 0 ? null : addDays(claimedOn, next(90));
      return { claimedOn, soonestDays: Math.floor(latestDays / 2), latestDays, postedOn };
    });
    const months = monthsFrom('2025-08', '2026-03');
    const today = '2026-03-10';
    const { months: rows, dueLater } = promisesByMonth(all, months, today);
    months.forEach((month, at) => {
      const own = all.filter((one) => addDays(one.claimedOn, one.latestDays).startsWith(month));
      expect(Object.values(rows[at]!).reduce((a, b) => a + b)).toBe(own.length);
      expect(rows[at]!.late).toBe(
        own.filter((one) => one.postedOn !== null && one.postedOn > addDays(one.claimedOn, one.latestDays))
          .length,
      );
    });
    expect(dueLater).toBe(all.filter((one) => addDays(one.claimedOn, one.latestDays) > '2026-03-31').length);
  });
});

describe('promises in words', () => {
  const words = (open: number, dueLater: number) =>
    promisesView({
      months: ['2026-01'],
      promises: { months: [{ early: 0, onTime: 0, late: 0, overdue: 0, open }], dueLater },
    } as unknown as Parameters<typeof promisesView>[0])?.words;

  it('say of months without any that none fell due, and not that none ever did', () => {
    expect(words(0, 4)).toBe('No promise fell due in these months.');
    expect(words(2, 4)).toBe('No promise of these months has fallen due yet.');
    expect(words(0, 0)).toBeUndefined();
  });
});

describe('hoursByMonth', () => {
  it('sums what was said, and counts what was not', () => {
    const report = (day: string, hours: number | null) => ({ day, hours, partId: 1, personId: 3 });
    const rows = hoursByMonth(
      [
        report('2026-01-31', 2.5),
        report('2026-02-01', null),
        report('2026-02-28', 0),
        report('2026-03-01', 9),
      ],
      ['2026-01', '2026-02'],
    );
    expect(rows).toEqual([
      { hours: 2.5, reports: 1, said: 1 },
      { hours: 0, reports: 2, said: 1 },
    ]);
  });
});

describe('by assembly', () => {
  // A machine (1) of a drive (2), two wheels (3) and a lid (4); gears (5) go into drive and wheels, the lid straight in.
  const rows = [
    part(1, { kind: 'assembly', name: 'Machine' }),
    part(2, { kind: 'assembly', name: 'Drive' }),
    part(3, { kind: 'assembly', name: 'Wheel' }),
    part(4, { name: 'Lid' }),
    part(5, { name: 'Gear' }),
  ];
  const use = (parentId: number, childId: number, pieces: number, id = childId) => ({
    id,
    parentId,
    childId,
    milli: pieces * 1000,
    note: '',
  });
  const graph = graphOf(rows, [use(1, 2, 1), use(1, 3, 2), use(1, 4, 1), use(2, 5, 2), use(3, 5, 3)]);

  it('takes what goes into the one top and holds parts itself; the rest is the top’s own', () => {
    const found = mainAssemblies(graph).map(({ part: own, takes }) => [own.name, Object.fromEntries(takes)]);
    expect(found).toEqual([
      ['Drive', { 2: 1000, 5: 2000 }],
      ['Wheel', { 3: 2000, 5: 6000 }],
      ['Machine', { 4: 1000, 1: 1000 }],
    ]);
  });

  it('adds up to what the whole needs, has and was given', () => {
    const required = new Map([...graph.required()].filter(([id]) => id >= 4));
    const accepted = new Map([
      [5, 4000],
      [4, 1000],
    ]);
    const units = [
      { day: '2026-01-01', partId: 5, personId: 3, milli: 4000 },
      { day: '2026-01-02', partId: 4, personId: 4, milli: 1000 },
    ];
    const reports = [{ day: '2026-01-01', partId: 5, personId: 3, hours: 8 }];
    const told = byAssembly(mainAssemblies(graph), required, accepted, units, reports);
    expect(
      told.map(({ part: own, needed, accepted: has, inSpan, hours, givers }) => [
        own.name,
        needed,
        has,
        inSpan,
        hours,
        givers.size,
      ]),
    ).toEqual([
      ['Wheel', 6, 3, 3, 6, 1],
      ['Drive', 2, 1, 1, 2, 1],
      ['Machine', 1, 1, 1, 0, 0],
    ]);
  });

  it('takes several tops each for itself, and a lone part without anything for none', () => {
    const two = graphOf([rows[1]!, rows[2]!, rows[4]!], [use(2, 5, 2), use(3, 5, 3)]);
    expect(mainAssemblies(two).map(({ part: own }) => own.name)).toEqual(['Drive', 'Wheel']);
    expect(mainAssemblies(graphOf([], []))).toEqual([]);
  });
});

describe('by country', () => {
  const row = (country: string, people: number, accepted = 10): CountryYear => ({
    country,
    people,
    givers: new Set(),
    accepted,
    hours: accepted,
    reports: 1,
    said: 1,
  });

  it('sums what each maker gave under their country', () => {
    const countryOf = (id: number) => (id === 3 ? 'NZ' : id === 4 ? 'SE' : '');
    const rows = byCountry(
      [
        { day: '2026-01-01', partId: 1, personId: 3, milli: 2000 },
        { day: '2026-01-01', partId: 1, personId: 4, milli: 5000 },
        { day: '2026-01-01', partId: 1, personId: 9, milli: 1000 },
      ],
      [{ day: '2026-01-01', partId: 1, personId: 3, hours: 4 }],
      countryOf,
    );
    expect(rows.map(({ country, people, accepted, hours }) => [country, people, accepted, hours])).toEqual([
      ['SE', 1, 5, 0],
      ['NZ', 1, 2, 4],
      ['', 1, 1, 0],
    ]);
  });

  it('tells outsiders nothing of fewer than three people, not even by a difference', () => {
    const names = (rows: CountryYear[]) => pooled(rows).map(({ country, people }) => [country, people]);
    expect(names([row('NO', 5), row('SE', 3), row('DE', 2), row('NZ', 1)])).toEqual([
      ['NO', 5],
      ['SE', 3],
      [ELSEWHERE, 3],
    ]);
    // One alone could be had as the rest of the sum: the smallest of the others joins them.
    expect(names([row('NO', 5), row('SE', 3), row('NZ', 1)])).toEqual([
      ['NO', 5],
      [ELSEWHERE, 4],
    ]);
    expect(names([row('NO', 2)])).toEqual([[ELSEWHERE, 2]]);
    expect(names([row('NO', 3)])).toEqual([['NO', 3]]);
    expect(names([row('', 7), row('NO', 3)])).toEqual([
      ['NO', 3],
      [ELSEWHERE, 7],
    ]);
    expect(pooled([])).toEqual([]);
  });

  it('loses nothing when it is told together, and no row is of one or two unless all are', () => {
    const next = dice(99);
    for (let round = 0; round < 200; round++) {
      const rows = Array.from({ length: next(8) }, (_, at) => row(`C${at}`, 1 + next(6), next(40)));
      const shown = pooled(rows);
      const sum = (list: CountryYear[], name: 'people' | 'accepted' | 'hours') =>
        list.reduce((all, one) => all + one[name], 0);
      for (const name of ['people', 'accepted', 'hours'] as const)
        expect(sum(shown, name)).toBe(sum(rows, name));
      if (sum(rows, 'people') >= 3) for (const { people } of shown) expect(people).toBeGreaterThanOrEqual(3);
    }
  });
});

describe('what outsiders are told of hours', () => {
  const report = (day: string, personId: number, hours: number | null = 2, partId = 1) => ({
    day,
    personId,
    hours,
    partId,
  });

  it('is of months that are over, in which three people told theirs', () => {
    const reports = [
      ...[1, 2, 3].map((person) => report('2026-01-31', person)),
      ...[1, 2].map((person) => report('2026-02-01', person)),
      report('2026-02-02', 3, null),
      report('2026-02-03', 2),
      ...[1, 2, 3, 4].map((person) => report('2026-03-01', person)),
    ];
    expect([...toldMonths(reports, '2026-03')]).toEqual(['2026-01']);
    expect([...toldMonths(reports, '2026-04')]).toEqual(['2026-01', '2026-03']);
    expect([...giversOf(reports.slice(4, 6))]).toEqual([2]);
  });

  it('leaves out of a table what would be one or two people’s less the sum', () => {
    const row = (...people: number[]) => ({ givers: new Set(people) });
    const [big, middle, small] = [row(1, 2, 3, 4), row(1, 2, 3), row(5)];
    expect([...untold([big, middle], new Set())]).toEqual([]);
    expect([...untold([big, middle, small], new Set())]).toEqual([small, middle]);
    expect([...untold([big, middle], new Set([9]))]).toEqual([middle]);
    expect([...untold([big, middle], new Set([7, 8, 9]))]).toEqual([]);
    expect([...untold([big], new Set(), [small])]).toEqual([big]);
    expect([...untold([small, row()], new Set())]).toEqual([small]);
    const next = dice(5);
    for (let round = 0; round < 300; round++) {
      const rows = Array.from({ length: next(6) }, () =>
        row(...Array.from({ length: next(6) }, () => next(9))),
      );
      const rest = new Set(Array.from({ length: next(3) }, () => next(9)));
      const hidden = untold(rows, rest);
      const shown = rows.filter((one) => !hidden.has(one) && one.givers.size > 0);
      for (const { givers } of shown) expect(givers.size).toBeGreaterThanOrEqual(3);
      const missing = new Set([...rest, ...[...hidden].flatMap(({ givers }) => [...givers])]);
      if (shown.length > 0) expect([1, 2]).not.toContain(missing.size);
    }
  });

  it('tells pieces of a country in which many made some and one told hours, and those hours not even by a difference', () => {
    const country = (name: string, people: number, ...givers: number[]): CountryYear => ({
      ...{ country: name, people, accepted: 9, hours: givers.length, reports: people },
      ...{ givers: new Set(givers), said: givers.length },
    });
    const hoursOf = (...countries: CountryYear[]) => {
      const outside = {
        until: '2026-01',
        months: new Set<string>(),
        assemblies: [],
        loose: new Set<number>(),
      };
      const told = countriesView(
        { countries: [], outside: { ...outside, countries } } as unknown as Parameters<
          typeof countriesView
        >[0],
        false,
      );
      return told.rows.map(({ name, accepted, hours }) => [name, accepted, hours]);
    };
    expect(hoursOf(country('NO', 5, 1, 2, 3, 4), country('SE', 6, 9), country('DE', 4))).toEqual([
      ['Norway', 9, 'few people'],
      ['Sweden', 9, 'few people'],
      ['Germany', 9, ''],
    ]);
    expect(hoursOf(country('NO', 5, 1, 2, 3, 4), country('SE', 1, 9), country('DE', 2, 7, 8))).toEqual([
      ['Norway', 9, '4'],
      ['elsewhere', 18, '3'],
    ]);
  });
});

describe('pictures', () => {
  const months = monthsFrom('2026-01', '2026-12');

  it('have round steps that reach above all that is drawn', () => {
    expect(countTicks(1)).toEqual([0, 1]);
    expect(countTicks(7)).toEqual([0, 2, 4, 6, 8]);
    expect(countTicks(4321)).toEqual([0, 1000, 2000, 3000, 4000, 5000]);
    for (const most of [1, 3, 9, 11, 99, 101, 12_345, 1e7]) {
      const ticks = countTicks(most);
      expect(ticks.at(-1)).toBeGreaterThanOrEqual(most);
      expect(ticks.length).toBeLessThanOrEqual(7);
    }
  });

  it('break a line where nothing is known, and stay within their frame', () => {
    const values = [0, 1, null, 4, null, ...Array(8).fill(9)];
    const d = countLines(months, [{ kind: 'c-thick', values }], { kind: 'c-chain', value: 12 });
    expect(d.lines.map(({ kind }) => kind)).toEqual(['c-chain', 'c-thick', 'c-thick', 'c-thick']);
    for (const { points } of d.lines) {
      for (const point of points.split(' ')) {
        const [x, y] = point.split(',').map(Number) as [number, number];
        expect(x).toBeGreaterThanOrEqual(d.left - 4);
        expect(x).toBeLessThanOrEqual(d.right + 4);
        expect(y).toBeGreaterThanOrEqual(d.top);
        expect(y).toBeLessThanOrEqual(d.bottom);
      }
    }
  });

  it('put the bars of a month on top of one another, as high as their numbers', () => {
    const one = months.map((_, at) => at);
    const d = monthBars(months, [
      { kind: 'a', values: one },
      { kind: 'b', values: one },
    ]);
    expect(d.bars).toHaveLength(22);
    const [first, second] = d.bars.slice(-2) as [(typeof d.bars)[0], (typeof d.bars)[0]];
    expect(first.height).toBeCloseTo(second.height, 1);
    expect(second.y + second.height).toBeCloseTo(first.y, 1);
    expect(first.y + first.height).toBeCloseTo(d.bottom, 1);
    expect(monthBars(['2026-01'], [{ kind: 'a', values: [0] }]).bars).toEqual([]);
  });

  it('draw a single estimate as a dash, a later finish higher, and nothing of none', () => {
    const kinds = { finishOn: 'a', at50On: 'b', at80On: 'c', at95On: 'd' };
    const estimate = (day: string, finishOn: string) => ({
      day,
      finishOn,
      at50On: null,
      at80On: null,
      at95On: null,
    });
    expect(estimateLines(months, [], kinds)).toBeNull();
    expect(estimateLines(months, [estimate('2026-03-01', '2026-09-01')], kinds)!.lines).toHaveLength(1);
    const [line] = estimateLines(
      months,
      [estimate('2026-03-01', '2026-09-01'), estimate('2026-04-01', '2026-10-01')],
      kinds,
    )!.lines;
    const [a, b] = line!.points.split(' ').map((point) => point.split(',').map(Number)) as [
      number[],
      number[],
    ];
    expect(b[0]).toBeGreaterThan(a[0]!);
    expect(b[1]).toBeLessThan(a[1]!);
  });
});
