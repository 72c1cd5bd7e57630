import { factsOfDocuments } from '../models/index.ts';
import type { Database } from '../platform/database.ts';
import { inLots } from '../platform/in-lots.ts';
import { sidesOf } from './model-box.ts';

/** The box of a part by its newest model that says its unit. */
export interface ModelBox {
  name: string;
  /** mm, the longest first */
  sides: readonly number[];
}

/** Boxes of the models of revisions, by revision; one without a model, or whose model names no unit, is not in it. */
export async function modelBoxes(
  db: Pick<Database, 'read'>,
  revisionIds: readonly number[],
): Promise<Map<number, ModelBox>> {
  const documents = await inLots(revisionIds, (lot) =>
    db.read.document.findMany({
      where: { revisionId: { in: [...lot] }, kind: 'model', removedAt: null },
      orderBy: { id: 'asc' },
    }),
  );
  const known = await factsOfDocuments(db, documents);
  const boxes = new Map<number, ModelBox>();
  for (const { id, revisionId, name } of documents) {
    const facts = known.get(id);
    if (facts?.state !== 'read' || facts.facts.unit === null) continue;
    const sides = sidesOf(facts.facts);
    if (sides.length === 3) boxes.set(revisionId, { name, sides });
  }
  return boxes;
}
