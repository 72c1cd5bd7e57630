import {
  type Exact,
  exactMilli,
  exactOf,
  exactZero,
  milliRoundedUp,
  product,
  rounded,
  roundedUp,
  sum,
} from './structure-exact.ts';
import { placeOf, type Structure } from './structure-graph.ts';

/** So many of a part are wanted in themselves, usually one of a top assembly. */
export interface Wanted {
  partId: number;
  quantityMilli: number;
}

/**
 * How much of every part is needed in all, for what is wanted and everything below it.
 *
 * Exact (see Exact in structure-exact.ts): only what must be is rounded. A part counted in pieces is made or bought whole, so its
 * total is rounded up to the next piece and its children serve those whole pieces; a measured part passes its exact
 * total on, and what is reported is rounded up to the next thousandth. What is needed is so never given short.
 *
 * @returns thousandths for each part of the structure by id, 0 where it is not needed;
 *          Number.MAX_SAFE_INTEGER stands for "more than can be told"
 * @throws RangeError for a wanted part that the structure does not hold, or a quantity below zero
 *
 * Example: 0.333 m of hose in a branch, 12 branches in the machine, one machine -> 3996 (3.996 m).
 */
export function requiredTotals(structure: Structure, wanted: readonly Wanted[]): Map<number, number> {
  const totals: (Exact | undefined)[] = new Array(structure.ids.length);
  for (const { partId, quantityMilli } of wanted) {
    if (!Number.isSafeInteger(quantityMilli) || quantityMilli < 0) {
      throw new RangeError(
        `part ${partId}: quantity ${quantityMilli}, expected whole thousandths of zero or more`,
      );
    }
    const place = placeOf(structure, partId);
    totals[place] = sum(totals[place] ?? exactZero, exactMilli(quantityMilli));
  }

  const required = new Map(structure.ids.map((id) => [id, 0]));
  for (const place of structure.order) {
    let total = totals[place];
    if (total === undefined) continue;
    if (structure.counted[place] === 1) total = roundedUp(total);
    required.set(structure.ids[place]!, milliRoundedUp(total));
    for (let use = structure.firstChild[place]!; use < structure.firstChild[place + 1]!; use++) {
      const child = structure.childTargets[use]!;
      const share = product(total, exactMilli(structure.childMilli[use]!));
      totals[child] = sum(totals[child] ?? exactZero, share);
    }
    // Long exact numbers are let go as soon as they have been passed on.
    totals[place] = undefined;
  }
  return required;
}

/** What one unit of a part comes to, and how many different parts below it (or it) have no figure of their own. */
export interface RollUp {
  /** Null when nothing at all is known; with unknown parts it is what the known ones come to. */
  value: number | null;
  unknownParts: number;
}

/**
 * The mass of one unit of every part.
 *
 * A part's own mass stands before the sum of what goes into it: it was weighed, or the bar it is cut from is heavier.
 *
 * @param massGrams a part's own mass by its id, null where it is not known
 * @returns         grams by id, to the nearest thousandth
 * @throws RangeError for a mass below zero or not finite
 */
export function rollUpMass(
  structure: Structure,
  massGrams: (partId: number) => number | null,
): Map<number, RollUp> {
  const own = structure.ids.map((id) => {
    const grams = massGrams(id);
    return grams === null ? null : exactOf(grams);
  });
  return rollUp(structure, own, 'own-first', (total) => rounded(total, 3) / 1000);
}

/** A price for one pack of a part; packMilli in thousandths of the part's unit, null for packs of one unit. */
export interface PackPrice {
  priceCents: number;
  packMilli: number | null;
}

/**
 * The cost of what is in one unit of every part, each counted as its share of a pack.
 *
 * A part's own price adds to that of what goes into it (work on top of bought children); an assembly or a part with
 * children needs none. Remainders of packs are not counted here: see packsToBuy for what must be paid.
 *
 * @param price a part's own price by its id, all in one currency, null where it is not known
 * @returns     hundredths of the currency by id, a half rounded up; a price per unit is kept to 1e-9 of a hundredth
 * @throws RangeError for a price below zero or a pack size not above zero
 */
export function rollUpCost(
  structure: Structure,
  price: (partId: number) => PackPrice | null,
): Map<number, RollUp> {
  const own = structure.ids.map((id) => {
    const pack = price(id);
    return pack === null ? null : unitPrice(id, pack);
  });
  return rollUp(structure, own, 'own-and-children', (total) => rounded(total, 0));
}

/**
 * Whole packs that cover a quantity, and what they cost.
 *
 * Example: 228 screws in packs of 100 at 3.45 -> 3 packs, 10.35.
 */
export function packsToBuy(requiredMilli: number, pack: PackPrice): { packs: number; costCents: number } {
  const size = pack.packMilli ?? 1000;
  if (size <= 0) throw new RangeError(`pack size ${size}, expected thousandths above zero`);
  const packs = Number((BigInt(requiredMilli) + BigInt(size) - 1n) / BigInt(size));
  return { packs, costCents: packs * pack.priceCents };
}

function unitPrice(id: number, { priceCents, packMilli }: PackPrice): Exact {
  const size = packMilli ?? 1000;
  if (!Number.isSafeInteger(priceCents) || priceCents < 0 || !Number.isSafeInteger(size) || size <= 0) {
    throw new RangeError(`part ${id}: price ${priceCents} for a pack of ${size} thousandths is no price`);
  }
  const scaledUp = BigInt(priceCents) * 1000n * 10n ** 9n;
  return { mantissa: (scaledUp * 2n + BigInt(size)) / (BigInt(size) * 2n), places: 9 };
}

/** From the leaves up; a set of unknown parts is kept as bits, one for each part that has no figure. */
function rollUp(
  structure: Structure,
  own: readonly (Exact | null)[],
  rule: 'own-first' | 'own-and-children',
  shown: (total: Exact) => number,
): Map<number, RollUp> {
  const { ids, order, firstChild, childTargets, childMilli, firstParent } = structure;
  const isLeaf = (place: number) => firstChild[place] === firstChild[place + 1];
  const bits = new Map<number, number>();
  own.forEach((value, place) => {
    if (value === null && isLeaf(place)) bits.set(place, bits.size);
  });
  const words = Math.ceil(bits.size / 32);

  const totals: (Exact | null)[] = new Array(ids.length).fill(null);
  const unknowns: (Uint32Array | null)[] = new Array(ids.length).fill(null);
  const parentsLeft = Int32Array.from(ids, (_, place) => firstParent[place + 1]! - firstParent[place]!);
  const result = new Map<number, RollUp>();

  for (let at = order.length - 1; at >= 0; at--) {
    const place = order[at]!;
    const takesChildren = rule === 'own-and-children' || own[place] === null;
    let total = own[place] ?? null;
    let unknown: Uint32Array | null = null;
    const bit = bits.get(place);
    if (bit !== undefined) {
      unknown = new Uint32Array(words);
      unknown[bit >>> 5]! |= 1 << (bit & 31);
    }
    for (let use = firstChild[place]!; use < firstChild[place + 1]!; use++) {
      const child = childTargets[use]!;
      const childTotal = totals[child] ?? null;
      const childUnknown = unknowns[child] ?? null;
      if (takesChildren && childTotal !== null) {
        total = sum(total ?? exactZero, product(childTotal, exactMilli(childMilli[use]!)));
      }
      if (takesChildren && childUnknown !== null) {
        unknown ??= new Uint32Array(words);
        for (let word = 0; word < words; word++) unknown[word]! |= childUnknown[word]!;
      }
      parentsLeft[child]! -= 1;
      // Nobody above will ask again: a deep structure keeps only the part of it being worked on.
      if (parentsLeft[child] === 0) {
        totals[child] = null;
        unknowns[child] = null;
      }
    }
    totals[place] = total;
    unknowns[place] = unknown;
    result.set(ids[place]!, {
      value: total === null ? null : shown(total),
      unknownParts: countBits(unknown),
    });
  }
  return result;
}

function countBits(set: Uint32Array | null): number {
  let count = 0;
  for (let word of set ?? []) {
    for (; word !== 0; word &= word - 1) count += 1;
  }
  return count;
}
