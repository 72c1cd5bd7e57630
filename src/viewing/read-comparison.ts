import {
  type ComparedRevision,
  compareRevisions,
  limitsTable,
  type RevisionComparison,
} from '../drawings/index.ts';
import {
  type ContourDrawing,
  type ContourShape,
  drawContours,
  factsOfDocuments,
  isPictured,
  Unreadable,
} from '../models/index.ts';
import type { Database } from '../platform/database.ts';
import { found } from '../platform/refusal.ts';
import { compareContours } from './compare-contours.ts';
import { compareFacts, type FactPair } from './compare-facts.ts';
import type { Shapes } from './ports.ts';

/** Contours of two flat patterns in one box. */
export interface Overlay {
  box: ContourDrawing['box'];
  same: string[];
  gone: string[];
  added: string[];
  words: string;
}

/** A file of both revisions, or of one. */
export interface ComparedFile {
  name: string;
  change: string;
  pictures: { letter: string; href: string; view: string }[];
  facts: FactPair[];
  overlay: Overlay | null;
  /** why something is not shown */
  told: string[];
}

export interface ReadComparison {
  partId: number;
  before: { id: number; letter: string; state: string };
  after: { id: number; letter: string; state: string };
  comparison: RevisionComparison;
  files: ComparedFile[];
}

type Reader = Pick<Database, 'read'>;

async function readRevision({ read }: Reader, id: number) {
  return found(
    await read.revision.findUnique({
      where: { id },
      include: { documents: { where: { removedAt: null }, orderBy: { id: 'asc' } } },
    }),
    'There is no such revision.',
  );
}

type Row = Awaited<ReturnType<typeof readRevision>>;

async function compared(db: Reader, row: Row, lengthUnit: 'mm' | 'in'): Promise<ComparedRevision> {
  const named = async (id: number | null, of: 'material' | 'process') => {
    if (id === null) return '';
    const entry =
      of === 'material'
        ? await db.read.material.findUnique({ where: { id } })
        : await db.read.process.findUnique({ where: { id } });
    return entry?.name ?? '';
  };
  return {
    letter: row.letter,
    head: [
      { label: 'Material', text: await named(row.materialId, 'material') },
      { label: 'Stock, temper, grain', text: row.materialNote },
      { label: 'Process', text: await named(row.processId, 'process') },
      { label: 'General tolerance', text: row.generalTolerance && `ISO 2768-${row.generalTolerance}` },
      { label: 'Finish', text: row.finish },
      { label: 'Notes', text: row.notes },
    ],
    limits: (await limitsTable(db, row.id, lengthUnit)).rows,
    documents: row.documents.map(({ id, name, kind, sha256 }) => ({
      name,
      kind,
      sha256,
      href: `/documents/${id}`,
    })),
  };
}

/**
 * Two revisions of one part side by side, with what their files say.
 *
 * @throws NotFound  one of them is not there, or they are of different parts
 */
export async function readComparison(
  db: Reader,
  shapes: Shapes,
  { beforeId, afterId, lengthUnit }: { beforeId: number; afterId: number; lengthUnit: 'mm' | 'in' },
): Promise<ReadComparison> {
  const before = await readRevision(db, beforeId);
  const after = await readRevision(db, afterId);
  if (before.partId !== after.partId) found(null, 'These revisions are of different parts.');
  const comparison = compareRevisions(
    await compared(db, before, lengthUnit),
    await compared(db, after, lengthUnit),
  );
  const documents = [...before.documents, ...after.documents];
  const kindOf = new Map(documents.map(({ sha256, fileKind }) => [sha256, fileKind]));
  const facts = await factsOfDocuments(db, documents);
  const known = new Map([...facts].map(([id, one]) => [`/documents/${id}`, one]));
  const files: ComparedFile[] = [];
  for (const pair of comparison.documents) {
    const file: ComparedFile = {
      name: pair.after?.name ?? pair.before?.name ?? '',
      change: pair.change,
      pictures: [],
      facts: [],
      overlay: null,
      told: [],
    };
    for (const [one, letter] of [
      [pair.before, before.letter],
      [pair.after, after.letter],
    ] as const) {
      if (!one || !isPictured(kindOf.get(one.sha256) ?? '', known.get(one.href))) continue;
      file.pictures.push({ letter, href: `${one.href}/picture`, view: `${one.href}/view` });
    }
    if (pair.before && pair.after && pair.before.sha256 !== pair.after.sha256) {
      const [was, is] = [known.get(pair.before.href), known.get(pair.after.href)];
      if (was?.state === 'read' && is?.state === 'read') {
        file.facts = compareFacts(was.facts, is.facts, lengthUnit);
      } else if (was && is) file.told.push('One of the two is not read, so that sizes can not be compared.');
      const keys = { before: pair.before.sha256, after: pair.after.sha256 };
      if (kindOf.get(keys.before) === 'dxf' && kindOf.get(keys.after) === 'dxf') {
        file.overlay = await overlayOf(shapes, keys, file.told);
      }
    }
    files.push(file);
  }
  const named = ({ id, letter, state }: Row) => ({ id, letter, state });
  return { partId: before.partId, before: named(before), after: named(after), comparison, files };
}

async function overlayOf(
  shapes: Shapes,
  keys: { before: string; after: string },
  told: string[],
): Promise<Overlay | null> {
  try {
    const before = await shapes.shape({ sha256: keys.before, fileKind: 'dxf' });
    const after = await shapes.shape({ sha256: keys.after, fileKind: 'dxf' });
    if (before.kind !== 'contours' || after.kind !== 'contours') return null;
    return overlay(before, after);
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    told.push(fault.message);
    return null;
  }
}

/** Two flat patterns laid over each other. */
export function overlay(before: ContourShape, after: ContourShape): Overlay {
  const { same, gone, added } = compareContours(before, after);
  const { box } = drawContours(before, [after]);
  const paths = (contours: ContourShape['contours']) =>
    drawContours({ ...after, contours }).paths.map(({ d }) => d);
  const count = (n: number) => `${n} ${n === 1 ? 'contour' : 'contours'}`;
  return {
    box,
    same: paths(same),
    gone: paths(gone),
    added: paths(added),
    words: `${count(same.length)} the same, ${gone.length} only in the first, ${added.length} only in the second.`,
  };
}
