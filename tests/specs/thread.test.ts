import { describe, expect, it } from 'vitest';
import { type HoleSeries, thread } from '../../src/specs/thread.ts';
import published from '../checks/fasteners.json' with { type: 'json' };

describe('thread gives the published figures', () => {
  it.each(published.rows.map((row) => [row.thread, row] as const))('%s', (name, row) => {
    for (const series of ['fine', 'medium', 'coarse'] as const) {
      const answer = thread({ thread: name, series });
      expect(answer.clearanceHole).toBe(row.clearanceHole_mm[series]);
      expect(answer.pitch).toBe(row.pitch_mm);
      expect(answer.tapDrill).toBe(row.tapDrill_mm);
      expect(Math.abs(answer.stressArea - row.stressArea_mm2)).toBeLessThanOrEqual(1e-4);
      expect(Number(answer.stressArea.toPrecision(3))).toBe(row.stressAreaRounded_mm2);
    }
  });

  // stress areas of ISO 898-1 to three figures, http://usefastener.com/knowledge/404 (coarse series)
  it.each([
    ['M3.5', 6.78],
    ['M4', 8.78],
    ['M10', 58],
    ['M14', 115],
    ['M22', 303],
    ['M27', 459],
    ['M30', 561],
    ['M33', 694],
    ['M36', 817],
    ['M39', 976],
  ])('%s has the stress area %d', (name, area) => {
    expect(Number(thread({ thread: name }).stressArea.toPrecision(3))).toBe(area);
  });

  // https://www.engineersedge.com/hardware/metric_thread_stress_and_shear_areas_table_15797.htm and, fine pitches,
  // https://china-reducers.com/thread-effective-stress-area-table/
  it.each([
    ['M42', 1120.9],
    ['M48', 1473.2],
    ['M56', 2030],
    ['M64', 2676],
    ['M12x1.25', 92.07],
    ['M12x1', 96.1],
    ['M14x1.5', 124.55],
    ['M16x1.5', 167.25],
    ['M18x2', 204.18],
    ['M36x2', 914.54],
    ['M45x3', 1397.71],
  ])('%s has the stress area %d', (name, area) => {
    expect(Math.abs(thread({ thread: name }).stressArea - area) / area).toBeLessThan(5e-5);
  });

  // ISO 273:1979; M1 to M14 https://engineeringhardware.com/?p=50, to M52 fine and medium, to M42 coarse
  // http://humechan.blogspot.in/2012/05/, the rest from memory
  it.each([
    ['M1', 1.1, 1.2, 1.3],
    ['M1.2', 1.3, 1.4, 1.5],
    ['M1.4', 1.5, 1.6, 1.8],
    ['M3.5', 3.7, 3.9, 4.2],
    ['M4', 4.3, 4.5, 4.8],
    ['M10', 10.5, 11, 12],
    ['M14', 15, 15.5, 16.5],
    ['M22', 23, 24, 26],
    ['M27', 28, 30, 32],
    ['M30', 31, 33, 35],
    ['M33', 34, 36, 38],
    ['M36', 37, 39, 42],
    ['M39', 40, 42, 45],
    ['M42', 43, 45, 48],
    ['M45', 46, 48, 52],
    ['M48', 50, 52, 56],
    ['M52', 54, 56, 62],
    ['M56', 58, 62, 66],
    ['M64', 66, 70, 74],
  ])('%s passes through %d, %d and %d mm', (name, ...holes) => {
    const series: HoleSeries[] = ['fine', 'medium', 'coarse'];
    expect(series.map((one) => thread({ thread: name, series: one }).clearanceHole)).toEqual(holes);
  });
});

describe('thread', () => {
  it('says where its figures are from, and which were not seen in print', () => {
    const { fine, medium, coarse } = published.holeTolerance;
    for (const [series, zone] of Object.entries({ fine, medium, coarse })) {
      const { source } = thread({ thread: 'M12', series: series as HoleSeries });
      expect(source).toContain(`ISO 273 ${series} (hole ${zone}, for information)`);
      expect(source).not.toContain('memory');
    }
    expect(thread({ thread: 'M45' }).source).not.toContain('memory');
    expect(thread({ thread: 'M45', series: 'coarse' }).source).toContain(
      'this clearance hole is from memory',
    );
    expect(thread({ thread: 'M56' }).source).toContain('this clearance hole is from memory');
  });

  it('takes a fine pitch, written in several ways', () => {
    const expected = { pitch: 1, tapDrill: 7, clearanceHole: 9 };
    for (const name of ['M8x1', 'M8×1', 'M8 x 1', 'm8X1.0', ' M8x1 ']) {
      expect(thread({ thread: name })).toMatchObject(expected);
    }
    expect(thread({ thread: 'M10x1,25' }).tapDrill).toBe(8.75);
    expect(thread({ thread: 'M8x1.25' })).toEqual(thread({ thread: 'M8' }));
  });

  it.each([
    ['8', 'a metric thread is written M6'],
    ['M', 'a metric thread is written M6'],
    ['M8x', 'a metric thread is written M6'],
    ['1/4-20', 'a metric thread is written M6'],
    ['M13', 'from M1 to M64'],
    ['M0', 'from M1 to M64'],
    ['M999', 'from M1 to M64'],
    ['M8x2', 'the pitches of M8 are 1.25, 1, 0.75 mm'],
    ['M9', 'ISO 273 has no clearance hole for M9'],
  ])('refuses %s', (name, sentence) => {
    expect(() => thread({ thread: name })).toThrow(sentence);
  });
});
