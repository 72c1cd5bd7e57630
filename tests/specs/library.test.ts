import { describe, expect, it } from 'vitest';
import { materialLibrary, processLibrary } from '../../src/specs/library/library.ts';
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
      expect(material?.expansion.typical).toBe(row.thermalExpansion_1e6_per_K.typical);
      expect(material?.stiffness.typical).toBe(row.youngsModulus_GPa.typical);
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
      expect(material.source, material.id).toMatch(/cautions: .*common/);
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
    }
    for (const { id, grade, cautions } of processLibrary) {
      expect(grade.best, id).toBeLessThanOrEqual(grade.usual);
      expect(grade.usual, id).toBeLessThanOrEqual(grade.coarsest);
      expect(cautions.length, id).toBeGreaterThan(0);
    }
  });
});
