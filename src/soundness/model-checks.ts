import { type Disagreement, readDisagreements } from '../drawings/index.ts';
import type { Database } from '../platform/database.ts';
import type { Finding } from './checks.ts';

/** What the model of a drawing does not agree with, as a finding: the sentence, and where it is looked at. */
export function modelFindings(
  drawings: readonly { part: string; revisionId: number }[],
  found: ReadonlyMap<number, readonly Disagreement[]>,
): Finding[] {
  return drawings.flatMap(({ part, revisionId }) =>
    (found.get(revisionId) ?? []).map(
      ({ sentence }): Finding => ({
        check: 'model',
        part,
        says: sentence,
        revisionId,
        link: { href: `/revisions/${revisionId}#model-and-sizes`, label: 'Look at it' },
      }),
    ),
  );
}

/** Reads where models and the rest of their drawings do not go together, of those drawings that have a model or flat pattern. */
export async function readModelFindings(
  db: Pick<Database, 'read'>,
  drawings: readonly { part: string; revisionId: number }[],
): Promise<Finding[]> {
  const rows = await db.read.document.findMany({
    where: { removedAt: null, kind: { in: ['model', 'flat pattern'] } },
    select: { revisionId: true },
  });
  const withFiles = new Set(rows.map(({ revisionId }) => revisionId));
  const ids = drawings.map(({ revisionId }) => revisionId).filter((id) => withFiles.has(id));
  return modelFindings(drawings, await readDisagreements(db, ids));
}
