import { join } from 'node:path';
import { PrismaBetterSqlite3 } from '@prisma/adapter-better-sqlite3';
import Sqlite from 'better-sqlite3';
import type { Prisma } from '../generated/prisma/client.ts';
import { PrismaClient } from '../generated/prisma/client.ts';
import { migrate } from './migrations.ts';
import { projectRoot } from './project-root.ts';
import { SafeSqlite } from './safe-adapter.ts';

export type Tx = Prisma.TransactionClient;

/**
 * The database of one build, seen three ways.
 *
 * `write` is Prisma on the one writing connection: acts go through it (see acts.ts), in transactions.
 * `read` is Prisma on a second, read-only connection: it sees only what is committed, and never waits for an act.
 * `hot` is the driver itself, read-only, for the few readings of thousands of rows (board, schedule, log), where
 * Prisma's mapping costs several times the query.
 */
export interface Database {
  write: PrismaClient;
  read: PrismaClient;
  hot: Sqlite.Database;
  close(): Promise<void>;
}

/**
 * Opens the data folder's database, making and migrating it as needed.
 *
 * @param dataDir  a folder that is there
 * @throws Error   when the folder can't be written, or the database is newer than the program
 */
export async function openDatabase(dataDir: string): Promise<Database> {
  const path = join(dataDir, 'farwright.db');
  const setUp = new Sqlite(path, { timeout: 7000 });
  try {
    setUp.pragma('journal_mode = WAL');
    setUp.pragma('synchronous = FULL');
    migrate(setUp, join(projectRoot, 'prisma', 'migrations'));
  } finally {
    setUp.close();
  }
  const write = new PrismaClient({
    adapter: new SafeSqlite({ url: `file:${path}`, timeout: 7000 }),
    transactionOptions: { maxWait: 20_000, timeout: 20_000 },
  });
  await write.$connect();
  const read = new PrismaClient({
    adapter: new PrismaBetterSqlite3({ url: `file:${path}`, timeout: 7000, readonly: true }),
  });
  const hot = new Sqlite(path, { readonly: true, timeout: 7000 });
  return {
    write,
    read,
    hot,
    async close() {
      hot.close();
      await read.$disconnect();
      await write.$disconnect();
    },
  };
}

/**
 * Brings everything committed into the database's file and empties the journal beside it, where what stood in a row before
 * can still be read. Done after a person was forgotten.
 *
 * It waits for nobody: while somebody reads or writes it comes back a few times, and else leaves the journal to be written
 * over.
 *
 * @returns whether the journal is empty
 */
export async function emptyJournal({ hot }: Pick<Database, 'hot'>): Promise<boolean> {
  // A connection of its own, because the others wait for locks, and would hold the whole program up with them.
  const journal = new Sqlite(hot.name, { timeout: 0 });
  try {
    for (let tries = 0; tries < 5; tries += 1) {
      if (tries > 0) await new Promise((resolve) => setTimeout(resolve, 40));
      if (journal.pragma('wal_checkpoint(TRUNCATE)', { simple: true }) === 0) return true;
    }
    return false;
  } finally {
    journal.close();
  }
}
