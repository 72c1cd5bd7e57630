import type { Context } from '../platform/context.ts';
import { composeLetter, type StoredLetter } from './compose.ts';
import type { OutboxKeys } from './keys.ts';
import type { MailPassword } from './mail-password.ts';
import { DAY_MS, dueAt, LETTER_DAYS, LONGEST_MS, nextTry, waitAfter } from './next-try.ts';
import type { Outcome } from './smtp-answer.ts';
import type { Mail, MailServer } from './smtp-talk.ts';
import { readMailSettings } from './store.ts';

export interface SenderParts {
  context: Pick<Context, 'db' | 'clock' | 'settings'>;
  keys: OutboxKeys;
  password: MailPassword;
  send(server: MailServer, mail: Mail, stop: AbortSignal): Promise<Outcome>;
  /** is told of a letter that can't be written */
  report(fault: unknown): void;
  /** milliseconds from one letter to the next */
  paceMs: number;
}

/** Above the longest talk there may be: a letter still `sending` after that belongs to a program that is gone. */
const SENDING_MS = 20 * 60_000;
/**
 * A server that does not take so many letters in a row is left alone for a while, even where it refuses each for good:
 * many servers say only at the recipient that they don't know the sender, and would have all letters refused.
 */
const NOT_TAKEN_IN_A_ROW = 5;
const NO_PASSWORD = 'The password for this server and user is not there: type it again below.';
const TOO_LATE = `It could not be handed over for ${LETTER_DAYS} days.`;

/**
 * Sends what waits in the outbox, one letter after another.
 *
 * A letter is marked `sending`, and that is on the disk, before the server hears of it; of several processes on one data
 * folder exactly one marks it. Whatever ends in between leaves it so, and it becomes `in doubt`: never sent again but by
 * the lead's word.
 */
export class MailSender {
  readonly #parts: SenderParts;
  readonly #stop = new AbortController();
  /** the server takes nothing: until then it is asked nothing, whatever else comes to wait */
  #rest: { until: Date; failures: number } | null = null;
  /** letters one after another of which none was taken: then it is no matter of the letter */
  #notTaken = 0;

  constructor(parts: SenderParts) {
    this.#parts = parts;
  }

  /** Another server, or the lead's word: there is no reason to rest any more. */
  wakeUp(): void {
    this.#rest = null;
    this.#notTaken = 0;
  }

  /** Ends the talk under way, if there is one. */
  close(): void {
    this.#stop.abort();
  }

  /** Sends every letter whose moment has come. @returns the moment of the next one; null when nothing waits */
  async turn(): Promise<Date | null> {
    const { context, paceMs } = this.#parts;
    const { db, clock } = context;
    await this.#findLost();
    for (;;) {
      if (this.#stop.signal.aborted) return null;
      const settings = await readMailSettings(db.read);
      if (!settings.host || !settings.fromEmail) return null;
      const now = clock.now();
      const restMs = this.#rest ? this.#rest.until.getTime() - now.getTime() : 0;
      // Longer than any rest: the clock was set back.
      if (this.#rest && restMs > 0 && restMs <= LONGEST_MS) return this.#rest.until;
      const waiting = { state: 'waiting', ...(settings.on ? {} : { kind: 'test' }) };
      const letter = await this.#first(waiting, now);
      if (!letter) {
        const next = await db.read.letter.findFirst({ where: waiting, orderBy: { nextAt: 'asc' } });
        return next?.nextAt ?? null;
      }
      const server: MailServer = {
        host: settings.host,
        port: settings.port,
        secure: settings.secure as MailServer['secure'],
        user: settings.user,
        password: '',
      };
      const password = settings.user ? this.#parts.password.read(server) : '';
      const mail = await this.#take(letter, now);
      if (!mail) continue;
      const began = Date.now();
      const outcome: Outcome =
        password === null
          ? { kind: 'rest', words: NO_PASSWORD }
          : await this.#parts.send({ ...server, password }, mail, this.#stop.signal);
      await this.#settle(letter, outcome);
      if (outcome.kind !== 'rest') await pause(paceMs - (Date.now() - began), this.#stop.signal);
    }
  }

  /** The letter whose turn it is: what was written to one person goes before what goes to everybody. */
  async #first(waiting: { state: string; kind?: string }, now: Date) {
    const due = { ...waiting, OR: dueAt(now).map((nextAt) => ({ nextAt })) };
    for (const kind of ['test', { not: 'bulletin' }, undefined]) {
      const letter = await this.#parts.context.db.read.letter.findFirst({
        where: { AND: [due, kind ? { kind } : {}] },
        orderBy: [{ createdAt: 'asc' }, { id: 'asc' }],
      });
      if (letter) return letter;
    }
    return null;
  }

  /** Letters that a program took up and never settled. */
  async #findLost(): Promise<void> {
    const { db, clock } = this.#parts.context;
    const lost = {
      state: 'sending',
      OR: dueAt(clock.now(), SENDING_MS).map((nextAt) => ({ nextAt })),
    };
    if ((await db.read.letter.count({ where: lost })) === 0) return;
    await db.write.letter.updateMany({
      where: lost,
      data: { state: 'in doubt', lastError: 'The program ended while this letter was being handed over.' },
    });
  }

  /** Marks a letter as being sent, and gives it as it goes out; null when another has it, or it is not to be sent. */
  async #take(letter: StoredLetter, now: Date): Promise<Mail | null> {
    const { context, keys } = this.#parts;
    return context.db.write.$transaction(async (tx) => {
      const where = { id: letter.id, state: 'waiting' };
      let mail: Mail | null;
      try {
        mail = await composeLetter(tx, { context, keys }, letter, now);
      } catch (fault) {
        // One letter that can't be written must not keep all others waiting.
        this.#parts.report(fault);
        const words = 'A fault of this program keeps it from being written.';
        await tx.letter.updateMany({ where, data: { state: 'refused', settledAt: now, lastError: words } });
        return null;
      }
      if (!mail) {
        await tx.letter.updateMany({
          where,
          data: { state: 'dropped', settledAt: now, body: '', lastError: '' },
        });
        return null;
      }
      const { count } = await tx.letter.updateMany({
        where,
        data: { state: 'sending', tries: { increment: 1 }, nextAt: new Date(now.getTime() + SENDING_MS) },
      });
      return count === 1 ? mail : null;
    });
  }

  async #settle(
    letter: StoredLetter & { tries: number; lastError: string },
    outcome: Outcome,
  ): Promise<void> {
    const { db, clock } = this.#parts.context;
    const now = clock.now();
    const tries = letter.tries + 1;
    // Taken for lost meanwhile, it is settled all the same: only who sent it knows what became of it.
    const where = { id: letter.id, state: { in: ['sending', 'in doubt'] } };
    const keep = (data: Parameters<typeof db.write.letter.updateMany>[0]['data']) =>
      db.write.letter.updateMany({ where, data });
    if (outcome.kind === 'sent') {
      this.wakeUp();
      await keep({ state: 'sent', sentAt: now, settledAt: now, body: '', lastError: '' });
      // The server takes letters again: why the others waited is over.
      if (letter.lastError) {
        await db.write.letter.updateMany({ where: { state: 'waiting', tries: 0 }, data: { lastError: '' } });
      }
      return;
    }
    const { words } = outcome;
    if (outcome.kind === 'refused') {
      await keep({ state: 'refused', settledAt: now, lastError: words });
      await this.#countNotTaken(words, now);
      return;
    }
    if (outcome.kind === 'in doubt') {
      await keep({ state: 'in doubt', lastError: words });
      await this.#countNotTaken(words, now);
      return;
    }
    if (outcome.kind === 'wait') {
      const next = nextTry(tries, letter.createdAt, now, LETTER_DAYS);
      await keep(
        next
          ? { state: 'waiting', nextAt: next, lastError: words }
          : { state: 'refused', settledAt: now, lastError: `${TOO_LATE} ${words}` },
      );
      await this.#countNotTaken(words, now);
      return;
    }
    await this.#restAfter(letter, words, now);
  }

  /** Of several letters in a row none was taken: the others wait before they fare the same. */
  async #countNotTaken(words: string, now: Date): Promise<void> {
    this.#notTaken += 1;
    if (this.#notTaken < NOT_TAKEN_IN_A_ROW) return;
    const until = this.#restLonger(now);
    const { db } = this.#parts.context;
    const others = { state: 'waiting' };
    const lastError = `Of the last ${this.#notTaken} letters none was taken. ${words}`;
    await db.write.$transaction([
      db.write.letter.updateMany({ where: others, data: { lastError } }),
      db.write.letter.updateMany({ where: { ...others, nextAt: { lt: until } }, data: { nextAt: until } }),
    ]);
  }

  #restLonger(now: Date): Date {
    const failures = (this.#rest?.failures ?? 0) + 1;
    const until = new Date(now.getTime() + waitAfter(failures));
    this.#rest = { until, failures };
    return until;
  }

  /** The server takes nothing now: all letters wait, and the next try is one letter's. */
  async #restAfter(letter: StoredLetter, words: string, now: Date): Promise<void> {
    const { db } = this.#parts.context;
    const until = this.#restLonger(now);
    const tooOld = new Date(now.getTime() - LETTER_DAYS * DAY_MS);
    await db.write.$transaction(async (tx) => {
      await tx.letter.updateMany({
        where: { id: letter.id, state: { in: ['sending', 'in doubt'] } },
        // Nothing was tried with this letter: the server never heard of it.
        data: { state: 'waiting', tries: { decrement: 1 }, nextAt: until },
      });
      await tx.letter.updateMany({ where: { state: 'waiting' }, data: { lastError: words } });
      await tx.letter.updateMany({
        where: { state: 'waiting', nextAt: { lt: until } },
        data: { nextAt: until },
      });
      await tx.letter.updateMany({
        where: { state: 'waiting', createdAt: { lt: tooOld } },
        data: { state: 'refused', settledAt: now, lastError: `${TOO_LATE} ${words}` },
      });
    });
  }
}

function pause(ms: number, stop: AbortSignal): Promise<void> {
  if (ms <= 0 || stop.aborted) return Promise.resolve();
  return new Promise((resolve) => {
    const timer = setTimeout(done, ms);
    function done() {
      clearTimeout(timer);
      stop.removeEventListener('abort', done);
      resolve();
    }
    stop.addEventListener('abort', done);
  });
}
