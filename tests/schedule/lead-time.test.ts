import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LeadTimeRequest, leadTime } from '../../src/schedule/lead-time.ts';

const came = (...days: number[]) => days.map((day) => ({ days: day, finished: true }));
const open = (...days: number[]) => days.map((day) => ({ days: day, finished: false }));

// Weeks of remission under 6-MP: Freireich et al., "The effect of 6-mercaptopurine on the duration of steroid-induced
// remissions in acute leukemia", Blood 21 (1963), the example of most textbooks on survival. Typed from memory.
const sixMp = [
  ...came(6, 6, 6, 7, 10, 13, 16, 22, 23),
  ...open(6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35),
];

describe('leadTime against published survival tables', () => {
  // Share and limits as reference software prints them for these data (log-log limits, 95 %); from memory, and the same
  // when worked out apart from this code.
  it('6-MP: product limit and limits', () => {
    expect(
      leadTime({ history: sixMp }).survival.map(({ days, open, low, high }) => [days, open, low, high]),
    ).toEqual(
      [
        [6, 0.8571, 0.6197, 0.9516],
        [7, 0.8067, 0.5631, 0.9228],
        [10, 0.7529, 0.5032, 0.8894],
        [13, 0.6902, 0.4316, 0.8491],
        [16, 0.6275, 0.3675, 0.8049],
        [22, 0.5378, 0.2678, 0.7468],
        [23, 0.4482, 0.1881, 0.6801],
      ].map((row) => row.map((value) => expect.closeTo(value, 4))),
    );
  });

  it('6-MP: median 23 weeks, as the textbooks give it; the history never reaches 80 %', () => {
    expect(leadTime({ history: sixMp })).toMatchObject({
      median: 23,
      percentiles: { '50': 23, '80': null, '95': null },
      chanceByDue: null,
    });
  });

  // The 21 untreated of the same trial, none cut off: the share still in remission after 10 weeks is 8 of 21
  // (Cox and Oakes, "Analysis of Survival Data", 1984), median 8.
  it('untreated: shares of 21', () => {
    const history = came(1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23);
    const reply = leadTime({ history, due: 10 });
    expect(reply.survival.map(({ open }) => Math.round(open * 21))).toEqual([
      19, 17, 16, 14, 12, 8, 6, 4, 3, 2, 1, 0,
    ]);
    expect(reply.chanceByDue).toBeCloseTo(13 / 21, 12);
    expect(reply.percentiles).toEqual({ '50': 8, '80': 12, '95': 22 });
    expect(reply.survival.at(-1)).toEqual({ days: 23, open: 0, low: null, high: null });
  });

  // Weeks of remission with maintenance: Embury et al. (1977), in Miller, "Survival Analysis" (1981); from memory
  it('maintained remission: product limit', () => {
    const history = [...came(9, 13, 18, 23, 31, 34, 48), ...open(13, 28, 45, 161)];
    expect(leadTime({ history }).survival.map(({ days, open }) => [days, open])).toEqual(
      [
        [9, 0.909],
        [13, 0.818],
        [18, 0.716],
        [23, 0.614],
        [31, 0.491],
        [34, 0.368],
        [48, 0.184],
      ].map(([days, share]) => [days, expect.closeTo(share!, 3)]),
    );
    expect(leadTime({ history }).median).toBe(31);
  });
});

const histories = fc.array(fc.record({ days: fc.integer({ min: 0, max: 12 }), finished: fc.boolean() }), {
  maxLength: 40,
});

/** Efron's way (1967): each share of 1/n that is cut off is handed on in equal parts to all that were open longer. */
function redistributed(history: LeadTimeRequest['history'], day: number): number {
  const sorted = [...history].sort(
    (one, other) => one.days - other.days || Number(other.finished) - Number(one.finished),
  );
  const mass = sorted.map(() => 1 / sorted.length);
  let left = 1;
  sorted.forEach(({ days, finished }, k) => {
    if (days > day) return;
    if (finished) {
      left -= mass[k]!;
      return;
    }
    const later = sorted.length - k - 1;
    for (let next = k + 1; next < sorted.length; next++) mass[next]! += mass[k]! / later;
  });
  return left;
}

describe('leadTime against a plain second way', () => {
  it('has the shares that handing on what is cut off gives', () => {
    fc.assert(
      fc.property(histories, (history) => {
        for (const { days, open } of leadTime({ history }).survival) {
          expect(open).toBeCloseTo(redistributed(history, days), 10);
        }
      }),
      { numRuns: 400, seed: 20_266 },
    );
  });

  it('with elapsed, has the share after a day divided by the share after elapsed', () => {
    fc.assert(
      fc.property(histories, fc.integer({ min: 1, max: 13 }), (history, elapsed) => {
        const whole = leadTime({ history }).survival;
        const before = whole.findLast(({ days }) => days <= elapsed)?.open ?? 1;
        const expected = whole.filter(({ days }) => days > elapsed);
        const reply = leadTime({ history, elapsed }).survival;
        expect(reply.map(({ days }) => days)).toEqual(expected.map(({ days }) => days));
        for (const [k, step] of reply.entries())
          expect(step.open).toBeCloseTo(expected[k]!.open / before, 10);
      }),
      { numRuns: 400, seed: 20_267 },
    );
  });

  it('falls, lies within its limits, and reaches its percentiles first on their days', () => {
    fc.assert(
      fc.property(histories, (history) => {
        const { survival, percentiles } = leadTime({ history });
        let before = 1;
        for (const { open, low, high } of survival) {
          expect(open).toBeLessThan(before);
          before = open;
          if (open === 0) expect([low, high]).toEqual([null, null]);
          else {
            expect(low!).toBeLessThan(open);
            expect(high!).toBeGreaterThan(open);
            expect([low! >= 0, high! <= 1]).toEqual([true, true]);
          }
        }
        for (const [percent, day] of Object.entries(percentiles)) {
          const reached = survival.filter(({ open }) => open <= 1 - Number(percent) / 100 + 1e-9);
          expect(day).toBe(reached[0]?.days ?? null);
        }
      }),
      { numRuns: 400, seed: 20_268 },
    );
  });
});

describe('leadTime in small', () => {
  const nothing = {
    median: null,
    percentiles: { '50': null, '80': null, '95': null },
    chanceByDue: null,
    survival: [],
  };

  it('says nothing without history', () => {
    expect(leadTime({ history: [] })).toEqual(nothing);
    expect(leadTime({ history: [], elapsed: 3, due: 9 })).toEqual(nothing);
  });

  it('says nothing from a history that ends before what has elapsed', () => {
    expect(leadTime({ history: [...came(2, 5), ...open(4)], elapsed: 5, due: 9 })).toEqual(nothing);
  });

  it('knows of things still open only that none came while they were watched', () => {
    const history = open(3, 8, 8);
    expect(leadTime({ history, due: 8 })).toEqual({ ...nothing, chanceByDue: 0 });
    expect(leadTime({ history, due: 9 })).toEqual(nothing);
  });

  it('does not guess beyond the last observation when that was still open', () => {
    const history = [...came(4), ...open(10)];
    expect(leadTime({ history, due: 10 }).chanceByDue).toBe(0.5);
    expect(leadTime({ history, due: 10.5 }).chanceByDue).toBe(null);
    expect(leadTime({ history: came(4, 10), due: 11 }).chanceByDue).toBe(1);
  });

  it('takes one that is cut off on the day another came as open on that day', () => {
    expect(leadTime({ history: [...open(5), ...came(5)] }).survival).toMatchObject([{ days: 5, open: 0.5 }]);
  });

  it('counts what came on the first day, and with elapsed what came after it alone', () => {
    const history = came(0, 0, 4, 4);
    expect(leadTime({ history, due: 0 }).chanceByDue).toBe(0.5);
    expect(leadTime({ history, elapsed: 0, due: 0 }).chanceByDue).toBe(0.5);
    expect(leadTime({ history, elapsed: 1, due: 1 }).chanceByDue).toBe(0);
    expect(leadTime({ history, elapsed: 1 }).median).toBe(4);
  });

  it('reaches a percentile that only rounding error keeps it from', () => {
    expect(leadTime({ history: came(1, 2, 3, 4, 5, 6, 7, 8, 9, 10) })).toMatchObject({
      median: 5,
      percentiles: { '50': 5, '80': 8, '95': 10 },
    });
  });

  it('leaves the history given to it in its order', () => {
    const history = came(3, 1, 2);
    leadTime({ history });
    expect(history).toEqual(came(3, 1, 2));
  });

  it('answers for 100,000 observations', () => {
    const history = Array.from({ length: 100_000 }, (_, k) => ({
      days: (k * 7919) % 1000,
      finished: k % 3 > 0,
    }));
    const { survival, median } = leadTime({ history });
    expect(survival).toHaveLength(1000);
    expect(median).toBeGreaterThan(500);
  });
});

describe('LeadTimeRequest', () => {
  const problems = (request: unknown) => {
    const parsed = LeadTimeRequest.safeParse(request);
    return parsed.success
      ? []
      : parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
  };

  it('takes what the calculator is described to take', () => {
    expect(problems({ history: [{ days: 3.5, finished: false }], elapsed: 2, due: 8 })).toEqual([]);
    expect(problems({ history: [] })).toEqual([]);
  });

  it.each([
    ['no history', {}, 'history: history must be a list'],
    ['days below 0', { history: [{ days: -1, finished: true }] }, 'history.0.days: must be 0 days or more'],
    [
      'a finish in words',
      { history: [{ days: 1, finished: 'yes' }] },
      'history.0.finished: must be true, or false for one that had not come by then',
    ],
    ['an unknown field', { history: [], limit: 3 }, ': a lead time question has no field "limit"'],
    ['elapsed below 0', { history: [], elapsed: -2 }, 'elapsed: must be 0 days or more'],
    ['a due that is no number', { history: [], due: 'May' }, 'due: must be a number of days'],
  ])('refuses %s', (_, request, sentence) => {
    expect(problems(request)).toEqual([sentence]);
  });
});
