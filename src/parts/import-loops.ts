import { describing, holderKeyOf, type PlanRow, partKeyOf } from './import-row.ts';
import type { KnownBuild } from './import-types.ts';
import { buildStructure, StructureLoop } from './structure-graph.ts';

const mostLoops = 100;

/**
 * The rows whose uses would close a loop, each with the loop in words.
 *
 * All rows on a loop are named, because the list does not say which of them is wrong.
 */
export function loopsAmong(rows: readonly PlanRow[], build: KnownBuild): Map<PlanRow, string> {
  const ids = new Map<string, number>();
  const numbers: string[] = [];
  const idOf = (key: string, number: string): number => {
    const there = ids.get(key);
    if (there !== undefined) return there;
    ids.set(key, numbers.length);
    numbers.push(number);
    return numbers.length - 1;
  };
  for (const part of build.parts) idOf(`part ${part.id}`, part.number);
  const standing = build.uses.map((use) => ({
    parentId: idOf(`part ${use.parentId}`, String(use.parentId)),
    childId: idOf(`part ${use.childId}`, String(use.childId)),
    quantityMilli: 1,
  }));
  let asked = rows.flatMap((row) =>
    row.uses.map((use) => ({
      row,
      parentId: idOf(holderKeyOf(use), use.parentNumber),
      childId: idOf(partKeyOf(row), describing(row).number),
      quantityMilli: 1,
    })),
  );
  const parts = numbers.map((_, id) => ({ id, unit: 'piece' as const }));
  const found = new Map<PlanRow, string>();
  for (let round = 0; round < mostLoops; round++) {
    const loop = loopIn(() => buildStructure(parts, [...standing, ...asked]));
    if (loop === null) return found;
    const links = new Set(loop.map((id, at) => `${loop.at(at - 1)} ${id}`));
    const way = [...loop, loop[0] ?? 0].reverse().map((id) => numbers[id]);
    for (const use of asked) {
      if (links.has(`${use.parentId} ${use.childId}`)) {
        found.set(use.row, `It would close a loop: ${way.join(' goes into ')}.`);
      }
    }
    asked = asked.filter(({ row }) => !found.has(row));
  }
  // So many loops are no slip of the pen: untangling them one by one would only take time.
  for (const { row } of asked) found.set(row, `The list closes more than ${mostLoops} loops.`);
  return found;
}

function loopIn(build: () => unknown): readonly number[] | null {
  try {
    build();
    return null;
  } catch (error) {
    if (error instanceof StructureLoop) return error.loop;
    throw error;
  }
}
