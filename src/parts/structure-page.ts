import type { PartKind } from './import-types.ts';
import { partPath } from './part.ts';
import { findsPart, massWords, plainCostWords, type RollUpWords } from './part-words.ts';
import type { PartJobs } from './progress.ts';
import { formatQuantity } from './quantity.ts';
import { buildStructure, placeOf, type Structure } from './structure-graph.ts';
import type { PartRow, PartsGraph } from './structure-reader.ts';
import { type TreeRow, treeRows } from './structure-tree.ts';

/** What the address of the structure asks for. */
export interface StructureQuestion {
  /** words of number and name */
  q: string;
  kind: PartKind | '';
  /** levels to open below the tops, or null for as many as fit on a page */
  depth: number | null;
  /** the part whose own structure is shown; empty for all of it */
  from: string;
  page: number;
}

export interface TreeNode {
  /** unique on the page */
  id: string;
  number: string;
  name: string;
  href: string;
  kind: PartKind;
  /** in one of its parent; empty for a top */
  each: string;
  /** along this way, in one of what is shown at the top */
  total: string;
  /** the stage of its slowest job; empty where it has none */
  stage: string;
  /** accepted and on the shelf, of what is needed in all places together */
  ready: string;
  /** of an assembly: by which day 80 of 100 runs have it ready; '–' where that is not known, '' for other kinds and when it is ready */
  readyAt80: string;
  mass: RollUpWords;
  /** where the mass is from, when nobody typed it and it is not added up */
  massSource: string;
  /** in the build's currency, which the head of the column names */
  cost: RollUpWords;
  /** parts below it that are not shown, and where they are */
  below: { count: number; href: string } | null;
  /** shown on an earlier page already: here only to say where the rows below it belong */
  continued: boolean;
  children: TreeNode[];
}

export interface StructureTree {
  nodes: TreeNode[];
  /** the depth that was opened */
  depth: number;
  /** parts that the words and the kind find, when they were asked for */
  found: number | null;
  page: number;
  pages: number;
  rows: number;
  /** there are more rows than are counted */
  more: boolean;
}

/** Rows on one page: about 600 bytes each keep it well below 200 kB. */
export const rowsOnPage = 200;
const mostPages = 10;
const usualDepth = 4;
export const mostDepth = 12;

/** The tree of a page: the tops (or one part) with what is below, as deep as asked or as fits on the page. */
export function structureTree(
  graph: PartsGraph,
  question: StructureQuestion,
  jobs: PartJobs,
  readyAt80: (partId: number) => string | null,
): StructureTree {
  const from = question.from === '' ? null : graph.byNumber(question.from);
  const wanted = question.q.trim() !== '' || question.kind !== '';
  const found = wanted ? matches(graph, question) : null;
  const structure = found ? pruned(graph, found) : graph.structure;
  const within = (id: number) => structure.places.has(id);
  const roots = (from ? [from.id] : graph.tops).filter(within);
  const depth = found ? structure.ids.length : (question.depth ?? depthThatFits(structure, roots));

  const most = rowsOnPage * mostPages;
  const rows: (TreeRow & { root: number })[] = [];
  let more = false;
  for (const root of roots) {
    const tree = treeRows(structure, root, { depth, rows: most - rows.length });
    // Rows point at their parents by place in their own tree: here many trees stand below one another.
    const first = rows.length;
    for (const row of tree.rows) {
      rows.push({ ...row, root, parentRow: row.parentRow === null ? null : row.parentRow + first });
    }
    more ||= tree.cut;
    if (rows.length >= most) break;
  }
  const pages = Math.max(1, Math.ceil(rows.length / rowsOnPage));
  const page = Math.min(question.page, pages);
  return {
    nodes: nodesOf(rows, (page - 1) * rowsOnPage, page * rowsOnPage, graph, { jobs, readyAt80 }),
    depth,
    found: found ? found.size : null,
    page,
    pages,
    rows: rows.length,
    more,
  };
}

/** The address of the structure with these filters; what is usual is left out. */
export function structureAddress(question: Partial<StructureQuestion>): string {
  const { q = '', kind = '', depth = null, from = '', page = 1 } = question;
  const search = new URLSearchParams();
  if (q) search.set('q', q);
  if (kind) search.set('kind', kind);
  if (depth !== null) search.set('depth', String(depth));
  if (from) search.set('from', from);
  if (page > 1) search.set('page', String(page));
  return search.size > 0 ? `/structure?${search}` : '/structure';
}

function matches(graph: PartsGraph, { q, kind }: StructureQuestion): Set<number> {
  const finds = findsPart(q);
  const ids = new Set<number>();
  for (const part of graph.parts.values()) {
    if ((kind === '' || part.kind === kind) && finds(part)) ids.add(part.id);
  }
  return ids;
}

/** The structure of the found parts and all that leads down to them. */
function pruned(graph: PartsGraph, found: ReadonlySet<number>): Structure {
  const { structure } = graph;
  const kept = new Set(found);
  const waiting = [...found];
  for (let id = waiting.pop(); id !== undefined; id = waiting.pop()) {
    const place = placeOf(structure, id);
    for (let use = structure.firstParent[place]!; use < structure.firstParent[place + 1]!; use++) {
      const parent = structure.ids[structure.parentSources[use]!]!;
      if (!kept.has(parent)) {
        kept.add(parent);
        waiting.push(parent);
      }
    }
  }
  return buildStructure(
    [...graph.parts.values()].filter(({ id }) => kept.has(id)),
    graph.uses
      .filter(({ parentId, childId }) => kept.has(parentId) && kept.has(childId))
      .map(({ parentId, childId, milli }) => ({ parentId, childId, quantityMilli: milli })),
  );
}

/** The most levels, up to the usual number, with which all rows stand on one page; one level where none fits. */
function depthThatFits(structure: Structure, roots: readonly number[]): number {
  for (let depth = usualDepth; depth > 1; depth--) {
    let rows = 0;
    for (const root of roots) {
      rows += treeRows(structure, root, { depth, rows: rowsOnPage + 1 }).rows.length;
      if (rows > rowsOnPage) break;
    }
    if (rows <= rowsOnPage) return depth;
  }
  return 1;
}

/** Rows `start` up to `end` as nested nodes, each below the rows that lead to it. */
function nodesOf(
  rows: readonly (TreeRow & { root: number })[],
  start: number,
  end: number,
  graph: PartsGraph,
  ask: Asking,
): TreeNode[] {
  const tops: TreeNode[] = [];
  const byRow = new Map<number, TreeNode>();
  const nodeAt = (at: number): TreeNode => {
    const there = byRow.get(at);
    if (there) return there;
    const row = rows[at]!;
    const node = nodeOf(row, at, at < start, graph, ask);
    byRow.set(at, node);
    if (row.parentRow === null) tops.push(node);
    else nodeAt(row.parentRow).children.push(node);
    return node;
  };
  for (let at = start; at < Math.min(end, rows.length); at++) nodeAt(at);
  return tops;
}

/** Whom the rows are asked of. */
interface Asking {
  jobs: PartJobs;
  readyAt80: (partId: number) => string | null;
}

function nodeOf(row: TreeRow, at: number, continued: boolean, graph: PartsGraph, ask: Asking): TreeNode {
  const part = graph.parts.get(row.partId)!;
  const ready = continued ? null : readyOf(part, graph, ask.jobs);
  const isWaitedFor = part.kind === 'assembly' && ready !== null && !ready.enough;
  const place = placeOf(graph.structure, part.id);
  const childCount = graph.structure.firstChild[place + 1]! - graph.structure.firstChild[place]!;
  return {
    id: `row-${at}`,
    number: part.number,
    name: part.name,
    href: partPath(part.number),
    kind: part.kind,
    each: row.quantityMilli === null ? '' : formatQuantity(row.quantityMilli, part.unit),
    total: row.quantityMilli === null ? '' : formatQuantity(row.totalMilli, part.unit),
    stage: ready?.stage ?? '',
    ready: ready?.text ?? '',
    readyAt80: isWaitedFor ? (ask.readyAt80(part.id) ?? '–') : '',
    mass: massWords(graph.mass().get(part.id)),
    massSource: graph.modelMass().get(part.id)?.source ?? '',
    cost: plainCostWords(graph.cost().get(part.id)),
    // A search hides children that it did not find: they are below all the same.
    below:
      childCount > 0 && (row.folded || row.childCount === 0)
        ? { count: childCount, href: structureAddress({ from: part.number }) }
        : null,
    continued,
    children: [],
  };
}

/** What is there of a part, against what all of its places need. */
export function readyOf(
  part: PartRow,
  graph: PartsGraph,
  jobs: PartJobs,
): { text: string; stage: string; enough: boolean } | null {
  const needed = graph.required().get(part.id) ?? 0;
  if (needed === 0) return null;
  const progress = jobs.progress(part.id);
  const there = (progress?.acceptedMilli ?? 0) + part.shelfMilli;
  return {
    text: `${figure(there, part)} of ${formatQuantity(needed, part.unit)}`,
    stage: progress?.stageWord ?? '',
    enough: there >= needed,
  };
}

/** The figure of a quantity without its unit. */
function figure(milli: number, part: PartRow): string {
  return formatQuantity(milli, part.unit).replace(/ \D+$/, '');
}
