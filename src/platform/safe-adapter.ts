import { PrismaBetterSqlite3 } from '@prisma/adapter-better-sqlite3';

type Connection = Awaited<ReturnType<PrismaBetterSqlite3['connect']>>;
/** What the adapter keeps under its surface: the driver's own connection. */
interface Inside {
  client: { exec(sql: string): void; prepare(sql: string): unknown };
}

/**
 * The adapter with two faults cured. A client has one connection, and a query from elsewhere that arrives while a
 * transaction is open would run inside it (and be lost when it rolls back): here it waits for the end. And BEGIN,
 * which is deferred, becomes BEGIN IMMEDIATE, so that a transaction that reads and then writes is never refused half
 * way because another process wrote. Settings are durable: WAL with synchronous FULL, foreign keys on. What is deleted or
 * written over is gone from the file's pages too (secure_delete): a person can be forgotten.
 */
export class SafeSqlite extends PrismaBetterSqlite3 {
  override async connect(): Promise<Connection> {
    const connection = await super.connect();
    const { client } = connection as unknown as Inside;
    client.exec(
      'PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA busy_timeout=7000; PRAGMA secure_delete=ON',
    );
    const prepare = client.prepare.bind(client);
    client.prepare = (sql) => prepare(sql === 'BEGIN' ? 'BEGIN IMMEDIATE' : sql);

    let open: Promise<void> | null = null;
    const idle = async () => {
      while (open) await open;
    };
    const { queryRaw, executeRaw, executeScript, startTransaction } = connection;
    connection.queryRaw = async (query) => {
      await idle();
      return queryRaw.call(connection, query);
    };
    connection.executeRaw = async (query) => {
      await idle();
      return executeRaw.call(connection, query);
    };
    connection.executeScript = async (script) => {
      await idle();
      return executeScript.call(connection, script);
    };
    connection.startTransaction = async (isolation) => {
      await idle();
      let end = () => {};
      const mine = new Promise<void>((resolve) => {
        end = resolve;
      });
      open = mine;
      const close = () => {
        if (open === mine) open = null;
        end();
      };
      try {
        const transaction = await startTransaction.call(connection, isolation);
        const { commit, rollback } = transaction;
        transaction.commit = () => commit.call(transaction).finally(close);
        transaction.rollback = () => rollback.call(transaction).finally(close);
        return transaction;
      } catch (fault) {
        close();
        throw fault;
      }
    };
    return connection;
  }
}
