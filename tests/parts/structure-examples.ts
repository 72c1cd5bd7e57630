import fc from 'fast-check';
import type { Unit } from '../../src/parts/quantity.ts';
import type { StructurePart, StructureUse } from '../../src/parts/structure-graph.ts';

export interface Drawn {
  parts: StructurePart[];
  uses: StructureUse[];
}

/** Uses written `parent > child : quantity in units`, parts as they come; a part ending in `~` is measured in m. */
export function drawn(text: string): Drawn & { id: (name: string) => number } {
  const ids = new Map<string, number>();
  const id = (name: string) => {
    if (!ids.has(name)) ids.set(name, 100 + ids.size);
    return ids.get(name) ?? 0;
  };
  const uses = text
    .split('\n')
    .filter((line) => line.trim() !== '')
    .map((line) => {
      const [parent = '', child = '', quantity = ''] = line.split(/[>:]/).map((piece) => piece.trim());
      return { parentId: id(parent), childId: id(child), quantityMilli: Math.round(Number(quantity) * 1000) };
    });
  const parts = [...ids].map(([name, number]) => ({ id: number, unit: unitOf(name) }));
  return { parts, uses, id };
}

function unitOf(name: string): Unit {
  return name.endsWith('~') ? 'm' : 'piece';
}

/** Structures without loops: each use goes from a lower to a higher rank, ids in no order, repeated uses possible. */
export const structures: fc.Arbitrary<Drawn> = fc.integer({ min: 1, max: 9 }).chain((size) =>
  fc
    .record({
      ids: fc.shuffledSubarray([11, 3, 7, 42, 5, 1, 90, 23, 8], { minLength: size, maxLength: size }),
      measured: fc.array(fc.boolean(), { minLength: size, maxLength: size }),
      links: fc.array(
        fc.record({
          a: fc.nat({ max: size - 1 }),
          b: fc.nat({ max: size - 1 }),
          whole: fc.integer({ min: 1, max: 4 }),
          milli: fc.integer({ min: 1, max: 3500 }),
        }),
        { maxLength: 16 },
      ),
    })
    .map(({ ids, measured, links }) => ({
      parts: ids.map((id, place): StructurePart => ({ id, unit: measured[place] ? 'm' : 'piece' })),
      uses: links
        .filter(({ a, b }) => a !== b)
        .map(({ a, b, whole, milli }) => {
          const [upper, lower] = a < b ? [a, b] : [b, a];
          return {
            parentId: ids[upper] ?? 0,
            childId: ids[lower] ?? 0,
            quantityMilli: measured[lower] ? milli : whole * 1000,
          };
        }),
    })),
);
