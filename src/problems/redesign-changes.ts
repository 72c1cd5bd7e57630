import {
  type ComparedRevision,
  compareRevisions,
  type LimitsRow,
  limitsRow,
  type RevisionComparison,
} from '../drawings/index.ts';
import type { Database } from '../platform/database.ts';
import type { GeneralClass, LengthUnit } from '../specs/index.ts';

/** A line of what a new revision changes. */
export interface ChangeLine {
  /** what it is about: place on the drawing, or head of the sheet */
  what: string;
  was: string;
  is: string;
  /** what is different, in a few words */
  change: string;
}

/** What a new revision changes against the one before. */
export interface DraftChanges {
  /** its own words for it */
  words: string;
  lines: ChangeLine[];
  /** whether a drawing or a model belongs to it */
  drawn: boolean;
  /** both side by side */
  besideHref: string;
}

async function readRevisions(read: Database['read'], ids: readonly number[]) {
  return read.revision.findMany({
    where: { id: { in: [...ids] } },
    include: {
      characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } },
      documents: { where: { removedAt: null }, orderBy: { id: 'asc' } },
    },
  });
}

type Row = Awaited<ReturnType<typeof readRevisions>>[number];

/**
 * What each new revision changes, by its id.
 *
 * @param pairs  the revision before, and the new one
 */
export async function readChanges(
  read: Database['read'],
  pairs: readonly { fromId: number; toId: number }[],
  lengthUnit: LengthUnit,
): Promise<ReadonlyMap<number, DraftChanges>> {
  if (pairs.length === 0) return new Map();
  const rows = await readRevisions(
    read,
    pairs.flatMap(({ fromId, toId }) => [fromId, toId]),
  );
  const materials = await read.material.findMany({
    where: { id: { in: rows.flatMap(({ materialId }) => materialId ?? []) } },
    select: { id: true, name: true },
  });
  const processes = await read.process.findMany({
    where: { id: { in: rows.flatMap(({ processId }) => processId ?? []) } },
    select: { id: true, name: true },
  });
  const nameOf = (list: readonly { id: number; name: string }[], id: number | null) =>
    list.find((one) => one.id === id)?.name ?? '';
  const compared = (row: Row): ComparedRevision => ({
    letter: row.letter,
    head: [
      { label: 'Material', text: nameOf(materials, row.materialId) },
      { label: 'Stock, temper, grain', text: row.materialNote },
      { label: 'Process', text: nameOf(processes, row.processId) },
      { label: 'General tolerance', text: row.generalTolerance && `ISO 2768-${row.generalTolerance}` },
      { label: 'Finish', text: row.finish },
      { label: 'Notes', text: row.notes },
    ],
    limits: row.characteristics.map((one) =>
      limitsRow(one, (row.generalTolerance || null) as GeneralClass | null, lengthUnit),
    ),
    documents: row.documents.map(({ id, name, kind, sha256 }) => ({
      name,
      kind,
      sha256,
      href: `/documents/${id}`,
    })),
  });
  const changes = new Map<number, DraftChanges>();
  for (const { fromId, toId } of pairs) {
    const [from, to] = [fromId, toId].map((id) => rows.find((row) => row.id === id));
    if (!from || !to) continue;
    changes.set(toId, {
      words: to.change,
      lines: changeLines(compareRevisions(compared(from), compared(to))),
      drawn: to.documents.some(({ kind }) => kind === 'drawing' || kind === 'model'),
      besideHref: `/revisions/${fromId}/beside/${toId}`,
    });
  }
  return changes;
}

/**
 * What is different, a line each. Files are left out: a draft begins without any, and they are named by revision, so
 * that all of them differ always.
 */
export function changeLines({ head, characteristics }: RevisionComparison): ChangeLine[] {
  return [
    ...characteristics
      .filter(({ change }) => change !== '')
      .map(({ position, before, after, change }) => ({
        what: [`${position}`, (after ?? before)?.label].filter(Boolean).join(' '),
        was: before ? sizeText(before) : '',
        is: after ? sizeText(after) : '',
        change,
      })),
    ...head
      .filter(({ change }) => change !== '')
      .map(({ label, before, after, change }) => ({
        what: label,
        was: before ?? '',
        is: after ?? '',
        change,
      })),
  ];
}

const sizeText = ({ text, isKey }: LimitsRow) => (isKey ? `${text} (key)` : text);
