import type { AgendaItem } from './agenda.ts';

// What goes first on an agenda. Pure.

/** Ways of choosing what goes first among what can: the best plan of all of them is taken. */
export const RULES: readonly ((item: AgendaItem, tail: number) => readonly number[])[] = [
  (item, tail) => [item.pressing, -tail],
  (_item, tail) => [-tail],
  (item, tail) => [item.readyDay ?? 0, item.pressing, -tail],
  (item) => [item.minutes, item.pressing],
];

/** Whether one list of numbers comes before another of the same length. */
export function less(a: readonly number[], b: readonly number[]): boolean {
  for (let k = 0; k < a.length; k++) if (a[k] !== b[k]) return a[k]! < b[k]!;
  return false;
}

/** By place of the item: what it takes with all that waits for it, in minutes, and how it ranks by a rule. */
export function rankings(
  items: readonly AgendaItem[],
  order: readonly number[],
  rule: (typeof RULES)[number],
) {
  const place = new Map(items.map(({ key }, at) => [key, at]));
  const tail = new Float64Array(items.length);
  const isKept = items.map((item) => item.isKept);
  for (const at of [...order].reverse()) {
    const item = items[at]!;
    tail[at]! += item.minutes;
    for (const { key } of item.after) {
      const before = place.get(key);
      if (before === undefined) continue;
      tail[before] = Math.max(tail[before]!, tail[at]!);
      if (isKept[at]) isKept[before] = true;
    }
  }
  const ranks = items.map((item, at) => [isKept[at] ? 0 : 1, ...rule(item, tail[at]!)]);
  // What something waits for goes at least as soon as that.
  for (const at of [...order].reverse()) {
    for (const { key } of items[at]!.after) {
      const before = place.get(key);
      if (before !== undefined && less(ranks[at]!, ranks[before]!)) ranks[before] = ranks[at]!;
    }
  }
  return ranks;
}

/** Items in an order that their links obey; what goes round in a circle comes last, as it stands. */
export function inOrder(items: readonly AgendaItem[]): number[] {
  const place = new Map(items.map(({ key }, at) => [key, at]));
  const order: number[] = [];
  const state = new Uint8Array(items.length);
  const visit = (at: number) => {
    if (state[at] !== 0) return;
    state[at] = 1;
    for (const { key } of items[at]!.after) {
      const before = place.get(key);
      if (before !== undefined) visit(before);
    }
    order.push(at);
  };
  items.forEach((_, at) => {
    visit(at);
  });
  return order;
}
