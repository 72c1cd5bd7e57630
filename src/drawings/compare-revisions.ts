import type { LimitsRow } from './limits-shown.ts';

/** A revision as it is compared with another. */
export interface ComparedRevision {
  letter: string;
  /** what stands in its head: material, process, finish */
  head: readonly { label: string; text: string }[];
  /** in the reader's unit */
  limits: readonly LimitsRow[];
  documents: readonly { name: string; kind: string; sha256: string; href: string }[];
}

/** A pair of lines that stand side by side; null where one of the revisions has none. */
export interface Pair<T> {
  before: T | null;
  after: T | null;
  /** what is different, in a few words; empty where nothing is */
  change: string;
}

export interface RevisionComparison {
  head: (Pair<string> & { label: string })[];
  characteristics: (Pair<LimitsRow> & { position: number })[];
  documents: Pair<ComparedRevision['documents'][number]>[];
  /** whether anything at all is different */
  differs: boolean;
}

/**
 * Two revisions of a part side by side.
 *
 * Characteristics are paired by their number on the drawing, which they keep from revision to revision; files by their
 * content, then by their name.
 */
export function compareRevisions(before: ComparedRevision, after: ComparedRevision): RevisionComparison {
  const head = headPairs(before, after);
  const characteristics = characteristicPairs(before.limits, after.limits);
  const documents = documentPairs(before.documents, after.documents);
  return {
    head,
    characteristics,
    documents,
    differs: [...head, ...characteristics, ...documents].some(({ change }) => change !== ''),
  };
}

function headPairs(before: ComparedRevision, after: ComparedRevision): RevisionComparison['head'] {
  const labels = [...new Set([...before.head, ...after.head].map(({ label }) => label))];
  const textOf = (revision: ComparedRevision, label: string) =>
    revision.head.find((line) => line.label === label)?.text || null;
  return labels
    .map((label) => {
      const was = textOf(before, label);
      const is = textOf(after, label);
      return { label, before: was, after: is, change: was === is ? '' : changeOf(was, is) };
    })
    .filter((line) => line.before !== null || line.after !== null);
}

function changeOf(before: unknown, after: unknown): string {
  if (before === null) return 'new';
  return after === null ? 'gone' : 'changed';
}

function characteristicPairs(
  before: readonly LimitsRow[],
  after: readonly LimitsRow[],
): RevisionComparison['characteristics'] {
  const positions = [...new Set([...before, ...after].map(({ position }) => position))].sort((a, b) => a - b);
  return positions.map((position) => {
    const was = before.find((row) => row.position === position) ?? null;
    const is = after.find((row) => row.position === position) ?? null;
    return { position, before: was, after: is, change: was && is ? differences(was, is) : changeOf(was, is) };
  });
}

/** What is different between two states of one characteristic: limits by how much, and words. */
function differences(was: LimitsRow, is: LimitsRow): string {
  const told: string[] = [];
  for (const [name, key] of [
    ['lower limit', 'lower'],
    ['upper limit', 'upper'],
  ] as const) {
    if (was[key] === is[key] && was.unit === is.unit) continue;
    const moved = Number(is[key]) - Number(was[key]);
    const isMove = was[key] !== '' && is[key] !== '' && was.unit === is.unit;
    told.push(isMove ? `${name} ${signed(moved)} ${is.unit}` : `${name} ${is[key] ? 'new' : 'gone'}`);
  }
  if (told.length === 0 && was.text !== is.text) told.push('written otherwise');
  if (was.label !== is.label) told.push('place on the drawing');
  if (was.isKey !== is.isKey) told.push(is.isKey ? 'key now' : 'no longer key');
  return told.join(', ');
}

const PLACES = 6;

function signed(value: number): string {
  const text = String(Number(Math.abs(value).toFixed(PLACES)));
  return `${value < 0 ? '−' : '+'}${text}`;
}

type Document = ComparedRevision['documents'][number];

function documentPairs(before: readonly Document[], after: readonly Document[]): Pair<Document>[] {
  const left = [...before];
  const take = (fits: (one: Document) => boolean): Document | null => {
    const at = left.findIndex(fits);
    return at < 0 ? null : (left.splice(at, 1)[0] ?? null);
  };
  // The same content first, so that a file that was only renamed isn't taken for another.
  const same = new Map(after.map((one) => [one, take(({ sha256 }) => sha256 === one.sha256)]));
  const pairs = after.map((is): Pair<Document> => {
    const was = same.get(is) ?? take(({ name, kind }) => name === is.name && kind === is.kind);
    if (!was) return { before: null, after: is, change: 'new' };
    if (was.sha256 !== is.sha256) return { before: was, after: is, change: 'other content' };
    return { before: was, after: is, change: was.name === is.name ? '' : 'renamed' };
  });
  return [...pairs, ...left.map((was) => ({ before: was, after: null, change: 'gone' }))];
}
