import type { Act } from '../platform/acts.ts';
import type { Database } from '../platform/database.ts';
import { inLots } from '../platform/in-lots.ts';
import { type FileFacts, isReadable, READER_VERSION } from './facts.ts';
import { factsInUnit } from './stl-unit.ts';

/** What is known of a kept file. */
export type KnownFacts =
  | { state: 'waiting' }
  | { state: 'read'; facts: FileFacts }
  | { state: 'unreadable'; sentence: string };

/** A kept file that waits to be read. */
export interface WaitingFile {
  sha256: string;
  fileKind: string;
}

/** Asks, within an act that keeps a file, for its facts. Nothing happens for a kind without, or where it was asked. */
export async function askForFacts(act: Act, { sha256, fileKind }: WaitingFile): Promise<void> {
  if (!isReadable(fileKind)) return;
  await act.tx.documentFacts.upsert({
    where: { sha256 },
    create: { sha256, fileKind, version: READER_VERSION, state: 'waiting', askedAt: act.at },
    update: {},
  });
}

/** Facts of files by their SHA-256; those of kinds without facts are not in it. */
export async function factsOfFiles(
  db: Pick<Database, 'read'>,
  sha256s: readonly string[],
): Promise<Map<string, KnownFacts>> {
  const rows = await inLots([...new Set(sha256s)], (lot) =>
    db.read.documentFacts.findMany({ where: { sha256: { in: [...lot] } } }),
  );
  return new Map(rows.map((row) => [row.sha256, known(row)]));
}

/** Facts of documents by their id, those of an STL in the unit that was said of it. Kinds without facts are not in it. */
export async function factsOfDocuments(
  db: Pick<Database, 'read'>,
  documents: readonly { id: number; sha256: string; unit: string }[],
): Promise<Map<number, KnownFacts>> {
  const bySha = await factsOfFiles(
    db,
    documents.map(({ sha256 }) => sha256),
  );
  return new Map(
    documents.flatMap(({ id, sha256, unit }) => {
      const facts = bySha.get(sha256);
      if (!facts) return [];
      return [
        [id, facts.state === 'read' ? { ...facts, facts: factsInUnit(facts.facts, unit) } : facts] as const,
      ];
    }),
  );
}

function known(row: { state: string; facts: string | null; sentence: string | null }): KnownFacts {
  if (row.state === 'unreadable') return { state: 'unreadable', sentence: row.sentence ?? '' };
  // Facts of an earlier reader hold until the file has been read anew.
  if (row.facts !== null) return { state: 'read', facts: JSON.parse(row.facts) as FileFacts };
  return { state: 'waiting' };
}

/** Has everything read anew that an earlier reader read. */
export async function askAnew({ write }: Pick<Database, 'write'>): Promise<void> {
  await write.documentFacts.updateMany({
    where: { version: { not: READER_VERSION } },
    data: { version: READER_VERSION, state: 'waiting' },
  });
}

/** The file that has waited longest. */
export async function nextWaiting({ read }: Pick<Database, 'read'>): Promise<WaitingFile | null> {
  return read.documentFacts.findFirst({
    where: { state: 'waiting' },
    orderBy: [{ askedAt: 'asc' }, { sha256: 'asc' }],
    select: { sha256: true, fileKind: true },
  });
}

/** Keeps what came of reading a file. */
export async function keepFacts(
  { write }: Pick<Database, 'write'>,
  sha256: string,
  found: Exclude<KnownFacts, { state: 'waiting' }>,
  readAt: Date,
): Promise<void> {
  await write.documentFacts.update({
    where: { sha256 },
    data: {
      state: found.state,
      facts: found.state === 'read' ? JSON.stringify(found.facts) : null,
      sentence: found.state === 'unreadable' ? found.sentence : null,
      readAt,
    },
  });
}
