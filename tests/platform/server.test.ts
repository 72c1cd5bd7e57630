import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';

describe('every answer', () => {
  it('carries a strict Content-Security-Policy without inline script or style', async () => {
    const test = await startApp();
    for (const path of ['/', '/sign-in', '/offers', '/nowhere', '/bench']) {
      const { headers } = await test.visitor().get(path);
      const policy = String(headers['content-security-policy']);
      expect(policy).toContain("default-src 'none'");
      expect(policy).toContain("script-src 'self'");
      expect(policy).not.toContain('unsafe');
      expect(headers['x-content-type-options']).toBe('nosniff');
    }
  });

  it('sets cookies that no script reads and that no other site sends', async () => {
    const test = await startApp();
    const answer = await (await test.as('lead')).post('/sign-out-everywhere');
    const { headers } = await test.visitor().get('/sign-in');
    const cookies = [headers['set-cookie'], answer.headers['set-cookie']]
      .flat()
      .filter(Boolean) as unknown as string[];
    expect(cookies.length).toBeGreaterThan(0);
    for (const cookie of cookies) {
      expect(cookie).toMatch(/HttpOnly/i);
      expect(cookie).toMatch(/SameSite=(Lax|Strict)/i);
    }
  });

  it('to an address that can not be read is 400 in words, and for programs a problem document', async () => {
    const test = await startApp();
    const page = await test.visitor().get('/%ff');
    expect(page.status).toBe(400);
    expect(page.text).toBe('This address can not be read.');
    const api = await test.visitor().get('/api/%ff');
    expect(api.headers['content-type']).toContain('application/problem+json');
  });

  it('to what is not there is 404, for visitors as for the lead', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    for (const path of [
      '/nowhere',
      '/jobs/999',
      '/jobs/x',
      '/parts/NONE-1',
      '/revisions/0',
      '/documents/1',
      '/photos/1',

      '/problems/5',
      '/makers/0',
      '/makers/99999999999999999999',
      '/people/99999999999999999999',
      '/offers/99999999999999999999',
      '/people/0',
    ]) {
      expect((await lead.get(path)).status, path).toBe(404);
    }
  });

  it('is health without a session', async () => {
    const test = await startApp();
    const { body, headers } = await test.visitor().get('/health');
    expect(body).toEqual({ ok: true });
    expect(headers['set-cookie']).toBeUndefined();
  });
});

describe('the migrations', () => {
  it('are refused by an older program, and nothing is touched', async () => {
    const { openDatabase } = await import('../../src/platform/database.ts');
    const test = await startApp();
    const { dataDir } = test.context.settings;
    const { default: Sqlite } = await import('better-sqlite3');
    const { join } = await import('node:path');
    const raw = new Sqlite(join(dataDir, 'farwright.db'));
    raw.prepare("INSERT INTO AppliedMigration VALUES ('9999-from-the-future', 'x', '2099-01-01')").run();
    const before = raw.prepare('SELECT COUNT(*) FROM sqlite_master').pluck().get();
    await expect(openDatabase(dataDir)).rejects.toThrow('the database is newer than this program');
    expect(raw.prepare('SELECT COUNT(*) FROM sqlite_master').pluck().get()).toBe(before);
    expect(raw.pragma('journal_mode', { simple: true })).toBe('wal');
    raw.close();
  });

  it('are refused when one that was applied reads differently now', async () => {
    const { openDatabase } = await import('../../src/platform/database.ts');
    const test = await startApp();
    await test.context.db.write.$executeRawUnsafe("UPDATE AppliedMigration SET checksum = 'other'");
    await expect(openDatabase(test.context.settings.dataDir)).rejects.toThrow('differs from the one applied');
  });

  it('leave a durable database: WAL, FULL, foreign keys', async () => {
    const test = await startApp();
    const { write } = test.context.db;
    const pragma = async (name: string) =>
      Object.values((await write.$queryRawUnsafe<Record<string, unknown>[]>(`PRAGMA ${name}`))[0]!)[0];
    expect(String(await pragma('journal_mode'))).toBe('wal');
    expect(Number(await pragma('synchronous'))).toBe(2);
    expect(Number(await pragma('foreign_keys'))).toBe(1);
    expect(Number(await pragma('busy_timeout'))).toBe(7000);
  });
});

describe('a transaction', () => {
  it('is not entered by a query from outside, which waits and is kept when it rolls back', async () => {
    const test = await startApp();
    const { write } = test.context.db;
    let outside: Promise<unknown> = Promise.resolve();
    await expect(
      write.$transaction(async (tx) => {
        await tx.material.create({ data: { name: 'inside' } });
        outside = write.material.create({ data: { name: 'outside' } });
        await new Promise((done) => setTimeout(done, 50));
        throw new Error('roll back');
      }),
    ).rejects.toThrow('roll back');
    await outside;
    const names = (await write.material.findMany({ where: { name: { in: ['inside', 'outside'] } } })).map(
      ({ name }) => name,
    );
    expect(names).toEqual(['outside']);
  });
});
