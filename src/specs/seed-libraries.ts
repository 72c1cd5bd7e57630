import type { Act } from '../platform/acts.ts';
import { materialLibrary, processLibrary } from './library/library.ts';

/** Puts the library's materials and processes into a new build, where its people may edit them. */
export async function seedLibraries(act: Act): Promise<void> {
  await act.tx.material.createMany({
    data: materialLibrary.map((entry) => ({
      key: entry.id,
      name: entry.name,
      family: entry.family,
      density: entry.density.typical,
      expansion: entry.expansion.typical,
      stiffness: entry.stiffness.typical,
      cautions: JSON.stringify(entry.cautions),
      source: entry.source,
      data: JSON.stringify(entry),
    })),
  });
  await act.tx.process.createMany({
    data: processLibrary.map((entry) => ({
      key: entry.id,
      name: entry.name,
      gradeBest: entry.grade.best,
      gradeUsual: entry.grade.usual,
      cautions: JSON.stringify(entry.cautions),
      source: entry.source,
      data: JSON.stringify(entry),
    })),
  });
}
