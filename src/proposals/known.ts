import type { Tx } from '../platform/database.ts';
import type { KnownPart, KnownUse } from './propose.ts';

/** The parts of the build and the structure between them, as a model is held against them. */
export async function readKnown(
  reader: Pick<Tx, 'part' | 'use'>,
): Promise<{ parts: KnownPart[]; uses: KnownUse[] }> {
  const rows = await reader.part.findMany({
    where: { removedAt: null },
    select: { id: true, number: true, name: true, kind: true },
    orderBy: { id: 'asc' },
  });
  const uses = await reader.use.findMany({
    where: { parent: { removedAt: null }, child: { removedAt: null } },
    select: { id: true, parentId: true, childId: true, milli: true },
    orderBy: { id: 'asc' },
  });
  const parts = rows.map(({ kind, ...part }) => ({
    ...part,
    holdsParts: kind === 'assembly' || kind === 'made',
  }));
  return { parts, uses };
}
