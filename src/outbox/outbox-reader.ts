import type { Database } from '../platform/database.ts';
import { dayIn } from '../platform/day.ts';
import { momentText } from './moment-text.ts';
import { DAY_MS } from './next-try.ts';

/** A letter that waits for the lead's word. */
export interface LetterToDecide {
  id: number;
  kind: string;
  subject: string;
  /** the reader's name, or what it is for */
  to: string;
  on: string;
  why: string;
}

/** What the settings page shows of the outbox. */
export interface OutboxView {
  waiting: number;
  /** since when the oldest waits, why, and when it is tried again; null when none waits */
  held: { since: string; why: string; next: string; failed: boolean } | null;
  sending: number;
  sent: number;
  dropped: number;
  doubtful: LetterToDecide[];
  refused: LetterToDecide[];
  refusedCount: number;
  /** more than are shown */
  more: number;
}

const SHOWN = 20;
const COUNTED_DAYS = 30;

type Read = Pick<Database['read'], 'letter' | 'person' | 'build'>;

/** Reads what waits, what left in the last thirty days, and what the lead has to decide. */
export async function readOutbox(read: Read, now: Date): Promise<OutboxView> {
  const build = await read.build.findUnique({ where: { id: 1 }, select: { timeZone: true } });
  const timeZone = build?.timeZone ?? 'UTC';
  const since = new Date(now.getTime() - COUNTED_DAYS * DAY_MS);
  const count = (state: string, lately = true) =>
    read.letter.count({ where: { state, ...(lately ? { settledAt: { gte: since } } : {}) } });
  const first = { state: 'waiting' };
  const oldest = await read.letter.findFirst({ where: first, orderBy: { createdAt: 'asc' } });
  const next = await read.letter.findFirst({ where: first, orderBy: { nextAt: 'asc' } });
  const failed = await read.letter.findFirst({
    where: { ...first, NOT: { lastError: '' } },
    orderBy: { nextAt: 'asc' },
  });
  const decide = async (state: string) => {
    const rows = await read.letter.findMany({ where: { state }, orderBy: { id: 'desc' }, take: SHOWN });
    const people = await read.person.findMany({
      where: { id: { in: rows.map(({ personId }) => personId ?? 0) } },
      select: { id: true, name: true },
    });
    const names = new Map(people.map(({ id, name }) => [id, name]));
    return rows.map(({ id, kind, subject, personId, createdAt, lastError }) => ({
      id,
      kind,
      subject,
      to: names.get(personId ?? 0) ?? 'somebody invited',
      on: dayIn(timeZone, createdAt),
      why: lastError,
    }));
  };
  const [waiting, sending, doubtfulCount, refusedCount] = await Promise.all([
    count('waiting', false),
    count('sending', false),
    count('in doubt', false),
    count('refused', false),
  ]);
  const doubtful = await decide('in doubt');
  const refused = await decide('refused');
  return {
    waiting,
    held:
      oldest && next
        ? {
            since: momentText(timeZone, oldest.createdAt, now),
            why: failed?.lastError ?? '',
            next: next.nextAt <= now ? 'now' : momentText(timeZone, next.nextAt, now),
            failed: failed !== null,
          }
        : null,
    sending,
    sent: await count('sent'),
    dropped: await count('dropped'),
    doubtful,
    refused,
    refusedCount,
    more: doubtfulCount + refusedCount - doubtful.length - refused.length,
  };
}
