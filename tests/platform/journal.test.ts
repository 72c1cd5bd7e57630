import { existsSync, statSync } from 'node:fs';
import Sqlite from 'better-sqlite3';
import { expect, it } from 'vitest';
import { emptyJournal } from '../../src/platform/database.ts';
import { startApp } from '../support/app.ts';

const sizeOf = (path: string) => (existsSync(path) ? statSync(path).size : 0);

it('emptyJournal empties it, and while somebody reads it says no and holds nobody up', async () => {
  const { context } = await startApp();
  const { db } = context;
  const journal = `${db.hot.name}-wal`;
  // Another text each time: SQLite writes nothing where nothing differs.
  const write = (about: string) => db.write.build.update({ where: { id: 1 }, data: { about } });
  await write('an orrery');
  expect(sizeOf(journal)).toBeGreaterThan(0);
  expect(await emptyJournal(db)).toBe(true);
  expect(sizeOf(journal)).toBe(0);

  const reader = new Sqlite(db.hot.name, { readonly: true });
  reader.exec('BEGIN');
  reader.prepare('SELECT COUNT(*) FROM Act').get();
  await write('a walk-in orrery');
  const from = performance.now();
  const answer = emptyJournal(db);
  // A turn of the event loop between its tries: others get on.
  let turns = 0;
  const counting = setInterval(() => {
    turns += 1;
  }, 10);
  expect(await answer).toBe(false);
  clearInterval(counting);
  expect(turns).toBeGreaterThan(2);
  expect(performance.now() - from).toBeLessThan(5000);
  reader.close();
  expect(await emptyJournal(db)).toBe(true);
});
