import type { Database } from '../platform/database.ts';
import { dayIn } from '../platform/day.ts';
import { compareRevisionLetters, nextRevisionLetter } from './revision-letter.ts';

/** A revision in the list of a part. */
export interface RevisionLine {
  id: number;
  letter: string;
  state: string;
  href: string;
  /** what is different from the one before */
  change: string;
  /** the day it was released; null for a draft and for a draft given up */
  releasedOn: string | null;
  documents: number;
  characteristics: number;
  keyCharacteristics: number;
}

/** What views/shared/revisions.njk shows on a part's page. */
export interface RevisionsOfPart {
  /** newest first */
  revisions: RevisionLine[];
  draft: RevisionLine | null;
  released: RevisionLine | null;
  /** the letter a new revision would get; null while a draft is open, and when the letters are used up */
  nextLetter: string | null;
}

/** The revisions of a part. A maker is shown no drafts: see `draftsToo`. */
export async function revisionsOfPart(
  db: Pick<Database, 'read'>,
  partId: number,
  { draftsToo = true }: { draftsToo?: boolean } = {},
): Promise<RevisionsOfPart> {
  const rows = await db.read.revision.findMany({
    where: { partId },
    include: {
      _count: { select: { documents: { where: { removedAt: null } } } },
      characteristics: { where: { removedAt: null }, select: { isKey: true } },
    },
  });
  const build = await db.read.build.findUnique({ where: { id: 1 }, select: { timeZone: true } });
  const revisions = rows
    .sort((a, b) => compareRevisionLetters(b.letter, a.letter))
    .map((row) => ({
      id: row.id,
      letter: row.letter,
      state: row.state,
      href: `/revisions/${row.id}`,
      change: row.change,
      releasedOn: row.releasedAt && dayIn(build?.timeZone ?? 'UTC', row.releasedAt),
      documents: row._count.documents,
      characteristics: row.characteristics.length,
      keyCharacteristics: row.characteristics.filter(({ isKey }) => isKey).length,
    }));
  const draft = revisions.find(({ state }) => state === 'draft') ?? null;
  return {
    revisions: draftsToo
      ? revisions
      : revisions.filter(({ state, releasedOn }) => state !== 'draft' && releasedOn !== null),
    draft: draftsToo ? draft : null,
    released: revisions.find(({ state }) => state === 'released') ?? null,
    nextLetter: draft ? null : nextRevisionLetter(revisions[0]?.letter ?? null),
  };
}
