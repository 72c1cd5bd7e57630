import type { Tx } from '../platform/database.ts';
import { found } from '../platform/refusal.ts';
import type { GeneralClass } from '../specs/index.ts';
import type { ReleaseFacts } from './release-checklist.ts';

/**
 * Reads what a release is judged by.
 *
 * @param needed  how much of the part is needed in all, in words; the page knows, the act need not
 * @throws NotFound
 */
export async function readReleaseFacts(
  tx: Tx,
  revisionId: number,
  needed: string | null = null,
): Promise<ReleaseFacts> {
  const revision = found(
    await tx.revision.findUnique({
      where: { id: revisionId },
      include: {
        part: true,
        characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } },
        documents: { where: { removedAt: null } },
      },
    }),
    'There is no such revision.',
  );
  const { part, materialId, processId } = revision;
  const material = materialId && (await tx.material.findUnique({ where: { id: materialId } }));
  const process = processId && (await tx.process.findUnique({ where: { id: processId } }));
  const parents = await tx.use.findMany({
    where: { childId: part.id, parent: { removedAt: null } },
    select: { parent: { select: { number: true } } },
    orderBy: { parent: { numberKey: 'asc' } },
  });
  const holds = await tx.use.count({ where: { parentId: part.id, child: { removedAt: null } } });
  return {
    revisionId,
    letter: revision.letter,
    part: { number: part.number, kind: part.kind },
    material: material ? material.name : null,
    process: process ? process.name : null,
    generalTolerance: (revision.generalTolerance || null) as GeneralClass | null,
    characteristics: revision.characteristics,
    documents: revision.documents,
    parents: parents.map(({ parent }) => parent.number),
    needed,
    isTop: parents.length === 0 && (part.kind === 'assembly' || holds > 0),
  };
}
