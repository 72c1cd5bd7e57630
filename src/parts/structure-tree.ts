import { type Exact, exactMilli, exactOne, milliRoundedUp, product } from './structure-exact.ts';
import { placeOf, type Structure } from './structure-graph.ts';

/** One place of a part in the tree; a part used in three assemblies has three rows. */
export interface TreeRow {
  partId: number;
  /** The row it hangs under; null for the root. */
  parentRow: number | null;
  /** Steps below the root. */
  depth: number;
  /** In one unit of its parent; null for the root. */
  quantityMilli: number | null;
  /** In one unit of the root along this way only, rounded up to the next thousandth. */
  totalMilli: number;
  /** Uses below it, shown or not. */
  childCount: number;
  /** It has children that are not shown because they lie deeper than asked. */
  folded: boolean;
}

export interface Tree {
  rows: TreeRow[];
  /** There were more rows than the limit. */
  cut: boolean;
}

export interface TreeLimits {
  /** Steps below the root to show; 0 shows the root alone. */
  depth: number;
  /** Rows at most. A structure in which parts are used in many places can have more rows than atoms. */
  rows: number;
}

/**
 * The tree below a part, row by row as it is read down the page: each part before its children, these in the order
 * their uses were given.
 *
 * @throws RangeError when the structure does not hold the root
 */
export function treeRows(structure: Structure, rootId: number, limits: TreeLimits): Tree {
  const { ids, firstChild, childTargets, childMilli } = structure;
  interface Pending {
    place: number;
    parentRow: number | null;
    depth: number;
    milli: number | null;
    parentTotal: Exact;
  }
  const rows: TreeRow[] = [];
  const pending: Pending[] = [
    { place: placeOf(structure, rootId), parentRow: null, depth: 0, milli: null, parentTotal: exactOne },
  ];
  while (pending.length > 0 && rows.length < limits.rows) {
    const { place, parentRow, depth, milli, parentTotal } = pending.pop()!;
    const total = milli === null ? parentTotal : product(parentTotal, exactMilli(milli));
    const childCount = firstChild[place + 1]! - firstChild[place]!;
    const folded = depth >= limits.depth && childCount > 0;
    const row = rows.length;
    rows.push({
      partId: ids[place]!,
      parentRow,
      depth,
      quantityMilli: milli,
      totalMilli: milliRoundedUp(total),
      childCount,
      folded,
    });
    if (folded) continue;
    for (let use = firstChild[place + 1]! - 1; use >= firstChild[place]!; use--) {
      pending.push({
        place: childTargets[use]!,
        parentRow: row,
        depth: depth + 1,
        milli: childMilli[use]!,
        parentTotal: total,
      });
    }
  }
  return { rows, cut: pending.length > 0 };
}
