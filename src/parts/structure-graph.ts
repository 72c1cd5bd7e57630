import type { Unit } from './quantity.ts';

export interface StructurePart {
  id: number;
  unit: Unit;
}

/** So much of the child goes into one unit of the parent; quantityMilli in thousandths of the child's unit. */
export interface StructureUse {
  parentId: number;
  childId: number;
  quantityMilli: number;
}

/**
 * The structure as flat arrays. Parts are known by their place in `ids`; the children of place p are
 * `childTargets[firstChild[p] .. firstChild[p + 1])` in the order the uses were given, its parents likewise.
 */
export interface Structure {
  ids: readonly number[];
  places: ReadonlyMap<number, number>;
  /** 1 where the part is counted in whole pieces. */
  counted: Uint8Array;
  firstChild: Int32Array;
  childTargets: Int32Array;
  childMilli: Float64Array;
  firstParent: Int32Array;
  parentSources: Int32Array;
  parentMilli: Float64Array;
  /** Places, every parent before its children. */
  order: Int32Array;
  /** Uses on the longest way down to the part from a part that goes into nothing; 0 for those. */
  depths: Int32Array;
}

/** The uses close a loop: each part in `loop` goes into the one before it, the first into the last. */
export class StructureLoop extends Error {
  override name = 'StructureLoop';
  readonly loop: readonly number[];

  constructor(loop: readonly number[]) {
    super(`the structure closes a loop through the parts ${[...loop, loop[0]].join(' > ')}`);
    this.loop = loop;
  }
}

/**
 * Lays the structure out flat and puts it in order.
 *
 * The same parent and child may be given more than once; the quantities then add up in every total.
 *
 * @throws RangeError for a part given twice, a use of a part not given, a quantity that is no whole number above zero
 * @throws StructureLoop when the uses close a loop, with one loop
 *
 * Source: order by repeatedly taking parts whose parents are all taken, A. B. Kahn, "Topological sorting of large
 * networks", Communications of the ACM 5 (1962) 558.
 */
export function buildStructure(parts: readonly StructurePart[], uses: readonly StructureUse[]): Structure {
  const ids = parts.map((part) => part.id);
  const places = new Map(ids.map((id, place) => [id, place]));
  if (places.size !== ids.length) throw new RangeError('a part is given twice');
  const placeOf = (id: number): number => {
    const place = places.get(id);
    if (place === undefined) throw new RangeError(`a use names part ${id}, which is not given`);
    return place;
  };

  const from = Int32Array.from(uses, (use) => placeOf(use.parentId));
  const to = Int32Array.from(uses, (use) => placeOf(use.childId));
  const milli = Float64Array.from(uses, (use) => {
    if (Number.isSafeInteger(use.quantityMilli) && use.quantityMilli > 0) return use.quantityMilli;
    throw new RangeError(
      `part ${use.childId} in ${use.parentId}: quantity ${use.quantityMilli}, expected whole thousandths above zero`,
    );
  });
  const [firstChild, childTargets, childMilli] = grouped(ids.length, from, to, milli);
  const [firstParent, parentSources, parentMilli] = grouped(ids.length, to, from, milli);

  const order = new Int32Array(ids.length);
  const depths = new Int32Array(ids.length);
  const waiting = Int32Array.from(ids, (_, place) => firstParent[place + 1]! - firstParent[place]!);
  let ready = 0;
  for (let place = 0; place < ids.length; place++) if (waiting[place] === 0) order[ready++] = place;
  for (let done = 0; done < ready; done++) {
    const parent = order[done]!;
    for (let use = firstChild[parent]!; use < firstChild[parent + 1]!; use++) {
      const child = childTargets[use]!;
      depths[child] = Math.max(depths[child]!, depths[parent]! + 1);
      waiting[child]! -= 1;
      if (waiting[child] === 0) order[ready++] = child;
    }
  }
  if (ready < ids.length) throw new StructureLoop(anyLoop(ids, waiting, firstParent, parentSources));

  return {
    ids,
    places,
    counted: Uint8Array.from(parts, (part) => (part.unit === 'piece' ? 1 : 0)),
    firstChild,
    childTargets,
    childMilli,
    firstParent,
    parentSources,
    parentMilli,
    order,
    depths,
  };
}

/** The place of a part. @throws RangeError when the structure does not hold it */
export function placeOf(structure: Structure, id: number): number {
  const place = structure.places.get(id);
  if (place === undefined) throw new RangeError(`part ${id} is not in the structure`);
  return place;
}

/** Parts that go into nothing, in the order given. */
export function topParts(structure: Structure): number[] {
  return structure.ids.filter(
    (_, place) => structure.firstParent[place] === structure.firstParent[place + 1],
  );
}

/** The depth of a part: uses on the longest way down to it from a part that goes into nothing. */
export function depthOf(structure: Structure, id: number): number {
  return structure.depths[placeOf(structure, id)]!;
}

/**
 * The loop that putting the child into the parent would close, or null when it closes none.
 *
 * @returns part ids, shortest loop: parent, child, and on down to the part that already holds the parent.
 *          Each goes into the one before it and the parent into the last. A part in itself is a loop of one
 * @throws RangeError when the structure holds no such part
 */
export function loopThrough(structure: Structure, parentId: number, childId: number): number[] | null {
  const parent = placeOf(structure, parentId);
  const child = placeOf(structure, childId);
  if (parent === child) return [parentId];
  const cameFrom = new Int32Array(structure.ids.length).fill(-1);
  const queue = [child];
  cameFrom[child] = child;
  for (let head = 0; head < queue.length && cameFrom[parent] === -1; head++) {
    const place = queue[head]!;
    for (let use = structure.firstChild[place]!; use < structure.firstChild[place + 1]!; use++) {
      const next = structure.childTargets[use]!;
      if (cameFrom[next] !== -1) continue;
      cameFrom[next] = place;
      queue.push(next);
    }
  }
  if (cameFrom[parent] === -1) return null;
  const upwards: number[] = [];
  for (let place = cameFrom[parent]!; place !== child; place = cameFrom[place]!) {
    upwards.push(structure.ids[place]!);
  }
  return [parentId, childId, ...upwards.reverse()];
}

/** The links sorted by where they start, each group in the order given (a counting sort). */
function grouped(
  size: number,
  from: Int32Array,
  to: Int32Array,
  milli: Float64Array,
): [first: Int32Array, targets: Int32Array, quantities: Float64Array] {
  const first = new Int32Array(size + 1);
  for (const place of from) first[place + 1]! += 1;
  for (let place = 0; place < size; place++) first[place + 1]! += first[place]!;
  const next = first.slice(0, size);
  const targets = new Int32Array(from.length);
  const quantities = new Float64Array(from.length);
  from.forEach((place, use) => {
    const slot = next[place]!;
    next[place] = slot + 1;
    targets[slot] = to[use]!;
    quantities[slot] = milli[use]!;
  });
  return [first, targets, quantities];
}

/** Walks up among the parts never ready: each has a parent never ready, so a part must come again. */
function anyLoop(
  ids: readonly number[],
  waiting: Int32Array,
  firstParent: Int32Array,
  parentSources: Int32Array,
): number[] {
  const path: number[] = [];
  const seenAt = new Map<number, number>();
  let place = waiting.findIndex((count) => count > 0);
  while (!seenAt.has(place)) {
    seenAt.set(place, path.length);
    path.push(place);
    for (let use = firstParent[place]!; use < firstParent[place + 1]!; use++) {
      if (waiting[parentSources[use]!]! > 0) {
        place = parentSources[use]!;
        break;
      }
    }
  }
  return path
    .slice(seenAt.get(place))
    .reverse()
    .map((found) => ids[found]!);
}
