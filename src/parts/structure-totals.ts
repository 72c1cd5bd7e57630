import { formatMoney } from './money.ts';
import { mayHoldParts } from './part.ts';
import { costWords, massWords, type RollUpWords } from './part-words.ts';
import type { PartsGraph } from './structure-reader.ts';
import { packsToBuy, type RollUp, requiredTotals } from './structure-rollup.ts';

/** The figures above the tree, for one of each top (or of the part shown). */
export interface StructureTotals {
  /** different parts in it */
  parts: number;
  byKind: string;
  mass: RollUpWords;
  /** different parts in it whose mass is that of their model */
  byModel: number;
  cost: RollUpWords;
  /** all that is bought, in whole packs */
  packs: string;
}

export function structureTotals(graph: PartsGraph, fromId: number | null, currency: string): StructureTotals {
  const roots = fromId === null ? graph.tops : [fromId];
  const required =
    fromId === null
      ? graph.required()
      : requiredTotals(graph.structure, [{ partId: fromId, quantityMilli: 1000 }]);
  const counts = new Map<string, number>();
  let byModel = 0;
  let packCents = 0;
  let anyPrice = false;
  for (const part of graph.parts.values()) {
    const needed = required.get(part.id) ?? 0;
    if (needed === 0) continue;
    if (graph.modelMass().has(part.id)) byModel += 1;
    counts.set(part.kind, (counts.get(part.kind) ?? 0) + 1);
    if (mayHoldParts(part.kind) || part.priceCents === null) continue;
    anyPrice = true;
    packCents += packsToBuy(needed, { priceCents: part.priceCents, packMilli: part.packMilli }).costCents;
  }
  const kinds = [...counts].map(
    ([kind, n]) => `${n} ${kind === 'assembly' && n !== 1 ? 'assemblies' : kind}`,
  );
  return {
    parts: [...counts.values()].reduce((all, n) => all + n, 0),
    byKind: kinds.join(', '),
    mass: massWords(together(roots, graph.mass())),
    byModel,
    cost: costWords(together(roots, graph.cost()), currency),
    packs: anyPrice ? formatMoney(packCents, currency) : '',
  };
}

/** One of each root together. A part unknown below several roots is counted under each. */
function together(roots: readonly number[], each: ReadonlyMap<number, RollUp>): RollUp {
  let value: number | null = null;
  let unknownParts = 0;
  for (const root of roots) {
    const one = each.get(root);
    if (one?.value !== undefined && one.value !== null) value = (value ?? 0) + one.value;
    unknownParts += one?.unknownParts ?? 0;
  }
  return { value, unknownParts };
}
