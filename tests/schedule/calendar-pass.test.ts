import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { endOf, workingCalendar } from '../../src/schedule/calendar.ts';
import { calendarPass, type StepDates } from '../../src/schedule/calendar-pass.ts';
import { linkCode, networkGraph } from '../../src/schedule/network-graph.ts';
import { networkPass } from '../../src/schedule/network-pass.ts';

interface Network {
  weekdays: number[];
  durations: number[];
  working: boolean[];
  notBefore: number[];
  links: { from: number; to: number; type: 'FS' | 'SS' | 'FF' | 'SF'; lag: number }[];
}

const types = ['FS', 'SS', 'FF', 'SF'] as const;

function networks(linkTypes: readonly (typeof types)[number][], leastLag: number): fc.Arbitrary<Network> {
  return fc.integer({ min: 1, max: 14 }).chain((count) =>
    fc.record({
      weekdays: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { minLength: 1, maxLength: 7 }),
      durations: fc.array(fc.integer({ min: 0, max: 12 }), { minLength: count, maxLength: count }),
      working: fc.array(fc.boolean(), { minLength: count, maxLength: count }),
      notBefore: fc.array(fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 30 })), {
        minLength: count,
        maxLength: count,
      }),
      links:
        count === 1
          ? fc.constant([])
          : fc.array(
              fc
                .record({
                  a: fc.nat(count - 1),
                  b: fc.nat(count - 1),
                  type: fc.constantFrom(...linkTypes),
                  lag: fc.integer({ min: leastLag, max: 6 }),
                })
                .filter(({ a, b }) => a !== b)
                .map(({ a, b, type, lag }) => ({ from: Math.min(a, b), to: Math.max(a, b), type, lag })),
              { maxLength: 30 },
            ),
    }),
  );
}

const calendarOf = ({ weekdays }: Network) => workingCalendar('2026-03-02', weekdays);

const graphOf = ({ durations, links }: Network) =>
  networkGraph(durations.length, {
    sources: Int32Array.from(links, ({ from }) => from),
    targets: Int32Array.from(links, ({ to }) => to),
    types: Uint8Array.from(links, ({ type }) => linkCode[type]),
    lags: Float64Array.from(links, ({ lag }) => lag),
  });

function pass(network: Network): StepDates {
  return calendarPass(
    graphOf(network),
    {
      durations: Int32Array.from(network.durations),
      calendars: Int16Array.from(network.working, (working) => (working ? 0 : -1)),
      notBefore: Int32Array.from(network.notBefore),
    },
    [calendarOf(network)],
  );
}

/** The early dates by walking: days one by one, and a step pushed later until all its links hold. */
function walkedStarts(network: Network): number[] {
  const calendar = calendarOf(network);
  const isFree = (day: number) => calendar.workingDay(calendar.workingBefore(day)) !== day;
  const end = (start: number, days: number, working: boolean) => {
    let left = days;
    let moment = start;
    while (left > 0) {
      if (!working || !isFree(moment)) left -= 1;
      moment += 1;
    }
    return moment;
  };
  const back = (moment: number, days: number) => {
    let at = moment;
    while (isFree(at)) at += 1;
    for (let left = days; left > 0; ) {
      at -= 1;
      if (!isFree(at)) left -= 1;
    }
    return at;
  };
  const after = (moment: number, lag: number) => (lag < 0 ? back(moment, -lag) : end(moment, lag, true));
  const starts: number[] = [];
  network.durations.forEach((duration, to) => {
    const working = network.working[to]!;
    let start = network.notBefore[to]!;
    const holds = () =>
      network.links
        .filter((link) => link.to === to)
        .every(({ from, type, lag }) => {
          const source =
            type[0] === 'S'
              ? starts[from]!
              : end(starts[from]!, network.durations[from]!, network.working[from]!);
          const target = type[1] === 'S' ? start : end(start, duration, working);
          return target >= after(source, lag);
        });
    while (!holds()) start += 1;
    starts.push(start);
  });
  return starts;
}

describe('calendarPass', () => {
  it('gives a chain through a weekend its days: make to Thursday, post to Saturday, inspect on Monday', () => {
    const dates = pass({
      weekdays: [1, 2, 3, 4, 5],
      durations: [3, 9, 1, 5],
      working: [false, false, true, true],
      notBefore: [0, 0, 0, 0],
      links: [
        { from: 0, to: 1, type: 'FS', lag: 0 },
        { from: 1, to: 2, type: 'FS', lag: 0 },
      ],
    });
    expect([...dates.earlyEnds]).toEqual([3, 12, 15, 5]); // Thursday 5 March; Saturday 14; Monday evening 16 March
    expect(dates.finish).toBe(15);
    expect([...dates.floats]).toEqual([0, 0, 0, 6]);
    expect([...dates.drivers]).toEqual([-1, 0, 1, -1]);
    expect(dates.lateStarts[3]).toBe(8);
  });

  it('starts are those of a walk from day to day, for links of all types', () => {
    fc.assert(
      fc.property(networks(types, -4), (network) => {
        expect([...pass(network).earlyStarts]).toEqual(walkedStarts(network));
      }),
      { seed: 11, numRuns: 400 },
    );
  });

  it('late dates are never before early ones, and a step put off to its late start does not move the finish', () => {
    fc.assert(
      fc.property(networks(types, -4), (network) => {
        const dates = pass(network);
        network.durations.forEach((_, at) => {
          expect(dates.floats[at]).toBeGreaterThanOrEqual(0);
          expect(dates.lateStarts[at]).toBeGreaterThanOrEqual(dates.earlyStarts[at]!);
          expect(dates.lateEnds[at]).toBeLessThanOrEqual(dates.finish);
          const notBefore = network.notBefore.with(at, dates.lateStarts[at]!);
          expect(pass({ ...network, notBefore }).finish).toBe(dates.finish);
        });
      }),
      { seed: 12, numRuns: 200 },
    );
  });

  it('where all work is on working days, one more working day than the float moves the finish', () => {
    fc.assert(
      fc.property(networks(types, 0), (drawn) => {
        const network = { ...drawn, working: drawn.working.map(() => true) };
        const calendar = calendarOf(network);
        const dates = pass(network);
        network.durations.forEach((duration, at) => {
          if (duration === 0) return;
          const later = calendar.workingDay(
            calendar.workingBefore(dates.earlyStarts[at]!) + dates.floats[at]! + 1,
          );
          const notBefore = network.notBefore.with(at, later);
          expect(pass({ ...network, notBefore }).finish).toBeGreaterThan(dates.finish);
        });
      }),
      { seed: 13, numRuns: 200 },
    );
  });

  it('the chain that drives the finish reaches from a start without a driver to the finish, all without float', () => {
    fc.assert(
      fc.property(networks(['FS', 'SS'], -4), (network) => {
        const dates = pass(network);
        let at = dates.earlyEnds.indexOf(dates.finish);
        while (at !== -1) {
          expect(dates.floats[at]).toBe(0);
          const before = dates.drivers[at]!;
          if (before === -1) expect(dates.earlyStarts[at]).toBe(network.notBefore[at]!);
          at = before;
        }
      }),
      { seed: 14, numRuns: 400 },
    );
  });

  it('the durations of the driving chain add up to the finish where every day is worked', () => {
    fc.assert(
      fc.property(networks(['FS'], 0), (drawn) => {
        const network: Network = {
          ...drawn,
          weekdays: [1, 2, 3, 4, 5, 6, 7],
          notBefore: drawn.notBefore.map(() => 0),
          links: drawn.links.map((link) => ({ ...link, lag: 0 })),
        };
        const dates = pass(network);
        let sum = 0;
        for (let at = dates.earlyEnds.indexOf(dates.finish); at !== -1; at = dates.drivers[at]!) {
          sum += network.durations[at]!;
        }
        expect(sum).toBe(dates.finish);
        const plain = networkPass(graphOf(network), Float64Array.from(network.durations));
        expect([...dates.floats]).toEqual([...plain.totalFloats]);
        expect([...dates.lateStarts]).toEqual([...plain.lateStarts]);
      }),
      { seed: 15, numRuns: 300 },
    );
  });

  it('a longer step, one more link or a later earliest day never brings the finish nearer', () => {
    fc.assert(
      fc.property(
        networks(['FS', 'SS', 'FF', 'SF'], 0).filter(({ durations }) => durations.length > 1),
        fc.nat(),
        fc.integer({ min: 1, max: 9 }),
        (network, pick, more) => {
          const { finish } = pass(network);
          const at = pick % network.durations.length;
          const durations = network.durations.with(at, network.durations[at]! + more);
          // A step that must start before another ends is pulled in when it takes longer; no such link here.
          const links = network.links.filter(({ type }) => type === 'FS' || type === 'SS');
          const forward = { ...network, links };
          expect(pass({ ...forward, durations }).finish).toBeGreaterThanOrEqual(pass(forward).finish);
          const from = at === 0 ? 0 : at - 1;
          const link = { from, to: from + 1, type: 'FS' as const, lag: 0 };
          expect(pass({ ...network, links: [...network.links, link] }).finish).toBeGreaterThanOrEqual(finish);
          const notBefore = network.notBefore.with(at, network.notBefore[at]! + more);
          expect(pass({ ...network, notBefore }).finish).toBeGreaterThanOrEqual(finish);
        },
      ),
      { seed: 16, numRuns: 300 },
    );
  });

  it('holds for nothing, for one step without length, and for a chain of fifteen years', () => {
    const none = { weekdays: [1], durations: [], working: [], notBefore: [], links: [] };
    expect(pass(none).finish).toBe(0);
    expect(pass({ ...none, durations: [0], working: [true], notBefore: [0] })).toMatchObject({ finish: 0 });
    const count = 800;
    const long: Network = {
      weekdays: [1, 3],
      durations: new Array(count).fill(2),
      working: new Array(count).fill(true),
      notBefore: new Array(count).fill(0),
      links: Array.from({ length: count - 1 }, (_, from) => ({ from, to: from + 1, type: 'FS', lag: 0 })),
    };
    const dates = pass(long);
    expect(dates.finish).toBe(endOf(calendarOf(long), 0, 2 * count, true));
    expect(dates.finish).toBe((count - 1) * 7 + 3);
  });
});
