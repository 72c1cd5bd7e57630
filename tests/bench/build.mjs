/**
 * Makes the data folder of a large invented build by direct inserts, the same one for the same seed, for benchmarks and
 * for looking at pages. By hand: node tests/bench/build.mjs FOLDER [PARTS JOBS]; the lead then signs in with
 * lead@example.org and the password below.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import Sqlite from 'better-sqlite3';
import { hashPassword } from '../../dist/src/accounts/password.js';
import { setUpBuild } from '../../dist/src/accounts/set-up.js';
import { Changes, perform } from '../../dist/src/platform/acts.js';
import { openDatabase } from '../../dist/src/platform/database.js';

export const PASSWORD = 'correct horse battery';
const DAY_MS = 86_400_000;
const COUNTRIES = ['NO', 'NZ', 'SE', 'DE', 'FR', 'PT', 'CA', 'JP', 'CL'];
const MAKERS = 24;

/** A number in [0, 1) at each call, the same ones for the same seed. */
export function numbers(state) {
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/**
 * @param folder   made if it is not there; must not hold a build yet
 * @param options  parts, jobs: how many; seed; now: the moment the build is seen at
 */
export async function makeBuild(
  folder,
  { parts = 2000, jobs = 1500, seed = 20_261_102, now = new Date() } = {},
) {
  mkdirSync(folder, { recursive: true });
  const db = await openDatabase(folder);
  const passwordHash = await hashPassword(PASSWORD);
  const context = { db, clock: { now: () => now }, changes: new Changes() };
  await perform(context, { actor: { personId: null, role: 'visitor' } }, (act) =>
    setUpBuild(
      act,
      {
        name: 'Large build',
        about: 'Invented for measuring.',
        partPrefix: 'LB',
        country: 'NO',
        timeZone: 'Europe/Oslo',
        currency: 'EUR',
        leadWeeklyHours: 12,
        leadName: 'Ottilie Brandt',
        email: 'lead@example.org',
      },
      passwordHash,
    ),
  );
  await db.close();

  const sql = new Sqlite(join(folder, 'farwright.db'));
  sql.pragma('foreign_keys = ON');
  const next = numbers(seed);
  const upTo = (n) => Math.floor(next() * n);
  const pick = (list) => list[upTo(list.length)];
  const at = (daysAgo) => new Date(now.getTime() - daysAgo * DAY_MS).toISOString().replace('Z', '+00:00');
  const day = (daysAgo) => at(daysAgo).slice(0, 10);
  const insert = (table, row) => {
    const names = Object.keys(row);
    const statement = sql.prepare(
      `INSERT INTO "${table}" (${names.map((name) => `"${name}"`).join(', ')}) VALUES (${names.map(() => '?').join(', ')})`,
    );
    return Number(statement.run(...Object.values(row)).lastInsertRowid);
  };

  sql.transaction(() => {
    const processes = sql.prepare('SELECT id FROM Process').pluck().all();
    const materials = sql.prepare('SELECT id FROM Material').pluck().all();
    const people = [{ role: 'crew', name: 'Tor Eide', email: 'crew@example.org', country: 'NO' }];
    for (let n = 1; n <= MAKERS; n++) {
      people.push({
        role: 'maker',
        name: `Maker ${n}`,
        email: `maker${n}@example.org`,
        country: pick(COUNTRIES),
      });
    }
    const makers = people
      .map((person) => ({ ...person, id: insert('Person', { ...person, passwordHash, createdAt: at(400) }) }))
      .filter(({ role }) => role === 'maker');
    const log = (kind, daysAgo, more) => insert('Act', { kind, at: at(daysAgo), personId: 1, ...more });

    // Parts: one in ten an assembly, each in an earlier assembly; the rest in one of them, some in two.
    const assemblies = [];
    const made = [];
    const bought = [];
    for (let n = 1; n <= parts; n++) {
      const isAssembly = n === 1 || n % 10 === 0;
      const share = next();
      const kind = isAssembly ? 'assembly' : share < 0.62 ? 'made' : share < 0.9 ? 'bought' : 'stock';
      const number = `LB-${String(n).padStart(4, '0')}`;
      const id = insert('Part', {
        number,
        numberKey: number,
        name: `${{ assembly: 'Frame', made: 'Bracket', bought: 'Bearing', stock: 'Bar' }[kind]} ${n}`,
        kind,
        materialId: kind === 'made' ? pick(materials) : null,
        processId: kind === 'made' ? pick(processes) : null,
        leadDays: kind === 'bought' && next() < 0.7 ? 5 + upTo(40) : null,
        designHours: kind === 'made' && next() < 0.6 ? 1 + upTo(12) : null,
        makeDays: next() < 0.4 ? 1 + upTo(12) : null,
        shelfMilli: (kind === 'bought' || kind === 'stock') && next() < 0.6 ? 20_000 : 0,
        createdAt: at(390),
      });
      log('create-part', 390, { partId: id });
      const parents = new Set();
      if (n > 1) parents.add(isAssembly ? pick(assemblies) : pick(assemblies.slice(-40)));
      if (!isAssembly && next() < 0.2) parents.add(pick(assemblies));
      for (const parentId of parents) {
        insert('Use', { parentId, childId: id, milli: 1000 * (1 + (next() < 0.4 ? upTo(8) : 0)) });
      }
      if (isAssembly) assemblies.push(id);
      else if (kind === 'made') made.push(id);
      else bought.push(id);
    }

    // Revisions: most made parts are released, some are drafts, some not drawn.
    const revisionOf = new Map();
    for (const partId of made) {
      const share = next();
      if (share > 0.9) continue;
      const state = share < 0.75 ? 'released' : 'draft';
      const revisionId = insert('Revision', {
        partId,
        letter: 'A',
        state,
        materialId: pick(materials),
        processId: pick(processes),
        generalTolerance: 'm',
        createdAt: at(300),
        releasedAt: state === 'released' ? at(280) : null,
      });
      insert('Document', {
        revisionId,
        kind: 'drawing',
        name: 'drawing.pdf',
        sha256: '0'.repeat(64),
        bytes: 1000,
        fileKind: 'pdf',
        mediaType: 'application/pdf',
        addedAt: at(290),
        addedById: 1,
      });
      if (state === 'released')
        log('release-revision', 280, { partId, thingType: 'revision', thingId: revisionId });
      revisionOf.set(partId, { id: revisionId, state });
    }

    const jobIds = [];
    const claimOf = (jobId, revisionId, milli, daysAgo, far) => {
      const maker = pick(makers);
      const likelyDays = 7 + upTo(40);
      const done = far >= 2 ? milli : far === 1 ? Math.floor(milli / 2000) * 1000 : 0;
      const claimId = insert('Claim', {
        jobId,
        personId: maker.id,
        revisionId,
        milli,
        soonestDays: Math.max(1, likelyDays - 5),
        likelyDays,
        latestDays: likelyDays + 14,
        claimedAt: at(daysAgo),
        startedAt: far >= 1 ? at(Math.max(0, daysAgo - 3)) : null,
        doneMilli: done,
      });
      log('claim-job', daysAgo, { jobId, personId: maker.id, thingType: 'claim', thingId: claimId, milli });
      if (far >= 1) {
        insert('Report', { claimId, at: at(Math.max(0, daysAgo - 4)), doneMilli: done, words: 'Goes well.' });
        log('report-work', Math.max(0, daysAgo - 4), { jobId, personId: maker.id, milli: done });
      }
      if (far < 3) return;
      const sent = Math.max(0, daysAgo - 10);
      const arrived = far >= 4;
      const parcelId = insert('Parcel', {
        fromId: maker.id,
        carrier: 'post',
        sentAt: at(sent),
        arrivedAt: arrived ? at(Math.max(0, sent - 6)) : null,
        receivedById: arrived ? 1 : null,
      });
      const itemId = insert('ParcelItem', { parcelId, claimId, milli, countedMilli: arrived ? milli : null });
      log('post-parcel', sent, { jobId, personId: maker.id, milli });
      if (far < 5) return;
      for (let unit = 0; unit < milli / 1000; unit++) {
        insert('UnitCheck', {
          itemId,
          unitNo: unit + 1,
          milli: 1000,
          disposition: 'accept',
          at: at(Math.max(0, sent - 7)),
          byId: 1,
        });
      }
      log('inspect-units', Math.max(0, sent - 7), { jobId, milli });
    };

    for (let n = 0; n < jobs; n++) {
      const share = next();
      const daysAgo = 1 + upTo(120);
      const createdAt = at(daysAgo + 5);
      const base = { createdAt, heldAt: next() < 0.02 ? at(3) : null };
      if (share < 0.7) {
        const partId = pick(made);
        const revision = revisionOf.get(partId);
        const offered = revision?.state === 'released' && next() < 0.85;
        const milli = 1000 * (1 + upTo(6));
        const jobId = insert('Job', {
          ...base,
          kind: 'fabricate',
          title: sql.prepare('SELECT name FROM Part WHERE id = ?').pluck().get(partId),
          partId,
          revisionId: revision?.id ?? null,
          milli,
          offeredAt: offered ? at(daysAgo + 2) : null,
        });
        jobIds.push(jobId);
        log('create-job', daysAgo + 5, { jobId, partId });
        if (offered && next() < 0.85) claimOf(jobId, revision.id, milli, daysAgo, upTo(6));
      } else {
        const kind =
          share < 0.82
            ? 'purchase'
            : share < 0.9
              ? 'fit-up'
              : share < 0.96
                ? 'design'
                : share < 0.98
                  ? 'trial'
                  : 'other';
        const partId =
          kind === 'purchase'
            ? pick(bought)
            : kind === 'fit-up'
              ? pick(assemblies.slice(1))
              : kind === 'design'
                ? pick(made)
                : null;
        const begun = next() < 0.3;
        const over = begun && next() < 0.4;
        const jobId = insert('Job', {
          ...base,
          kind,
          title: `${kind} ${n}`,
          partId,
          milli: 1000 * (1 + upTo(3)),
          days: next() < 0.5 ? 1 + upTo(10) : null,
          personId: kind === 'design' ? 1 : null,
          startedAt: begun && kind !== 'purchase' ? at(daysAgo) : null,
          orderedAt: begun && kind === 'purchase' ? at(daysAgo) : null,
          promisedOn: begun && kind === 'purchase' && next() < 0.5 ? day(daysAgo - 20) : null,
          finishedAt: over ? at(Math.max(0, daysAgo - 10)) : null,
        });
        jobIds.push(jobId);
        log('create-job', daysAgo + 5, { jobId, partId });
      }
    }
    for (let n = 0; n < jobs / 30; n++) {
      const [a, b] = [pick(jobIds), pick(jobIds)].sort((one, two) => one - two);
      if (a === b) continue;
      sql
        .prepare('INSERT OR IGNORE INTO JobLink (fromId, toId, type, lag) VALUES (?, ?, ?, ?)')
        .run(a, b, pick(['FS', 'FS', 'SS', 'FF']), upTo(4));
    }
    for (let n = 0; n < jobs / 20; n++) {
      insert('Query', {
        jobId: pick(jobIds),
        askedById: pick(makers).id,
        question: 'Which edge is the datum?',
        askedAt: at(upTo(30)),
      });
    }
  })();
  sql.close();
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) {
  const [, , folder, parts, jobs] = process.argv;
  if (!folder) throw new Error('name a folder: node tests/bench/build.mjs FOLDER [PARTS JOBS]');
  await makeBuild(folder, {
    ...(parts ? { parts: Number(parts) } : {}),
    ...(jobs ? { jobs: Number(jobs) } : {}),
  });
  console.log(`${folder} holds the build; lead@example.org signs in with: ${PASSWORD}`);
}
