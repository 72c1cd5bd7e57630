import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TestProject } from 'vitest/node';
import { hashPassword } from '../../src/accounts/password.ts';
import { setUpBuild } from '../../src/accounts/set-up.ts';
import { Changes, perform } from '../../src/platform/acts.ts';
import { openDatabase } from '../../src/platform/database.ts';
import { CAST_PASSWORD, cast, START } from './cast.ts';

declare module 'vitest' {
  export interface ProvidedContext {
    baseFolder: string;
  }
}

/** One migrated database with a build and its people, made once; each test copies the file. */
export default async function setup(project: TestProject): Promise<() => void> {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-base-'));
  const db = await openDatabase(folder);
  const context = { db, clock: { now: () => START }, changes: new Changes() };
  const passwordHash = await hashPassword(CAST_PASSWORD);
  await perform(context, { actor: { personId: null, role: 'visitor' } }, async (act) => {
    const { lead, ...others } = cast;
    await setUpBuild(
      act,
      {
        name: 'Test build',
        about: 'A small machine for tests.',
        partPrefix: 'TB',
        country: 'NO',
        timeZone: 'Europe/Oslo',
        currency: 'EUR',
        leadWeeklyHours: 10,
        leadName: lead.name,
        email: lead.email,
      },
      passwordHash,
    );
    for (const person of Object.values(others)) {
      await act.tx.person.create({ data: { ...person, passwordHash, createdAt: act.at } });
    }
  });
  await db.close();
  project.provide('baseFolder', folder);
  return () => rmSync(folder, { recursive: true, force: true });
}
