import { fileSize, type LimitsTable, limitsTable, previewOf } from '../drawings/index.ts';
import { factsOfDocuments, factsShown } from '../models/index.ts';
import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { cautionsFor } from '../specs/index.ts';

/** A revision as a route card shows it: what the maker works to. */
export interface Sheet {
  id: number;
  letter: string;
  state: string;
  href: string;
  material: { name: string; href: string } | null;
  process: { name: string; href: string } | null;
  materialNote: string;
  finish: string;
  generalTolerance: string;
  notes: string;
  documents: {
    name: string;
    href: string;
    view: string;
    kind: string;
    size: string;
    /** what the file says of itself, in one line */
    note: string;
    preview: string;
  }[];
  limits: LimitsTable;
  cautions: string[];
  closing: string;
}

/**
 * Reads one revision for the route card, limits in the person's unit.
 *
 * @returns null where there is none, or where the person may not see it: makers see what has been released once
 */
export async function readSheet(
  db: Pick<Database, 'read'>,
  revisionId: number,
  person: SignedIn,
): Promise<Sheet | null> {
  const revision = await db.read.revision.findUnique({
    where: { id: revisionId },
    include: {
      part: { select: { name: true, massGrams: true } },
      documents: { where: { removedAt: null }, orderBy: { id: 'asc' } },
    },
  });
  if (!revision || (person.role === 'maker' && !revision.releasedAt)) return null;
  const { part, materialId, processId, documents } = revision;
  const known = await factsOfDocuments(db, documents);
  const noteOf = (id: number) => {
    const facts = known.get(id);
    return facts?.state === 'read' ? factsShown(facts, person.lengthUnit).line : '';
  };
  const named = { select: { id: true, name: true } } as const;
  const material = materialId
    ? await db.read.material.findUnique({ where: { id: materialId }, ...named })
    : null;
  const process = processId ? await db.read.process.findUnique({ where: { id: processId }, ...named }) : null;
  const { cautions, closing } = await cautionsFor(db, {
    materialId,
    processId,
    words: [revision.finish, revision.notes, revision.materialNote, part.name].join(' '),
    massKg: part.massGrams === null ? null : part.massGrams / 1000,
  });
  return {
    id: revision.id,
    letter: revision.letter,
    state: revision.state,
    href: `/revisions/${revision.id}`,
    material: material && { name: material.name, href: `/materials/${material.id}` },
    process: process && { name: process.name, href: `/processes/${process.id}` },
    materialNote: revision.materialNote,
    finish: revision.finish,
    generalTolerance: revision.generalTolerance ? `ISO 2768-${revision.generalTolerance}` : '',
    notes: revision.notes,
    documents: documents.map((row) => ({
      name: row.name,
      href: `/documents/${row.id}`,
      view: `/documents/${row.id}/view`,
      kind: row.kind,
      size: fileSize(row.bytes),
      note: noteOf(row.id),
      preview: previewOf(row, known.get(row.id)),
    })),
    limits: await limitsTable(db, revisionId, person.lengthUnit),
    cautions: cautions.map(({ text }) => text),
    closing,
  };
}
