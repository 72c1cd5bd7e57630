import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type Database from 'better-sqlite3';

interface Migration {
  name: string;
  sql: string;
  checksum: string;
}

function readMigrations(folder: string): Migration[] {
  return readdirSync(folder)
    .filter((entry) => /^\d{4}-/.test(entry))
    .sort()
    .map((name) => {
      const sql = readFileSync(join(folder, name, 'migration.sql'), 'utf8');
      return { name, sql, checksum: createHash('sha256').update(sql).digest('hex') };
    });
}

/**
 * Brings a database up to the program: each missing migration in one transaction of its own.
 *
 * @param db      an open better-sqlite3 connection
 * @param folder  prisma/migrations
 * @returns       names of the migrations applied now
 * @throws Error  and touches nothing, when the database has a migration that this program does not know (it is
 *                newer), or one whose text has changed since it was applied
 */
export function migrate(db: Database.Database, folder: string): string[] {
  const known = readMigrations(folder);
  const has = db
    .prepare("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'AppliedMigration'")
    .get();
  const applied = has
    ? (db.prepare('SELECT name, checksum FROM AppliedMigration ORDER BY name').all() as {
        name: string;
        checksum: string;
      }[])
    : [];
  const byName = new Map(known.map((migration) => [migration.name, migration]));
  for (const { name, checksum } of applied) {
    const same = byName.get(name);
    if (!same) {
      throw new Error(
        `the database is newer than this program: it has migration ${name}; nothing was changed`,
      );
    }
    if (same.checksum !== checksum) {
      throw new Error(`migration ${name} differs from the one applied to this database; nothing was changed`);
    }
  }
  const done = new Set(applied.map(({ name }) => name));
  const missing = known.filter(({ name }) => !done.has(name));
  for (const { name, sql, checksum } of missing) {
    // Rebuilding a table switches foreign keys off, which a transaction would ignore; the check afterwards makes up for it.
    db.pragma('foreign_keys = OFF');
    db.transaction(() => {
      db.exec(
        'CREATE TABLE IF NOT EXISTS AppliedMigration (name TEXT PRIMARY KEY, checksum TEXT NOT NULL, appliedAt TEXT NOT NULL)',
      );
      db.exec(sql);
      const broken = db.pragma('foreign_key_check') as unknown[];
      if (broken.length) throw new Error(`migration ${name} would leave ${broken.length} broken references`);
      db.prepare("INSERT INTO AppliedMigration VALUES (?, ?, strftime('%Y-%m-%dT%H:%M:%fZ', 'now'))").run(
        name,
        checksum,
      );
    }).immediate();
    db.pragma('foreign_keys = ON');
  }
  return missing.map(({ name }) => name);
}
