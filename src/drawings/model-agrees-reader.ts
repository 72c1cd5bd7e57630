import { factsOfDocuments } from '../models/index.ts';
import { partNumberKey } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { inLots } from '../platform/in-lots.ts';
import { type GeneralClass, materialEntry, processEntry } from '../specs/index.ts';
import { type AgreeRevision, type Disagreement, modelDisagreements } from './model-agrees.ts';
import { compareRevisionLetters } from './revision-letter.ts';

const WITH_FILES = {
  characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } },
  documents: { where: { removedAt: null }, orderBy: { id: 'asc' } },
} as const;

/**
 * Where models, flat patterns and sizes do not go together, by the revision's id; those without a finding are not in it.
 *
 * @param revisionIds  the revisions to look at; the ones before them are read with them
 */
export async function readDisagreements(
  { read }: Pick<Database, 'read'>,
  revisionIds: readonly number[],
): Promise<Map<number, Disagreement[]>> {
  if (revisionIds.length === 0) return new Map();
  const wanted = new Set(revisionIds);
  const asked = await inLots([...wanted], (lot) =>
    read.revision.findMany({ where: { id: { in: [...lot] } }, select: { partId: true } }),
  );
  const partIds = [...new Set(asked.map(({ partId }) => partId))];
  const parts = await inLots(partIds, (lot) =>
    read.part.findMany({
      where: { id: { in: [...lot] } },
      select: { id: true, number: true, materialId: true, processId: true },
    }),
  );
  const partOf = new Map(parts.map((part) => [part.id, part]));
  const revisions = await inLots(partIds, (lot) =>
    read.revision.findMany({ where: { partId: { in: [...lot] } }, include: WITH_FILES }),
  );
  const byPart = new Map<number, typeof revisions>();
  for (const revision of revisions) {
    byPart.set(revision.partId, [...(byPart.get(revision.partId) ?? []), revision]);
  }
  // Only files of what is asked for, and of what came before it, are worth taking apart.
  const pairs = revisions
    .filter(({ id }) => wanted.has(id))
    .map((revision) => {
      const earlier = (byPart.get(revision.partId) ?? [])
        .filter(
          ({ letter, state }) => state !== 'withdrawn' && compareRevisionLetters(letter, revision.letter) < 0,
        )
        .sort((a, b) => compareRevisionLetters(b.letter, a.letter));
      return { revision, before: earlier[0] ?? null };
    });
  const facts = await factsOfDocuments(
    { read },
    pairs.flatMap(({ revision, before }) => [...revision.documents, ...(before?.documents ?? [])]),
  );
  const numbers = new Map(
    (await read.part.findMany({ where: { removedAt: null }, select: { number: true, numberKey: true } })).map(
      ({ number, numberKey }) => [numberKey, number],
    ),
  );
  const materials = new Map((await read.material.findMany()).map((row) => [row.id, materialEntry(row)]));
  const processes = new Map((await read.process.findMany()).map((row) => [row.id, processEntry(row)]));

  const shaped = (row: (typeof revisions)[number]): AgreeRevision => ({
    letter: row.letter,
    generalClass: (row.generalTolerance || null) as GeneralClass | null,
    characteristics: row.characteristics,
    files: row.documents.map(({ id, name, kind, sha256 }) => {
      const known = facts.get(id);
      return { name, kind, sha256, facts: known?.state === 'read' ? known.facts : null };
    }),
  });
  const found = new Map<number, Disagreement[]>();
  for (const { revision, before } of pairs) {
    const part = partOf.get(revision.partId)!;
    const findings = modelDisagreements({
      part,
      revision: shaped(revision),
      before: before && shaped(before),
      letters: (byPart.get(part.id) ?? []).map(({ letter }) => letter),
      otherPart(text) {
        const number = numbers.get(partNumberKey(text)) ?? null;
        return number === part.number ? null : number;
      },
      process: processes.get(revision.processId ?? part.processId ?? 0) ?? null,
      material: materials.get(revision.materialId ?? part.materialId ?? 0) ?? null,
    });
    if (findings.length > 0) found.set(revision.id, findings);
  }
  return found;
}
