import { expect, it } from 'vitest';
import foundry from '../checks/cpm/general-foundry.json' with { type: 'json' };
import fourTypes from '../checks/cpm/relations-four-types.json' with { type: 'json' };
import fasteners from '../checks/fasteners.json' with { type: 'json' };
import zones from '../checks/tolerance/iso286.json' with { type: 'json' };
import general from '../checks/tolerance/iso2768-1.json' with { type: 'json' };
import stackups from '../checks/tolerance/stackups.json' with { type: 'json' };
import { startAsking } from '../support/calculators.ts';

// The published data of tests/checks (sources in the files) through the JSON interface.

interface Linked {
  id: string;
  predecessors: { id: string; type: string; lag: number }[];
}

interface GeneralCase {
  kind: string;
  class: string;
  nominal_mm?: number;
  shorterSide_mm?: number;
  expected?: number | null;
  expected_deg?: number | null;
}

const links = ({ id, predecessors }: Linked) => ({ id, predecessors });

it('limits gives the published deviations, and 422 where the standards have none', async () => {
  const { ask } = await startAsking();
  for (const { size_mm, zone, upper_um, lower_um } of zones.cases) {
    const { status, body } = await ask('limits', { nominal: size_mm, zone });
    expect(status, zone).toBe(200);
    expect(body.upperDeviation, `${size_mm} ${zone}`).toBeCloseTo(upper_um / 1000, 9);
    expect(body.lowerDeviation, `${size_mm} ${zone}`).toBeCloseTo(lower_um / 1000, 9);
    expect(body.upperLimit).toBeCloseTo(size_mm + upper_um / 1000, 9);
    expect(body.source).toContain('ISO 286');
  }
  for (const { size_mm, zone } of zones.noValue) {
    const { status, type, body } = await ask('limits', { nominal: size_mm, zone });
    expect([status, type], zone).toEqual([422, 'application/problem+json']);
    expect(body.detail.length).toBeGreaterThan(10);
  }
  for (const row of general.cases as GeneralCase[]) {
    const nominal = row.nominal_mm ?? row.shorterSide_mm;
    const expected = row.expected ?? row.expected_deg ?? null;
    const { status, body } = await ask('limits', { nominal, generalClass: row.class, kind: row.kind });
    if (expected === null) expect(status, JSON.stringify(row)).toBe(422);
    else {
      expect(body.upperDeviation, JSON.stringify(row)).toBeCloseTo(expected, 5);
      expect(body.lowerDeviation).toBe(-body.upperDeviation);
      expect(body.upperLimit === null).toBe(row.kind === 'angle');
    }
  }
});

it('fit names 25 H7/g6 a clearance fit of 0.007 to 0.041 mm, 0.0185 to 0.0525 at 60 °C', async () => {
  const { ask } = await startAsking();
  const cold = await ask('fit', { nominal: 25, hole: 'H7', shaft: 'g6' });
  expect(cold.body).toMatchObject({ minClearance: 0.007, maxClearance: 0.041, character: 'clearance' });
  const warm = await ask('fit', {
    nominal: 25,
    hole: 'H7',
    shaft: { upperDeviation: -0.007, lowerDeviation: -0.02 },
    temperature: { celsius: 60, holeExpansion: 23, shaftExpansion: 11.5 },
  });
  expect(warm.body.minClearance).toBeCloseTo(0.0185, 4);
  expect(warm.body.maxClearance).toBeCloseTo(0.0525, 4);
  expect(warm.body.chanceOfInterference).toBeLessThan(1e-6);
});

it('chain adds up the worked chains', async () => {
  const { ask } = await startAsking();
  for (const { name, contributors, wanted, expected } of stackups.chains) {
    const { status, body } = await ask('chain', { contributors, ...(wanted ? { wanted } : {}) });
    expect(status, name).toBe(200);
    expect(body.nominal).toBeCloseTo(expected.nominal, 6);
    expect(body.middle).toBeCloseTo(expected.middle, 6);
    expect(body.worstCase.min).toBeCloseTo(expected.worstCaseMin, 6);
    expect(body.worstCase.max).toBeCloseTo(expected.worstCaseMax, 6);
    expect(body.rootSumSquare.min).toBeCloseTo(expected.rssMin, 6);
    expect(body.rootSumSquare.max).toBeCloseTo(expected.rssMax, 6);
    if (wanted) expect(body.chanceInside).toBeCloseTo(expected.chanceInside, 6);
    else expect(body.chanceInside).toBeNull();
    expect(body.shares.map(({ label }: { label: string }) => label)).toEqual(
      contributors.map(({ label }) => label),
    );
  }
});

it('thread has the published holes, pitches and stress areas', async () => {
  const { ask } = await startAsking();
  for (const { thread, pitch_mm, clearanceHole_mm, tapDrill_mm, stressArea_mm2 } of fasteners.rows) {
    for (const series of ['fine', 'medium', 'coarse'] as const) {
      const { body } = await ask('thread', { thread, series });
      expect(body.clearanceHole, `${thread} ${series}`).toBe(clearanceHole_mm[series]);
      expect(body.pitch).toBe(pitch_mm);
      expect(body.tapDrill).toBeCloseTo(tapDrill_mm, 9);
      expect(Math.abs(body.stressArea - stressArea_mm2)).toBeLessThan(0.01 * stressArea_mm2);
    }
  }
});

it('comparison has the p-value of the published example of Welch', async () => {
  // Rosetta Code, "Welch's t-test", last pair
  const { ask } = await startAsking();
  const { body } = await ask('comparison', { before: [3, 4, 1, 2.1], after: [490.2, 340, 433.9] });
  expect(body.pValue).toBeCloseTo(0.010751561149785, 6);
  expect(body.difference).toBeCloseTo(body.afterMean - body.beforeMean, 9);
  // two rows of measurements of one level have that level as their mean by energy
  const levels = await ask('comparison', { before: [60, 60, 70], after: [50, 50, 50.1], levels: true });
  expect(levels.body.beforeMean).toBeCloseTo(10 * Math.log10((2e6 + 1e7) / 3), 6);
});

it('lead-time has the published median of the untreated, and null where the history does not reach', async () => {
  // Freireich et al., Blood 21 (1963), weeks of remission of the untreated and under 6-MP; typed from memory
  const { ask } = await startAsking();
  const untreated = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23];
  const history = untreated.map((days) => ({ days, finished: true }));
  const { body } = await ask('lead-time', { history, due: 10 });
  expect([body.median, body.percentiles]).toEqual([8, { '50': 8, '80': 12, '95': 22 }]);
  expect(body.chanceByDue).toBeCloseTo(13 / 21, 12);
  expect(body.survival).toHaveLength(12);
  expect(body.source).toContain('Kaplan and Meier');
  const open = await ask('lead-time', { history: [...history.slice(0, 2), { days: 40, finished: false }] });
  expect(open.body).toMatchObject({ percentiles: { '80': null }, chanceByDue: null });
  const empty = await ask('lead-time', { history: [] });
  expect(empty.body).toMatchObject({ median: null, survival: [] });
});

it('network dates the published networks', async () => {
  const { ask } = await startAsking();
  for (const { name, activities, expected } of [foundry, fourTypes]) {
    const { status, body } = await ask('network', {
      activities: activities.map(({ duration, ...one }) => ({ ...links(one), duration })),
    });
    expect(status, name).toBe(200);
    expect(body.finish).toBe(expected.projectFinish);
    expect(body.criticalIds).toEqual(expected.criticalIds);
    for (const { id, earlyStart, lateFinish, totalFloat, freeFloat, critical, drag } of body.activities) {
      const dates = expected.activities[id as keyof typeof expected.activities] as Record<string, number>;
      expect({ es: earlyStart, lf: lateFinish, totalFloat, freeFloat }, id).toEqual({
        es: dates.es,
        lf: dates.lf,
        totalFloat: dates.totalFloat,
        freeFloat: dates.freeFloat,
      });
      expect(critical).toBe(totalFloat === 0);
      if (!critical) expect(drag).toBe(0);
    }
    expect(body.source).toContain('critical path');
  }
});

it('risk comes near the published estimate and says the same twice', async () => {
  const { ask } = await startAsking();
  const { threePoint, classical } = foundry.pert;
  const question = {
    activities: foundry.activities.map((one) => {
      const { optimistic, mostLikely, pessimistic } = threePoint[one.id as keyof typeof threePoint];
      return { ...links(one), optimistic, likely: mostLikely, pessimistic };
    }),
    targets: [classical.target],
    runs: 4000,
  };
  const [once, twice] = [await ask('risk', question), await ask('risk', question)];
  expect(once.status).toBe(200);
  expect(once.body.pert.mean).toBeCloseTo(classical.pathMean, 6);
  expect(once.body.pert.targets[0].probability).toBeCloseTo(classical.probability, 5);
  expect(once.body.mean).toBeGreaterThan(classical.pathMean);
  expect(Object.keys(once.body.percentiles)).toEqual(['5', '10', '50', '80', '90', '95']);
  expect(twice.body).toEqual(once.body);
});
