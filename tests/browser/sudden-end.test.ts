import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import Sqlite from 'better-sqlite3';
import { expect, it } from 'vitest';
import { setUpBuild } from '../../src/accounts/set-up.ts';
import { Changes, perform } from '../../src/platform/acts.ts';
import { openDatabase } from '../../src/platform/database.ts';

const LOOP = resolve(import.meta.dirname, '../support/act-loop.mjs');

/** Runs acts in a process of its own and kills it without warning once so many are acknowledged. */
function actsUntilKilled(folder: string, most: number): Promise<string[]> {
  return new Promise((done, failed) => {
    const child = spawn(process.execPath, [LOOP, folder], { stdio: ['ignore', 'pipe', 'inherit'] });
    let told = '';
    child.stdout.on('data', (chunk: Buffer) => {
      told += chunk.toString();
      if (told.split('\n').length > most) child.kill('SIGKILL');
    });
    child.once('error', failed);
    child.once('close', (_code, signal) => {
      if (signal !== 'SIGKILL') return failed(new Error('the acts ended by themselves'));
      // The last line may be cut off: what was not said whole was not acknowledged.
      done(told.slice(0, told.lastIndexOf('\n')).split('\n'));
    });
  });
}

it('a process killed in the middle of acts, five times over, loses nothing it acknowledged and does nothing by halves', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-kill-'));
  try {
    const db = await openDatabase(folder);
    await perform(
      { db, clock: { now: () => new Date() }, changes: new Changes() },
      { actor: { personId: null, role: 'visitor' } },
      (act) =>
        setUpBuild(
          act,
          {
            name: 'Kill',
            about: '',
            partPrefix: 'K',
            country: 'NO',
            timeZone: 'UTC',
            currency: 'EUR',
            leadWeeklyHours: 1,
            leadName: 'Lead',
            email: 'lead@example.org',
          },
          'no password',
        ),
    );
    await db.close();

    const acknowledged: string[] = [];
    for (const most of [150, 230, 190, 210, 230]) acknowledged.push(...(await actsUntilKilled(folder, most)));
    expect(acknowledged.length).toBeGreaterThanOrEqual(1000);

    const left = new Sqlite(join(folder, 'farwright.db'));
    const numbers = new Set(left.prepare('SELECT number FROM Part').pluck().all());
    expect(acknowledged.filter((number) => !numbers.has(number))).toEqual([]);
    // A part, its row in the log and the mark of its form are one act: none is there without the others.
    const count = (sql: string) => left.prepare(sql).pluck().get();
    expect(count("SELECT COUNT(*) FROM Act WHERE kind = 'create-part'")).toBe(numbers.size);
    expect(count('SELECT COUNT(*) FROM SentForm')).toBe(numbers.size);
    expect(
      count('SELECT COUNT(*) FROM Part WHERE id NOT IN (SELECT partId FROM Act WHERE partId IS NOT NULL)'),
    ).toBe(0);
    expect(left.pragma('integrity_check', { simple: true })).toBe('ok');
    expect(left.pragma('foreign_key_check')).toEqual([]);
    left.close();
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
