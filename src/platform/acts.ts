import { createHash } from 'node:crypto';
import type { Clock } from './clock.ts';
import type { Database, Tx } from './database.ts';
import { type Day, dayIn } from './day.ts';

export type Role = 'lead' | 'crew' | 'maker';

/** Who does an act. A visitor has no id. */
export interface Actor {
  personId: number | null;
  role: Role | 'visitor';
}

/** One row of the log: what was done, to what, and how it was before and after. Nothing personal belongs in here. */
export interface ActEntry {
  /** the act's name in kebab-case, as design.md names it: release-revision */
  kind: string;
  partId?: number | null;
  jobId?: number | null;
  /** the person it concerns, where that is not who did it */
  aboutId?: number | null;
  thing?: { type: string; id: number };
  milli?: number | null;
  before?: unknown;
  after?: unknown;
}

/** What a use case gets: the open transaction, the moment, who acts, and the log. */
export interface Act {
  tx: Tx;
  at: Date;
  /** today in the build's time zone */
  today: Day;
  actor: Actor;
  /** Writes the log row in the same transaction. Each act logs at least one. */
  log(entry: ActEntry): Promise<void>;
}

export interface ActsContext {
  db: Database;
  clock: Clock;
  changes: Changes;
}

/** Tells the rest of the program, after commit, what acts were done. */
export class Changes {
  #listeners = new Set<(entries: ActEntry[]) => void>();

  /** Calls the listener after each committed act; the reply ends that. A listener must not throw. */
  listen(listener: (entries: ActEntry[]) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  tell(entries: ActEntry[]): void {
    for (const listener of this.#listeners) listener(entries);
  }
}

/** A form as it was sent: the hidden token it carried, and what was in it. */
export interface SentForm {
  token: string;
  content: unknown;
}

export type Outcome<T> =
  | { repeated: false; result: T; location: string }
  | { repeated: true; location: string };

/**
 * Does one act in one transaction: all of it, with its log rows, or nothing.
 *
 * @param how.sent      the form it came by: the same token with the same content does the act once, and the second
 *                      time only says where the first one led
 * @param how.location  where the result is to be seen
 * @param work          reads, decides (throws Refused to change nothing), writes, logs
 * @throws Refused, WrongField, NotFound  from work, with nothing changed
 */
export async function perform<T>(
  context: ActsContext,
  how: { actor: Actor; sent?: SentForm; location?: (result: T) => string },
  work: (act: Act) => Promise<T>,
): Promise<Outcome<T>> {
  const { db, clock, changes } = context;
  const token = how.sent && sentKey(how.sent, how.actor);
  const entries: ActEntry[] = [];
  const outcome = await db.write.$transaction(async (tx): Promise<Outcome<T>> => {
    if (token) {
      const earlier = await tx.sentForm.findUnique({ where: { token } });
      if (earlier) return { repeated: true, location: earlier.location };
    }
    const at = clock.now();
    const build = await tx.build.findUnique({ where: { id: 1 }, select: { timeZone: true } });
    const act: Act = {
      tx,
      at,
      today: dayIn(build?.timeZone ?? 'UTC', at),
      actor: how.actor,
      async log(entry) {
        entries.push(entry);
        await tx.act.create({
          data: {
            at,
            kind: entry.kind,
            personId: how.actor.personId,
            partId: entry.partId ?? null,
            jobId: entry.jobId ?? null,
            aboutId: entry.aboutId ?? null,
            thingType: entry.thing?.type ?? null,
            thingId: entry.thing?.id ?? null,
            milli: entry.milli ?? null,
            before: entry.before === undefined ? null : JSON.stringify(entry.before),
            after: entry.after === undefined ? null : JSON.stringify(entry.after),
          },
        });
      },
    };
    const result = await work(act);
    const location = how.location?.(result) ?? '/';
    if (token) {
      await tx.sentForm.create({ data: { token, personId: how.actor.personId, at, location } });
    }
    return { repeated: false, result, location };
  });
  if (!outcome.repeated) changes.tell(entries);
  return outcome;
}

function sentKey({ token, content }: SentForm, actor: Actor): string {
  return createHash('sha256')
    .update(JSON.stringify([token, actor.personId, content]))
    .digest('hex');
}
