import type { Database } from '../platform/database.ts';
import type { GeneralClass } from '../specs/index.ts';
import { type ReleaseFacts, releaseChecklist } from './release-checklist.ts';

interface DraftRow {
  id: number;
  partId: number;
  letter: string;
  material: string | null;
  process: string | null;
  generalTolerance: string;
  number: string;
  kind: string;
}

const OF_DRAFTS = "revisionId IN (SELECT id FROM Revision WHERE state = 'draft')";

function grouped<T>(rows: readonly T[], keyOf: (row: T) => number): Map<number, T[]> {
  const groups = new Map<number, T[]>();
  for (const row of rows) {
    const key = keyOf(row);
    const group = groups.get(key);
    if (group) group.push(row);
    else groups.set(key, [row]);
  }
  return groups;
}

/**
 * What each draft of the build still lacks before it can be released, in a few words: the first item of its checklist
 * that does not hold. Read by the driver, all drafts at once.
 *
 * @returns the words by revision id; a draft that lacks nothing has none
 */
export function draftsMissingReader({ hot }: Pick<Database, 'hot'>): () => Map<number, string> {
  const drafts = hot.prepare<[], DraftRow>(
    `SELECT r.id, r.partId, r.letter, m.name AS material, c.name AS process, r.generalTolerance, p.number, p.kind
       FROM Revision r JOIN Part p ON p.id = r.partId
       LEFT JOIN Material m ON m.id = r.materialId LEFT JOIN Process c ON c.id = r.processId
      WHERE r.state = 'draft'`,
  );
  const characteristics = hot.prepare<
    [],
    { revisionId: number; position: number; label: string; text: string }
  >(
    `SELECT revisionId, position, label, text FROM Characteristic WHERE removedAt IS NULL AND ${OF_DRAFTS} ORDER BY position`,
  );
  const documents = hot.prepare<[], { revisionId: number; kind: string }>(
    `SELECT revisionId, kind FROM Document WHERE removedAt IS NULL AND ${OF_DRAFTS}`,
  );
  const uses = hot.prepare<[], { parentId: number; childId: number; number: string; childRemoved: number }>(
    `SELECT u.parentId, u.childId, p.number, c.removedAt IS NOT NULL AS childRemoved
       FROM Use u JOIN Part p ON p.id = u.parentId JOIN Part c ON c.id = u.childId WHERE p.removedAt IS NULL`,
  );
  return () => {
    const rows = drafts.all();
    if (rows.length === 0) return new Map();
    const characteristicsOf = grouped(characteristics.all(), ({ revisionId }) => revisionId);
    const documentsOf = grouped(documents.all(), ({ revisionId }) => revisionId);
    const lines = uses.all();
    const parentsOf = grouped(lines, ({ childId }) => childId);
    const holders = new Set(
      lines.filter(({ childRemoved }) => !childRemoved).map(({ parentId }) => parentId),
    );
    const missing = new Map<number, string>();
    for (const row of rows) {
      const parents = (parentsOf.get(row.partId) ?? []).map(({ number }) => number);
      const facts: ReleaseFacts = {
        revisionId: row.id,
        letter: row.letter,
        part: { number: row.number, kind: row.kind },
        material: row.material,
        process: row.process,
        generalTolerance: (row.generalTolerance || null) as GeneralClass | null,
        characteristics: characteristicsOf.get(row.id) ?? [],
        documents: documentsOf.get(row.id) ?? [],
        parents,
        needed: null,
        isTop: parents.length === 0 && (row.kind === 'assembly' || holders.has(row.partId)),
      };
      const first = releaseChecklist(facts).find(({ holds }) => !holds);
      if (first) missing.set(row.id, first.note);
    }
    return missing;
  };
}
