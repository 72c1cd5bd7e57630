import { onTestFinished } from 'vitest';
import { OutboxService } from '../../src/outbox/index.ts';
import { LETTER_KINDS } from '../../src/outbox/kinds.ts';
import type { TalkLimits } from '../../src/outbox/smtp-talk.ts';
import type { Browser, TestApp } from '../support/app.ts';

/** Short ones, where a server is slow on purpose. */
export const QUICK: TalkLimits = { openingMs: 500, answerMs: 500, graceMs: 100 };
/** Long enough for a machine that has much to do. */
const PATIENT: TalkLimits = { openingMs: 15_000, answerMs: 15_000, graceMs: 100 };

/** The program's outbox with a test's clock and short limits: it does a turn when it is asked to. */
export function anOutbox(
  { context }: TestApp,
  parts: {
    needByOn?: string | null;
    limits?: TalkLimits;
    faults?: unknown[];
    clock?: TestApp['context']['clock'];
  } = {},
): OutboxService {
  const { needByOn = null } = parts;
  const time = {
    startOn: null,
    lateStartOn: null,
    likelyOn: null,
    needByOn,
    floatDays: null,
    critical: false,
    ready: true,
  };
  const outbox = new OutboxService({
    context: { ...context, ...(parts.clock ? { clock: parts.clock } : {}) },
    times: { of: () => time },
    report(fault) {
      if (!parts.faults) throw fault;
      parts.faults.push(fault);
    },
    mail: { limits: parts.limits ?? PATIENT, paceMs: 0 },
    hooks: { limits: { wholeMs: 3000 } },
  });
  onTestFinished(() => outbox.close());
  return outbox;
}

/** The form of the settings page as it stands, to be sent with what a test changes. */
export function mailFields(port: number, change: Record<string, unknown> = {}): Record<string, unknown> {
  return {
    on: 'yes',
    host: '127.0.0.1',
    port,
    secure: 'none',
    open: 'yes',
    user: '',
    password: '',
    fromName: '',
    fromEmail: 'board@build.example',
    kinds: [...LETTER_KINDS],
    seen: '',
    ...change,
  };
}

/** Has the lead switch letters on. */
export async function letLettersLeave(
  app: TestApp,
  port: number,
  change: Record<string, unknown> = {},
): Promise<Browser> {
  const lead = await app.as('lead');
  const { changedAt } = (await app.context.db.read.mailSettings.findUnique({ where: { id: 1 } })) ?? {};
  const answer = await lead.post(
    '/settings/mail',
    mailFields(port, { seen: changedAt?.toISOString() ?? '', ...change }),
  );
  if (answer.status !== 303)
    throw new Error(`not kept: ${answer.status} ${/class="error"[^>]*>([^<]*)/.exec(answer.text)?.[1]}`);
  return lead;
}

/** Letters as they stand in the outbox, oldest first. */
export function lettersOf({ context }: TestApp) {
  return context.db.read.letter.findMany({ orderBy: { id: 'asc' } });
}
