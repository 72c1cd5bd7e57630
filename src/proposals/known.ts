import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import type { KnownPart, KnownUse } from './propose.ts';

/** What is logged when somebody says which part a product of a model is. */
const SAID = 'name-product';

/** Keeps which part a product in the model of another part is, so that the model is read so from then on. */
export function keepSaid(
  act: Act,
  { topId, partId, key, name }: { topId: number; partId: number; key: string; name: string },
): Promise<void> {
  return act.log({
    kind: SAID,
    partId,
    thing: { type: 'part', id: topId },
    after: { product: name, key },
  });
}

/** What has been said of the products in the model of a part, the last of each: parts by the product's key. */
export async function readSaid(reader: Pick<Tx, 'act'>, topId: number): Promise<Map<string, number>> {
  const rows = await reader.act.findMany({
    where: { kind: SAID, thingType: 'part', thingId: topId },
    select: { partId: true, after: true },
    orderBy: { id: 'asc' },
  });
  return new Map(
    rows.flatMap(({ partId, after }) => {
      const { key } = JSON.parse(after ?? '{}') as { key?: string };
      return partId === null || key === undefined ? [] : [[key, partId] as const];
    }),
  );
}

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
