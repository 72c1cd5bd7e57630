import type { Database } from '../platform/database.ts';
import type { Part } from './part.ts';
import { partNumberKey } from './part-number.ts';
import { buildStructure, type Structure, topParts } from './structure-graph.ts';
import { type RollUp, requiredTotals, rollUpCost, rollUpMass } from './structure-rollup.ts';

/** A part as lists, roll-ups and other domains need it. */
export interface PartRow
  extends Pick<
    Part,
    | 'id'
    | 'number'
    | 'name'
    | 'kind'
    | 'unit'
    | 'materialId'
    | 'processId'
    | 'massGrams'
    | 'supplier'
    | 'supplierNumber'
    | 'packMilli'
    | 'priceCents'
    | 'leadDays'
    | 'designHours'
    | 'makeDays'
    | 'shelfMilli'
    | 'listedMilli'
  > {}

export interface UseRow {
  id: number;
  parentId: number;
  childId: number;
  milli: number;
  note: string;
}

/** What one of a part weighs by something other than what was typed for it. */
export interface KnownMass {
  grams: number;
  /** where that is from, in words */
  source: string;
}

/** Every part in the build and every structure line between them, as they were at one moment. */
export interface PartsGraph {
  /** by id, in the order of their numbers */
  parts: ReadonlyMap<number, PartRow>;
  /** in the order of their children's numbers */
  uses: readonly UseRow[];
  structure: Structure;
  /** parts that go into nothing and are something in themselves: assemblies, and whatever holds parts */
  tops: readonly number[];
  /** parts that neither go into anything nor hold anything: not needed until they are put somewhere */
  loose: readonly number[];
  /** a part by its number in any case */
  byNumber(number: string): PartRow | null;
  /** how much of each part one of every top needs, in thousandths of its unit */
  required(): ReadonlyMap<number, number>;
  /** what one unit of each part weighs, in grams */
  mass(): ReadonlyMap<number, RollUp>;
  /** masses that nobody typed, by part: those of models */
  modelMass(): ReadonlyMap<number, KnownMass>;
  /** what is in one unit of each part costs, in hundredths of the build's currency */
  cost(): ReadonlyMap<number, RollUp>;
}

const PARTS = `
  SELECT id, number, name, kind, unit, materialId, processId, massGrams, supplier, supplierNumber, packMilli, priceCents,
         leadDays, designHours, makeDays, shelfMilli, listedMilli
    FROM Part WHERE removedAt IS NULL ORDER BY numberKey`;

const USES = `
  SELECT u.id, u.parentId, u.childId, u.milli, u.note
    FROM "Use" u JOIN Part c ON c.id = u.childId AND c.removedAt IS NULL
                 JOIN Part p ON p.id = u.parentId AND p.removedAt IS NULL
   ORDER BY c.numberKey`;

interface Reading {
  version: number;
  graph: PartsGraph;
}

const readings = new WeakMap<Database['hot'], Reading>();
const massesOf = new WeakMap<Database['hot'], () => ReadonlyMap<number, KnownMass>>();

/**
 * Has masses that were not typed come from elsewhere: the models, which know the parts and not the other way round.
 *
 * @param read  gives them for all parts without a typed mass, as they are committed
 */
export function takeMassesFrom(hot: Database['hot'], read: () => ReadonlyMap<number, KnownMass>): void {
  massesOf.set(hot, read);
  readings.delete(hot);
}

/**
 * The whole structure as it is committed, ordered and ready for sums.
 *
 * Kept until anything is written to the database, so that one page, or one turn of the schedule, reads it once.
 *
 * @param hot  the driver's read-only connection (db.hot)
 */
export function structureGraph(hot: Database['hot']): PartsGraph {
  // SQLite counts up data_version on this connection whenever another one has committed.
  const version = hot.pragma('data_version', { simple: true }) as number;
  const kept = readings.get(hot);
  if (kept?.version === version) return kept.graph;
  const graph = hot.transaction(() =>
    graphOf(hot.prepare<[], PartRow>(PARTS).all(), hot.prepare<[], UseRow>(USES).all(), massesOf.get(hot)),
  )();
  readings.set(hot, { version, graph });
  return graph;
}

/** How much of every part is needed for one of each top of the structure, in thousandths of its unit, by id. */
export function requiredMilli(hot: Database['hot']): ReadonlyMap<number, number> {
  return structureGraph(hot).required();
}

/** The structure of parts and lines, ordered and ready for sums. @param rows  in the order of their numbers; @param uses  in that of their children's */
export function graphOf(
  rows: readonly PartRow[],
  uses: readonly UseRow[],
  readModelMasses: () => ReadonlyMap<number, KnownMass> = () => new Map(),
): PartsGraph {
  const parts = new Map(rows.map((row) => [row.id, row]));
  const numbers = new Map(rows.map((row) => [partNumberKey(row.number), row]));
  const structure = buildStructure(
    rows,
    uses.map(({ parentId, childId, milli }) => ({ parentId, childId, quantityMilli: milli })),
  );
  const holds = new Set(uses.map(({ parentId }) => parentId));
  const isTop = (id: number) => holds.has(id) || parts.get(id)!.kind === 'assembly';
  const roots = topParts(structure);
  const tops = roots.filter(isTop);
  const own = (id: number) => parts.get(id)!;
  const modelMass = once(readModelMasses);
  return {
    parts,
    uses,
    structure,
    tops,
    loose: roots.filter((id) => !isTop(id)),
    byNumber: (number) => numbers.get(partNumberKey(number)) ?? null,
    required: once(() =>
      requiredTotals(
        structure,
        tops.map((partId) => ({ partId, quantityMilli: 1000 })),
      ),
    ),
    mass: once(() => rollUpMass(structure, (id) => own(id).massGrams ?? modelMass().get(id)?.grams ?? null)),
    modelMass,
    cost: once(() =>
      rollUpCost(structure, (id) => {
        const { priceCents, packMilli } = own(id);
        return priceCents === null ? null : { priceCents, packMilli };
      }),
    ),
  };
}

function once<T>(work: () => T): () => T {
  let kept: { value: T } | null = null;
  return () => {
    kept ??= { value: work() };
    return kept.value;
  };
}
