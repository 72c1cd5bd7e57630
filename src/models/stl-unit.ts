import type { FileFacts } from './facts.ts';

/** Units that the figures of an STL may be in, with their millimetres. */
const UNITS = { mm: 1, cm: 10, m: 1000, in: 25.4 } as const;

export type StlUnit = keyof typeof UNITS;

export const STL_UNITS = Object.keys(UNITS) as [StlUnit, ...StlUnit[]];

/** What an STL is told with until somebody says its unit. */
export const NO_UNIT = 'An STL has no unit: its numbers are taken as mm until something else is said.';

/** Millimetres to one of an STL's figures. @param unit  as kept with the document; empty: not said, so mm */
export function mmPerFigure(unit: string): number {
  return Object.hasOwn(UNITS, unit) ? UNITS[unit as StlUnit] : 1;
}

/**
 * Facts of an STL whose figures are in the unit that was said: size, surface and volume follow. Facts of other formats,
 * and those of which nothing was said, come back as they are.
 *
 * Example: a cube of 2 with 'in' -> 50.8 mm, 131 096.512 mm3
 */
export function factsInUnit(facts: FileFacts, unit: string): FileFacts {
  if (facts.format !== 'STL' || !Object.hasOwn(UNITS, unit)) return facts;
  const mm = mmPerFigure(unit);
  const { size, area, volume } = facts;
  return {
    ...facts,
    unit,
    size: size && { x: size.x * mm, y: size.y * mm, z: size.z * mm },
    area: area === null ? null : area * mm ** 2,
    volume: volume === null ? null : volume * mm ** 3,
    warnings: facts.warnings.filter((sentence) => sentence !== NO_UNIT),
  };
}
