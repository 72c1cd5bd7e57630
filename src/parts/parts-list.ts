import type { PartKind } from './import-types.ts';
import { partPath } from './part.ts';
import { findsPart } from './part-words.ts';
import type { PartJobs } from './progress.ts';
import { formatQuantity } from './quantity.ts';
import { readyOf } from './structure-page.ts';
import type { PartRow, PartsGraph } from './structure-reader.ts';

/** What the address of the flat list asks for. */
export interface ListQuestion {
  q: string;
  kind: PartKind | '';
  /** 'nowhere': only parts that go into nothing and hold nothing */
  hung: 'nowhere' | '';
  page: number;
}

export interface ListRow {
  number: string;
  name: string;
  href: string;
  kind: PartKind;
  ready: { text: string; stage: string; enough: boolean } | null;
  shelf: string;
  supplier: string;
}

export interface PartsList {
  rows: ListRow[];
  total: number;
  pager: { page: number; pages: number; prev: string; next: string; text: string };
}

const rowsOnPage = 100;

/** One page of the parts in the order of their numbers. */
export function partsList(graph: PartsGraph, question: ListQuestion, jobs: PartJobs): PartsList {
  const finds = findsPart(question.q);
  const loose = new Set(question.hung === 'nowhere' ? graph.loose : []);
  const found = [...graph.parts.values()].filter(
    (part) =>
      (question.kind === '' || part.kind === question.kind) &&
      (question.hung === '' || loose.has(part.id)) &&
      finds(part),
  );
  const pages = Math.max(1, Math.ceil(found.length / rowsOnPage));
  const page = Math.min(question.page, pages);
  const at = (other: number) => listAddress({ ...question, page: other });
  return {
    rows: found.slice((page - 1) * rowsOnPage, page * rowsOnPage).map((part) => rowOf(part, graph, jobs)),
    total: found.length,
    pager: {
      page,
      pages,
      prev: page > 1 ? at(page - 1) : '',
      next: page < pages ? at(page + 1) : '',
      text: `${found.length} parts`,
    },
  };
}

function rowOf(part: PartRow, graph: PartsGraph, jobs: PartJobs): ListRow {
  return {
    number: part.number,
    name: part.name,
    href: partPath(part.number),
    kind: part.kind,
    ready: readyOf(part, graph, jobs),
    shelf: part.shelfMilli > 0 ? formatQuantity(part.shelfMilli, part.unit) : '',
    supplier: [part.supplier, part.supplierNumber].filter(Boolean).join(', '),
  };
}

/** The address of the flat list with these filters. */
export function listAddress({ q = '', kind = '', hung = '', page = 1 }: Partial<ListQuestion>): string {
  const search = new URLSearchParams();
  if (q) search.set('q', q);
  if (kind) search.set('kind', kind);
  if (hung) search.set('hung', hung);
  if (page > 1) search.set('page', String(page));
  return search.size > 0 ? `/parts?${search}` : '/parts';
}
