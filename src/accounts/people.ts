import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';

/** Reads who a session belongs to, by the driver: it is asked on every request. */
export function personReader(db: Database): (personId: number) => SignedIn | null {
  const read = db.hot.prepare<[number], SignedIn>(
    'SELECT id, name, role, lengthUnit FROM Person WHERE id = ? AND deactivatedAt IS NULL AND forgottenAt IS NULL',
  );
  return (personId) => read.get(personId) ?? null;
}

export interface BuildName {
  name: string;
  timeZone: string;
}

/** Reads the build's name and zone; null until it is set up. */
export function buildReader(db: Database): () => BuildName | null {
  const read = db.hot.prepare<[], BuildName>('SELECT name, timeZone FROM Build WHERE id = 1');
  return () => read.get() ?? null;
}
