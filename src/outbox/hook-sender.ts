import type { Context } from '../platform/context.ts';
import type { CallOutcome } from './hook-talk.ts';
import type { OutboxKeys } from './keys.ts';
import { CALL_DAYS, dueAt, LONGEST_MS, nextTry, waitAfter } from './next-try.ts';
import { signatureHeaders } from './signature.ts';
import { openHooks } from './store.ts';

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
/** So long one hook is called in one turn: then the others have theirs, however much waits for it. */
const ONE_HOOK_MS = 10_000;

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

  /**
   * Makes the calls whose moment has come, each hook's one after another.
   *
   * @returns the moment of the next one; null when none waits
   */
  async turn(): Promise<Date | null> {
    const { db } = this.#parts.context;
    const hooks = (await openHooks(db.read)).map(({ id }) => id);
    const left = [...hooks];
    const lane = async () => {
      for (let hookId = left.shift(); hookId !== undefined; hookId = left.shift())
        await this.#callHook(hookId);
    };
    await Promise.all(Array.from({ length: AT_ONCE }, lane));
    if (this.#stop.signal.aborted) return null;
    const moments: number[] = [];
    for (const hookId of hooks) {
      const next = await this.#nextOf(hookId);
      if (next) moments.push(next.at.getTime());
    }
    return moments.length > 0 ? new Date(Math.min(...moments)) : null;
  }

  async #callHook(hookId: number): Promise<void> {
    const began = Date.now();
    while (!this.#stop.signal.aborted && Date.now() - began < ONE_HOOK_MS) {
      const next = await this.#nextOf(hookId);
      if (!next?.id) return;
      await this.#make(next.id);
    }
  }

  /** A hook's next call, and its moment; without an id while the hook is left alone. Null when none waits. */
  async #nextOf(hookId: number): Promise<{ id: number | null; at: Date } | null> {
    const { db, clock } = this.#parts.context;
    const now = clock.now();
    const waiting = { hookId, state: 'waiting' };
    // A call that failed, or is being made by another process: what came after it waits with it.
    const held = await db.read.hookCall.findFirst({
      where: {
        ...waiting,
        tries: { gt: 0 },
        nextAt: { gt: now, lte: new Date(now.getTime() + LONGEST_MS) },
      },
      orderBy: { nextAt: 'desc' },
      select: { nextAt: true },
    });
    if (held) return { id: null, at: held.nextAt };
    const due = await db.read.hookCall.findFirst({
      where: { ...waiting, OR: dueAt(now).map((nextAt) => ({ nextAt })) },
      orderBy: { id: 'asc' },
      select: { id: true },
    });
    if (due) return { id: due.id, at: now };
    const later = await db.read.hookCall.findFirst({
      where: waiting,
      orderBy: { nextAt: 'asc' },
      select: { nextAt: true },
    });
    return later ? { id: null, at: later.nextAt } : null;
  }

  async #make(id: number): Promise<void> {
    const { context, keys } = this.#parts;
    const { db, clock } = context;
    const taken = await db.write.$transaction(async (tx) => {
      const now = clock.now();
      const call = await tx.hookCall.findUnique({ where: { id }, include: { hook: true } });
      const isDue =
        call && dueAt(now).some((when) => ('lte' in when ? call.nextAt <= when.lte : call.nextAt > when.gt));
      if (call?.state !== 'waiting' || !isDue || call.hook.pausedAt || call.hook.removedAt) {
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
    const headers = signatureHeaders(
      keys.hookKey(hook.id, hook.turn),
      keys.callId(taken),
      clock.now(),
      payload,
    );
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
