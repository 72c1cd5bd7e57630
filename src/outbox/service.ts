import type { ConnectionOptions } from 'node:tls';
import type { JobTimes } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { HookSender } from './hook-sender.ts';
import { type CallLimits, callHook } from './hook-talk.ts';
import { OutboxKeys } from './keys.ts';
import { Loop } from './loop.ts';
import { MailPassword } from './mail-password.ts';
import { MailSender } from './mail-sender.ts';
import { sendMail, type TalkLimits } from './smtp-talk.ts';
import { Teller } from './teller.ts';

export interface OutboxParts {
  context: Pick<Context, 'db' | 'clock' | 'settings' | 'changes'>;
  times: Pick<JobTimes, 'of'>;
  /** is told of what should not happen */
  report(fault: unknown): void;
  /** what a test, or a server of one's own, may have otherwise */
  mail?: { limits?: TalkLimits; tls?: ConnectionOptions; paceMs?: number };
  hooks?: { limits?: CallLimits };
}

/** At most one letter a second: mail providers slow down or shut out who sends faster. Common practice, no source. */
const PACE_MS = 1000;

/** Acts after which a server that was let rest is asked again. */
const MAIL_ACTS = new Set([
  'change-mail',
  'try-letters',
  'ask-test-letter',
  'settle-letter',
  'settle-letters',
]);
/** Acts that leave something to be called. */
const HOOK_ACTS = new Set(['try-hook', 'resume-hook']);

/**
 * Tells people what happens, by letters and web hooks. Nothing else knows of it: it reads the log, as it was committed,
 * makes letters and calls of it in the database, and sends those from there.
 */
export class OutboxService {
  readonly #parts: OutboxParts;
  readonly #teller: Teller;
  readonly #mail: MailSender;
  readonly #hooks: HookSender;
  readonly #loops: Record<'tell' | 'mail' | 'hooks', Loop>;
  #stopListening: (() => void) | null = null;

  constructor(parts: OutboxParts) {
    this.#parts = parts;
    const { context, report, mail = {}, hooks = {} } = parts;
    const { dataDir } = context.settings;
    const keys = new OutboxKeys(dataDir);
    this.#teller = new Teller({ context, times: parts.times, report });
    this.#mail = new MailSender({
      context,
      keys,
      password: new MailPassword(dataDir),
      send: (server, letter, stop) => sendMail(server, letter, { stop, limits: mail.limits, tls: mail.tls }),
      report,
      paceMs: mail.paceMs ?? PACE_MS,
    });
    this.#hooks = new HookSender({
      context,
      keys,
      call: (address, headers, body, stop) =>
        callHook(address, headers, body, { stop, limits: hooks.limits }),
    });
    const now = () => context.clock.now();
    const loop = (turn: () => Promise<Date | null>) => new Loop({ turn, now, report });
    this.#loops = {
      tell: loop(async () => {
        if (await this.#teller.turn()) {
          this.#loops.mail.wake();
          this.#loops.hooks.wake();
        }
        return null;
      }),
      mail: loop(() => this.#mail.turn()),
      hooks: loop(() => this.#hooks.turn()),
    };
  }

  /** From now on what is committed is told, and what waits is sent. */
  start(): void {
    this.#stopListening ??= this.#parts.context.changes.listen((entries) => {
      this.#loops.tell.wake();
      if (entries.some(({ kind }) => MAIL_ACTS.has(kind))) {
        this.#mail.wakeUp();
        this.#loops.mail.wake();
      }
      if (entries.some(({ kind }) => HOOK_ACTS.has(kind))) this.#loops.hooks.wake();
    });
    for (const loop of Object.values(this.#loops)) loop.start();
  }

  /** One turn of everything, for those who turn the clock themselves: what is to be told, then what is to be sent. */
  async turn(): Promise<void> {
    await this.#teller.turn();
    await Promise.all([this.#mail.turn(), this.#hooks.turn()]);
  }

  /** As an act would: asks a server again that was let rest. */
  wakeUp(): void {
    this.#mail.wakeUp();
  }

  /** Ends what is under way: at once where that is safe, else after a moment for the answer. */
  async close(): Promise<void> {
    this.#stopListening?.();
    this.#teller.close();
    this.#mail.close();
    this.#hooks.close();
    await Promise.all(Object.values(this.#loops).map((loop) => loop.close()));
  }
}
