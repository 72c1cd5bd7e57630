import {
  type Exact,
  exactMilli,
  exactOne,
  exactZero,
  milliRoundedUp,
  product,
  sum,
} from './structure-exact.ts';
import { placeOf, type Structure } from './structure-graph.ts';

/** So much of the part goes into one unit of another, directly or through all ways in between. */
export interface UsedIn {
  partId: number;
  quantityMilli: number;
}

export interface WhereUsed {
  /** Parts that hold it directly, in the order of the uses; uses in the same parent are added up. */
  direct: UsedIn[];
  /** Every part that holds it at any depth, each before the parts that hold that one. */
  all: UsedIn[];
  /** Those of `all` that go into nothing. */
  tops: UsedIn[];
}

/**
 * Where a part goes into, with how much of it one unit of each holder takes.
 *
 * The product along each way is exact, the ways are added up, and the sum is rounded up to the next thousandth.
 *
 * @throws RangeError when the structure does not hold the part
 */
export function whereUsed(structure: Structure, partId: number): WhereUsed {
  const { ids, order, firstParent, parentSources, parentMilli } = structure;
  const start = placeOf(structure, partId);
  const amounts = new Map<number, Exact>([[start, exactOne]]);
  const direct = new Map<number, number>();
  for (let use = firstParent[start]!; use < firstParent[start + 1]!; use++) {
    const parent = ids[parentSources[use]!]!;
    direct.set(parent, (direct.get(parent) ?? 0) + parentMilli[use]!);
  }

  const all: UsedIn[] = [];
  const tops: UsedIn[] = [];
  const found = (place: number, amount: Exact) => {
    if (place === start) return;
    const entry = { partId: ids[place]!, quantityMilli: milliRoundedUp(amount) };
    all.push(entry);
    if (firstParent[place] === firstParent[place + 1]) tops.push(entry);
  };
  // Children before parents: when a part is reached, every way up to it has been added.
  for (let at = order.length - 1; at >= 0 && amounts.size > 0; at--) {
    const place = order[at]!;
    const amount = amounts.get(place);
    if (amount === undefined) continue;
    amounts.delete(place);
    found(place, amount);
    for (let use = firstParent[place]!; use < firstParent[place + 1]!; use++) {
      const parent = parentSources[use]!;
      const share = product(amount, exactMilli(parentMilli[use]!));
      amounts.set(parent, sum(amounts.get(parent) ?? exactZero, share));
    }
  }
  return { direct: [...direct].map(([id, quantityMilli]) => ({ partId: id, quantityMilli })), all, tops };
}
