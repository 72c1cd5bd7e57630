import { describe, expect, it } from 'vitest';
import { growth } from '../../src/specs/growth.ts';
import { type LibraryMaterial, materialLibrary, processLibrary } from '../../src/specs/library/library.ts';
import materials from '../checks/materials.json' with { type: 'json' };
import processes from '../checks/processes.json' with { type: 'json' };

describe('materialLibrary', () => {
  it('has every material of the check data with its values', () => {
    expect(materialLibrary.map((material) => material.id)).toEqual(materials.materials.map((row) => row.id));
    for (const [index, row] of materials.materials.entries()) {
      const material = materialLibrary[index];
      expect(material?.density).toMatchObject({
        typical: row.density_kg_m3.typical,
        low: row.density_kg_m3.low,
        high: row.density_kg_m3.high,
      });
      const pairs = [
        [material?.density, row.density_kg_m3],
        [material?.expansion, row.thermalExpansion_1e6_per_K],
        [material?.stiffness, row.youngsModulus_GPa],
      ] as const;
      for (const [property, checked] of pairs) {
        expect(property, row.id).toMatchObject({ low: checked.low, high: checked.high });
        // a value given from memory gives way to a published one within its range
        if (checked.confidence === 'memory' && property?.confidence === 'published') {
          expect(property.source, row.id).toMatch(/https?:/);
          expect(property.typical, row.id).toBeGreaterThanOrEqual(checked.low);
          expect(property.typical, row.id).toBeLessThanOrEqual(checked.high);
        } else expect(property?.typical, row.id).toBe(checked.typical);
      }
    }
  });

  it('tells of every value where it was seen, or that it is from memory', () => {
    for (const { id, ...material } of materialLibrary) {
      const { density, expansion, stiffness, swelling, water, stock } = material;
      for (const value of [density, expansion, stiffness, swelling, water, stock]) {
        expect(value.source, id).toMatch(
          value.confidence === 'published' ? /https?:|EN \d|ISO \d/ : /memory/,
        );
      }
      expect(stock.sizes.length, id).toBeGreaterThan(0);
      expect(material.cautionsSource, id).toContain('memory');
    }
  });

  it('takes the growth of the check data', () => {
    for (const { material, length_mm, from_C, to_C, growth_mm } of materials.growthChecks) {
      const { expansion } = materialLibrary.find(({ id }) => id === material) as LibraryMaterial;
      expect(growth(length_mm, expansion.typical, to_C - from_C), material).toBeCloseTo(growth_mm, 6);
    }
  });

  it('names a source for each value, a caution for each material, and typical values inside their ranges', () => {
    for (const material of materialLibrary) {
      for (const property of [material.density, material.expansion, material.stiffness]) {
        expect(property.source.length, material.id).toBeGreaterThan(3);
        expect(property.low ?? property.typical, material.id).toBeLessThanOrEqual(property.typical);
        expect(property.high ?? property.typical, material.id).toBeGreaterThanOrEqual(property.typical);
      }
      expect(material.cautions.length, material.id).toBeGreaterThan(0);
      expect(material.cautionsSource, material.id).toContain('common workshop practice');
    }
  });

  it('gives the masses of the check data', () => {
    for (const check of materials.massChecks) {
      const density =
        materialLibrary.find((material) => material.id === check.material)?.density.typical ?? 0;
      expect(density * check.volume_mm3 * 1e-9).toBeCloseTo(check.mass_kg, 6);
    }
  });
});

describe('processLibrary', () => {
  it('has every process of the check data with its grades, from best to coarsest', () => {
    expect(processLibrary.map((process) => process.id)).toEqual(processes.processes.map((row) => row.id));
    for (const [index, row] of processes.processes.entries()) {
      const process = processLibrary[index];
      expect(process?.grade).toEqual(row.itGrade);
      expect(process?.plusMinus ?? null).toEqual(row.plusMinus_mm);
      const { kerf_mm: kerf, angle_deg: angle } = row as { kerf_mm?: object; angle_deg?: object };
      if (kerf) expect(kerf, row.id).toMatchObject(process?.kerf ?? {});
      if (angle) expect(angle, row.id).toMatchObject(process?.angle ?? {});
    }
    for (const { id, grade, cautions, smallest, envelope, sources } of processLibrary) {
      expect(smallest.low, id).toBeLessThanOrEqual(smallest.high);
      expect(envelope.y, id).toBeLessThanOrEqual(envelope.x);
      for (const source of [sources.smallest, sources.envelope, sources.cautions])
        expect(source, id).toMatch(/https?:|memory/);
      expect(grade.best, id).toBeLessThanOrEqual(grade.usual);
      expect(grade.usual, id).toBeLessThanOrEqual(grade.coarsest);
      expect(cautions.length, id).toBeGreaterThan(0);
    }
  });
});
