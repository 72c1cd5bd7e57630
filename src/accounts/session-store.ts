import { createHash } from 'node:crypto';
import type { FastifySessionOptions } from '@fastify/session';
import type { Clock } from '../platform/clock.ts';
import type { Database } from '../platform/database.ts';

type Store = NonNullable<FastifySessionOptions['store']>;
type Stored = Parameters<Store['set']>[1];

const TOUCH_AFTER_MS = 3_600_000;

/**
 * Sessions in the database, under the hash of their secret: who reads the table can sign in as nobody.
 *
 * Expiry rolls with use, but is written at most once an hour: a page that is only read costs no write.
 */
export function sessionStore(db: Database, clock: Clock, lifetimeMs: number): Store {
  const keyOf = (secret: string) => createHash('sha256').update(secret).digest('hex');

  async function set(secret: string, session: Stored): Promise<void> {
    const id = keyOf(secret);
    const now = clock.now();
    const personId = session.personId ?? null;
    const data = JSON.stringify(session);
    const stored = await db.read.session.findUnique({ where: { id } });
    const fresh = stored && now.getTime() - stored.seenAt.getTime() < TOUCH_AFTER_MS;
    if (fresh && stored.personId === personId) return;
    const expiresAt = new Date(now.getTime() + lifetimeMs);
    if (session.kept) {
      // One that was read from here and has gone since was signed out: saving it must not bring it back.
      await db.write.session.updateMany({ where: { id }, data: { personId, data, seenAt: now, expiresAt } });
    } else {
      await db.write.session.upsert({
        where: { id },
        create: { id, personId, data, createdAt: now, seenAt: now, expiresAt },
        update: { personId, data, seenAt: now, expiresAt },
      });
    }
  }

  return {
    set(secret, session, done) {
      set(secret, session).then(() => done(), done);
    },
    get(secret, done) {
      db.read.session.findUnique({ where: { id: keyOf(secret) } }).then(
        (row) =>
          done(
            null,
            row && row.expiresAt > clock.now() ? { ...(JSON.parse(row.data) as Stored), kept: true } : null,
          ),
        (fault) => done(fault, null),
      );
    },
    destroy(secret, done) {
      db.write.session.deleteMany({ where: { id: keyOf(secret) } }).then(() => done(), done);
    },
  };
}

/** Ends every session of a person; the reply is how many. */
export async function endSessions(db: Pick<Database['write'], 'session'>, personId: number): Promise<number> {
  const { count } = await db.session.deleteMany({ where: { personId } });
  return count;
}

/** Removes sessions past their expiry, form tokens older than two days, and what was noted on links that are too old. */
export async function sweepExpired(db: Database, clock: Clock): Promise<void> {
  const now = clock.now();
  await db.write.session.deleteMany({ where: { expiresAt: { lt: now } } });
  await db.write.ticket.updateMany({ where: { expiresAt: { lt: now } }, data: { note: '', email: '' } });
  await db.write.sentForm.deleteMany({ where: { at: { lt: new Date(now.getTime() - 2 * 86_400_000) } } });
}
