import { describe, expect, it } from 'vitest';
import { GENERAL_CLASSES, type GeneralClass, generalTolerance } from '../../src/specs/iso2768.ts';
import published from '../checks/tolerance/iso2768-1.json' with { type: 'json' };

interface Case {
  kind: 'linear' | 'radius' | 'angle';
  class: GeneralClass;
  nominal_mm?: number;
  shorterSide_mm?: number;
  expected?: number | null;
  expected_deg?: number | null;
}

describe('generalTolerance', () => {
  it.each((published.cases as Case[]).map((row) => [JSON.stringify(row), row] as const))(
    '%s',
    (_name, row) => {
      const nominal = row.nominal_mm ?? row.shorterSide_mm ?? Number.NaN;
      const expected = row.kind === 'angle' ? row.expected_deg : row.expected;
      if (expected === null || expected === undefined) {
        expect(() => generalTolerance(nominal, row.class, row.kind)).toThrow(/has no value/);
      } else {
        expect(generalTolerance(nominal, row.class, row.kind)).toBeCloseTo(expected, 6);
      }
    },
  );

  it('agrees with the whole published tables', () => {
    for (const kind of ['linear', 'radius'] as const) {
      for (const generalClass of GENERAL_CLASSES) {
        for (const [index, range] of published[kind].ranges.entries()) {
          const value = published[kind].classes[generalClass][index];
          if (value === null || value === undefined) continue;
          const end = range.upTo_mm ?? 1e6;
          expect(generalTolerance(end, generalClass, kind), `${kind} ${generalClass} ${end}`).toBe(value);
        }
      }
    }
    for (const generalClass of GENERAL_CLASSES) {
      for (const [index, range] of published.angle.ranges.entries()) {
        const minutes = published.angle.minutes[generalClass][index] ?? Number.NaN;
        expect(generalTolerance(range.upTo_mm ?? 1e6, generalClass, 'angle') * 60).toBeCloseTo(minutes, 9);
      }
    }
  });

  it.each([
    [0, 'linear'],
    [-1, 'angle'],
    [0, 'angle'],
    [Number.NaN, 'radius'],
  ] as const)('refuses %d mm, %s', (nominal, kind) => {
    expect(() => generalTolerance(nominal, 'm', kind)).toThrow(/mm:/);
  });
});
