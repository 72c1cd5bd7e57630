import type { Database } from '../platform/database.ts';
import type { PartKind } from './import-types.ts';
import { formatMoney } from './money.ts';
import { mayHoldParts, type Part, partPath } from './part.ts';
import { costWords, massWords, type RollUpWords } from './part-words.ts';
import type { PartJobs } from './progress.ts';
import { formatQuantity, unitName } from './quantity.ts';
import { buildFacts, partByNumber } from './store.ts';
import { readyOf } from './structure-page.ts';
import { type PartRow, type PartsGraph, structureGraph } from './structure-reader.ts';
import { packsToBuy } from './structure-rollup.ts';
import { whereUsed } from './structure-where-used.ts';

/** A part at the other end of a structure line. */
export interface LineRow {
  useId: number;
  number: string;
  name: string;
  href: string;
  kind: PartKind;
  /** so much of the child in one of the parent */
  quantity: string;
  note: string;
  ready: { text: string; stage: string; enough: boolean } | null;
  /** where the line is changed */
  changeHref: string;
}

/** So much of the part is in one of another, along all ways between them. */
export interface HolderRow {
  number: string;
  name: string;
  href: string;
  quantity: string;
}

/** A row of p.dl. */
export interface FactRow {
  label: string;
  value: string;
  num?: boolean;
  source?: string;
}

/** What the page of a part says of the part itself; views/shared/part-*.njk show it. */
export interface PartFacts {
  part: Part;
  href: string;
  /** how much the whole structure needs, and where that is from */
  needed: { text: string; source: string };
  ready: { text: string; stage: string; enough: boolean } | null;
  /** of an assembly not ready yet: the day by which 80 of 100 runs have it ready; '–' where that is not known, else '' */
  readyAt80: string;
  shelf: string;
  /** byModel: where it is from, when nobody typed it */
  mass: RollUpWords & { own: boolean; byModel: string };
  cost: RollUpWords;
  facts: FactRow[];
  holdsParts: boolean;
  children: LineRow[];
  parents: LineRow[];
  tops: HolderRow[];
  /** every part that holds it at any depth, when those are more than parents and tops tell */
  holders: HolderRow[];
}

/**
 * All that the parts know of one part, for its page.
 *
 * @param number  as in the address, in any case
 * @returns       null when there is no part of this number; a part taken out has its facts still
 */
export async function partFacts(
  db: Pick<Database, 'read' | 'hot'>,
  number: string,
  jobs: PartJobs,
  readyAt80: (partId: number) => string | null,
): Promise<PartFacts | null> {
  const part = await partByNumber(db.read, number);
  if (!part) return null;
  const graph = structureGraph(db.hot);
  const { currency } = await buildFacts(db.read);
  const inBuild = graph.parts.get(part.id);
  const ready = inBuild ? readyOf(inBuild, graph, jobs) : null;
  return {
    part,
    href: partPath(part.number),
    needed: neededWords(part, graph),
    ready,
    readyAt80: part.kind === 'assembly' && ready && !ready.enough ? (readyAt80(part.id) ?? '–') : '',
    shelf: part.shelfMilli > 0 ? formatQuantity(part.shelfMilli, part.unit) : 'none',
    mass: {
      ...massWords(graph.mass().get(part.id)),
      own: part.massGrams !== null,
      byModel: graph.modelMass().get(part.id)?.source ?? '',
    },
    cost: costWords(graph.cost().get(part.id), currency),
    facts: factRows(part, graph, jobs, currency),
    holdsParts: mayHoldParts(part.kind),
    ...linesOf(part, graph, jobs),
    ...holdersOf(part, graph),
  };
}

function neededWords(part: Part, graph: PartsGraph): { text: string; source: string } {
  const needed = graph.required().get(part.id) ?? 0;
  const listed = part.listedMilli === null ? '' : formatQuantity(part.listedMilli, part.unit);
  if (needed > 0) {
    const source = 'for one of each top, added up over the structure';
    const other = part.listedMilli !== null && part.listedMilli !== needed;
    return {
      text: formatQuantity(needed, part.unit),
      source: other ? `${source}; an imported list said ${listed}` : source,
    };
  }
  return listed === ''
    ? { text: 'not known', source: 'it goes into nothing yet' }
    : { text: listed, source: 'named by an imported list; the structure has no place for it yet' };
}

function factRows(part: Part, graph: PartsGraph, jobs: PartJobs, currency: string): FactRow[] {
  const rows: (FactRow | false)[] = [
    { label: 'Counted in', value: unitName(part.unit) },
    part.supplier !== '' && { label: 'Supplier', value: part.supplier },
    part.supplierNumber !== '' && { label: 'Supplier’s number', value: part.supplierNumber },
    part.packMilli !== null && {
      label: 'Sold in packs of',
      value: formatQuantity(part.packMilli, part.unit),
      num: true,
    },
    part.priceCents !== null && {
      label: part.packMilli === null ? 'Price of one' : 'Price of a pack',
      value: formatMoney(part.priceCents, currency),
      num: true,
    },
    packRow(part, graph, jobs, currency),
    part.leadDays !== null && {
      label: 'Delivery',
      value: days(part.leadDays, 'day'),
      num: true,
      source: 'from order to arrival',
    },
    part.designHours !== null && {
      label: 'To draw it',
      value: days(part.designHours, 'hour'),
      num: true,
      source: 'of the lead, estimated',
    },
    part.makeDays !== null && {
      label: part.kind === 'assembly' ? 'To fit it' : 'To make it',
      value: days(part.makeDays, 'working day'),
      num: true,
      source: 'estimated',
    },
  ];
  return rows.filter((row) => row !== false);
}

function days(count: number, word: string): string {
  return `${count} ${word}${count === 1 ? '' : 's'}`;
}

/** What is still to be bought, in whole packs. */
function packRow(part: Part, graph: PartsGraph, jobs: PartJobs, currency: string): FactRow | false {
  const needed = graph.required().get(part.id) ?? 0;
  if (part.priceCents === null || mayHoldParts(part.kind) || needed === 0) return false;
  const progress = jobs.progress(part.id);
  const short = Math.max(0, needed - part.shelfMilli - (progress?.acceptedMilli ?? 0));
  if (short === 0) return { label: 'Still to buy', value: 'nothing', source: 'enough is here' };
  const { packs, costCents } = packsToBuy(short, { priceCents: part.priceCents, packMilli: part.packMilli });
  const what = part.packMilli === null ? formatQuantity(short, part.unit) : days(packs, 'pack');
  return {
    label: 'Still to buy',
    value: `${what}, ${formatMoney(costCents, currency)}`,
    num: true,
    source: 'needed, less what is accepted and on the shelf; whole packs',
  };
}

function linesOf(part: Part, graph: PartsGraph, jobs: PartJobs): Pick<PartFacts, 'children' | 'parents'> {
  const row = (
    use: { id: number; milli: number; note: string },
    other: PartRow,
    unit: Part['unit'],
  ): LineRow => ({
    useId: use.id,
    number: other.number,
    name: other.name,
    href: partPath(other.number),
    kind: other.kind,
    quantity: formatQuantity(use.milli, unit),
    note: use.note,
    ready: readyOf(other, graph, jobs),
    changeHref: `/uses/${use.id}`,
  });
  const children: LineRow[] = [];
  const parents: LineRow[] = [];
  for (const use of graph.uses) {
    const child = graph.parts.get(use.childId)!;
    const parent = graph.parts.get(use.parentId)!;
    if (parent.id === part.id) children.push(row(use, child, child.unit));
    if (child.id === part.id) parents.push(row(use, parent, part.unit));
  }
  parents.sort((a, b) => (a.number < b.number ? -1 : 1));
  return { children, parents };
}

function holdersOf(part: Part, graph: PartsGraph): Pick<PartFacts, 'tops' | 'holders'> {
  if (!graph.parts.has(part.id)) return { tops: [], holders: [] };
  const used = whereUsed(graph.structure, part.id);
  const row = ({ partId, quantityMilli }: { partId: number; quantityMilli: number }): HolderRow => {
    const holder = graph.parts.get(partId)!;
    return {
      number: holder.number,
      name: holder.name,
      href: partPath(holder.number),
      quantity: formatQuantity(quantityMilli, part.unit),
    };
  };
  const told = new Set([...used.direct, ...used.tops].map(({ partId }) => partId));
  return {
    tops: used.tops.map(row),
    holders: used.all.some(({ partId }) => !told.has(partId)) ? used.all.map(row) : [],
  };
}
