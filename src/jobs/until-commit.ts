import type { Database } from '../platform/database.ts';

/**
 * A reading that is kept until something is committed: SQLite counts the commits of other connections, and the reading
 * connection makes none itself. What it gives is shared: who gets it must not change it.
 */
export function untilCommit<T>(hot: Database['hot'], read: () => T): () => T {
  const version = hot.prepare<[], number>('PRAGMA data_version').pluck();
  let kept: { version: number | undefined; value: T } | null = null;
  return () => {
    // Asked before reading: a commit in between is seen by the next call, never missed.
    const now = version.get();
    if (kept && kept.version === now) return kept.value;
    const value = read();
    kept = { version: now, value };
    return value;
  };
}
