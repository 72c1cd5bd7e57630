import type { Context } from '../platform/context.ts';
import type { CallOutcome } from './hook-talk.ts';
import type { OutboxKeys } from './keys.ts';
import { CALL_DAYS, nextTry, waitAfter } from './next-try.ts';
import { signatureHeaders } from './signature.ts';

export interface HookSenderParts {
  context: Pick<Context, 'db' | 'clock'>;
  keys: OutboxKeys;
  call(
    address: string,
    headers: Record<string, string>,
    body: string,
    stop: AbortSignal,
  ): Promise<CallOutcome>;
}

/** A call taken up is due again after this, should the program that took it be gone: the same call, by its id. */
const CALLING_MS = 60_000;
const AT_ONCE = 4;

/**
 * Makes the calls that wait, a few hooks at a time, the calls of one hook in their order. A call may arrive twice when
 * its answer was lost: it carries the same id then, and the receiver can tell.
 */
export class HookSender {
  readonly #parts: HookSenderParts;
  readonly #stop = new AbortController();

  constructor(parts: HookSenderParts) {
    this.#parts = parts;
  }

  close(): void {
    this.#stop.abort();
  }

  /** Makes every call whose moment has come. @returns the moment of the next one; null when none waits */
  async turn(): Promise<Date | null> {
    const { db, clock } = this.#parts.context;
    for (;;) {
      if (this.#stop.signal.aborted) return null;
      const due = await db.read.hookCall.findMany({
        where: { state: 'waiting', nextAt: { lte: clock.now() }, hook: { pausedAt: null, removedAt: null } },
        distinct: ['hookId'],
        orderBy: { id: 'asc' },
        take: AT_ONCE,
      });
      if (due.length === 0) break;
      await Promise.all(due.map((call) => this.#make(call.id)));
    }
    const next = await db.read.hookCall.findFirst({
      where: { state: 'waiting', hook: { pausedAt: null, removedAt: null } },
      orderBy: { nextAt: 'asc' },
      select: { nextAt: true },
    });
    return next?.nextAt ?? null;
  }

  async #make(id: number): Promise<void> {
    const { context, keys } = this.#parts;
    const { db, clock } = context;
    const taken = await db.write.$transaction(async (tx) => {
      const now = clock.now();
      const call = await tx.hookCall.findUnique({ where: { id }, include: { hook: true } });
      if (call?.state !== 'waiting' || call.nextAt > now || call.hook.pausedAt || call.hook.removedAt) {
        return null;
      }
      await tx.hookCall.update({
        where: { id },
        data: { tries: { increment: 1 }, nextAt: new Date(now.getTime() + CALLING_MS) },
      });
      return { ...call, tries: call.tries + 1 };
    });
    if (!taken) return;
    const { hook, payload } = taken;
    const headers = signatureHeaders(keys.hookKey(hook.id, hook.turn), keys.callId(id), clock.now(), payload);
    const outcome = await this.#parts.call(hook.url, headers, payload, this.#stop.signal);
    await this.#settle(taken, outcome);
  }

  async #settle(
    call: { id: number; hookId: number; tries: number; createdAt: Date },
    outcome: CallOutcome,
  ): Promise<void> {
    const { db, clock } = this.#parts.context;
    const now = clock.now();
    const where = { id: call.id, state: 'waiting' };
    const { status } = outcome;
    if (outcome.kind === 'delivered') {
      await db.write.hookCall.updateMany({
        where,
        data: { state: 'delivered', status, settledAt: now, lastError: '' },
      });
      return;
    }
    const lastError = outcome.words;
    if (outcome.kind === 'gone') {
      await db.write.$transaction(async (tx) => {
        await tx.hook.updateMany({ where: { id: call.hookId, pausedAt: null }, data: { pausedAt: now } });
        await tx.hookCall.updateMany({ where, data: { status, lastError } });
        await tx.hookCall.updateMany({
          where: { hookId: call.hookId, state: 'waiting' },
          data: { state: 'given up', settledAt: now },
        });
      });
      return;
    }
    const next = nextTry(call.tries, call.createdAt, now, CALL_DAYS, outcome.askedMs);
    await db.write.$transaction(async (tx) => {
      await tx.hookCall.updateMany({
        where,
        data: next
          ? { status, lastError, nextAt: next }
          : { status, lastError, state: 'given up', settledAt: now },
      });
      // What waits behind it for the same hook waits with it: one try tells whether the address answers again.
      await tx.hookCall.updateMany({
        where: {
          hookId: call.hookId,
          state: 'waiting',
          nextAt: { lt: next ?? new Date(now.getTime() + waitAfter(1)) },
        },
        data: { nextAt: next ?? new Date(now.getTime() + waitAfter(1)) },
      });
    });
  }
}
