import { factsReader, type JobTimes } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import type { Tx } from '../platform/database.ts';
import { type Day, dayIn } from '../platform/day.ts';
import { inLots } from '../platform/in-lots.ts';
import { isHookKind, storedWords } from './kinds.ts';
import { reminderLetter } from './letter-text.ts';
import { DAY_MS } from './next-try.ts';
import { readReminderFacts } from './reminder-facts.ts';
import { type Reminder, reminderKey, remindersDue, toldIn } from './reminders.ts';
import { openHooks, readersOf, readMailSettings } from './store.ts';
import { eventsFor, finishEvent, type HookEvent, payloadOf } from './tell-hooks.ts';
import { lettersFor, type NewLetter, type ToldAct } from './tell-letters.ts';

export interface TellerParts {
  context: Pick<Context, 'db' | 'clock' | 'settings'>;
  times: Pick<JobTimes, 'of'>;
  /** is told of an act that could not be told of; the others go on */
  report(fault: unknown): void;
}

const ROWS_AT_ONCE = 200;
/** So long one step of telling may hold the database; what is left is told in the next, and pages come between. */
const STEP_MS = 250;
/** Reminders are made from this hour on, where the build is. */
const REMINDING_HOUR = 7;
/** What settled letters and calls said is kept so long, for questions. */
const KEPT_DAYS = 90;

/**
 * Turns the log into letters and calls. The mark of how far it is told moves in the same transaction that makes them: what
 * was committed is told once, whatever ends when, and of several processes on one data folder one does it.
 */
export class Teller {
  readonly #parts: TellerParts;
  #remindedOn: Day | null = null;
  #closed = false;

  constructor(parts: TellerParts) {
    this.#parts = parts;
  }

  /** Ends after the step under way; what is left is told when the program is started again. */
  close(): void {
    this.#closed = true;
  }

  /** @returns whether anything was made */
  async turn(): Promise<boolean> {
    let made = 0;
    for (;;) {
      const told = await this.#tell();
      made += told.made;
      if (this.#closed) return made > 0;
      if (told.all) break;
      // Everything in a step is done without waiting for anything outside: others would never have their turn.
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
    return made + (await this.#daily()) > 0;
  }

  async #tell(): Promise<{ made: number; all: boolean }> {
    const { db, clock, settings } = this.#parts.context;
    // A look from outside first: the writing connection is left to others while there is nothing new.
    const mark = await readMailSettings(db.read);
    const hooksOpen = await openHooks(db.read);
    if (!mark.on && hooksOpen.length === 0) return { made: 0, all: true };
    const last = await db.read.act.findFirst({ orderBy: { id: 'desc' }, select: { id: true } });
    if ((last?.id ?? 0) <= mark.toldActId) return { made: 0, all: true };
    return db.write.$transaction(async (tx) => {
      const began = Date.now();
      const now = clock.now();
      const mail = await readMailSettings(tx);
      const rows = await tx.act.findMany({
        where: { id: { gt: mail.toldActId } },
        orderBy: { id: 'asc' },
        take: ROWS_AT_ONCE,
      });
      const groups = byAct(rows, rows.length === ROWS_AT_ONCE);
      const readers = mail.on ? await readersOf(tx) : [];
      const off = storedWords(mail.kindsOff);
      const hooks = await openHooks(tx);
      const letters: NewLetter[] = [];
      const events: HookEvent[] = [];
      let upTo = 0;
      for (const acts of groups) {
        if (upTo > 0 && Date.now() - began > STEP_MS) break;
        upTo = acts.at(-1)!.id;
        try {
          if (mail.on) letters.push(...(await lettersFor(tx, acts, readers, settings.baseUrl)));
          if (hooks.length > 0) events.push(...(await eventsFor(tx, acts, settings.baseUrl)));
        } catch (fault) {
          // One act that can't be told must not keep all later ones back. A broken transaction fails below, as a whole.
          this.#parts.report(fault);
        }
      }
      const wanted = letters.filter(({ kind }) => !off.includes(kind));
      const made = (await putLetters(tx, wanted, now)) + (await putCalls(tx, hooks, events, now));
      if (upTo > 0) await tx.mailSettings.update({ where: { id: 1 }, data: { toldActId: upTo } });
      return { made, all: upTo === (rows.at(-1)?.id ?? 0) && rows.length < ROWS_AT_ONCE };
    });
  }

  /** Once a day: reminders, the finish of the day before, and what is old is taken out. */
  async #daily(): Promise<number> {
    const { db, clock } = this.#parts.context;
    const now = clock.now();
    const build = await db.read.build.findUnique({ where: { id: 1 } });
    if (!build) return 0;
    const today = dayIn(build.timeZone, now);
    if (this.#remindedOn === today || hourIn(build.timeZone, now) < REMINDING_HOUR) return 0;
    const made =
      (await this.#remind(today, build.timeZone, build.silentAfterDays)) + (await this.#tellFinish(today));
    await this.#tidy(now);
    this.#remindedOn = today;
    return made;
  }

  async #remind(today: Day, timeZone: string, silentAfterDays: number): Promise<number> {
    const { context, times } = this.#parts;
    const { db, clock, settings } = context;
    const mail = await readMailSettings(db.read);
    if (!mail.on || storedWords(mail.kindsOff).includes('reminder')) return 0;
    const jobs = factsReader(db).all();
    const facts = await readReminderFacts(db.read, jobs, times, { today, timeZone, silentAfterDays });
    return db.write.$transaction(async (tx) => {
      const rows = await tx.letter.findMany({ where: { kind: 'reminder' }, select: { key: true } });
      const before = toldIn(rows.map(({ key }) => key));
      const byPerson = new Map<number, Reminder[]>();
      for (const reminder of remindersDue(facts, before.told)) {
        byPerson.set(reminder.personId, [...(byPerson.get(reminder.personId) ?? []), reminder]);
      }
      const letters = (await readersOf(tx)).flatMap(({ id, mailOff }) => {
        const due = byPerson.get(id);
        if (!due || before.toldOn(id, today) || storedWords(mailOff).includes('reminder')) return [];
        const { subject, text } = reminderLetter(due, settings.baseUrl);
        const items = due.map(({ item }) => item);
        return [
          {
            key: reminderKey(id, today, items),
            kind: 'reminder' as const,
            personId: id,
            subject,
            body: text,
          },
        ];
      });
      return putLetters(tx, letters, clock.now());
    });
  }

  async #tellFinish(today: Day): Promise<number> {
    const { db, clock, settings } = this.#parts.context;
    const hooks = await openHooks(db.read);
    if (hooks.length === 0) return 0;
    const records = await db.read.finishRecord.findMany({
      where: { day: { lt: today } },
      orderBy: { day: 'desc' },
      take: 2,
      select: { day: true, finishOn: true },
    });
    const now = clock.now();
    const event = finishEvent(records, today, now, settings.baseUrl);
    if (!event) return 0;
    return db.write.$transaction(async (tx) => putCalls(tx, await openHooks(tx), [event], now));
  }

  /** What settled letters and calls said goes; that there was one stays, so that it is not told again. */
  async #tidy(now: Date): Promise<void> {
    const { db } = this.#parts.context;
    const old = new Date(now.getTime() - KEPT_DAYS * DAY_MS);
    const gone = { body: '', subject: '', lastError: '' };
    await db.write.$transaction(async (tx) => {
      await tx.letter.updateMany({
        where: { settledAt: { lt: old }, state: 'refused' },
        data: { state: 'dropped', ...gone },
      });
      await tx.letter.updateMany({ where: { settledAt: { lt: old }, NOT: { subject: '' } }, data: gone });
      await tx.hookCall.updateMany({
        where: { settledAt: { lt: old }, NOT: { payload: '' } },
        data: { payload: '', lastError: '' },
      });
      const left = await tx.person.findMany({ where: { forgottenAt: { not: null } }, select: { id: true } });
      await tx.letter.updateMany({
        where: {
          personId: { in: left.map(({ id }) => id) },
          state: { in: ['waiting', 'in doubt', 'refused'] },
        },
        data: { state: 'dropped', settledAt: now, ...gone },
      });
      // A link that is too old opens nothing: whom it was for is nobody's business any more.
      await tx.ticket.updateMany({
        where: { expiresAt: { lt: now }, NOT: { email: '' } },
        data: { email: '' },
      });
    });
  }
}

/** Rows that one transaction wrote stand together; the last are left for the next round where more may belong to them. */
function byAct(rows: readonly ToldAct[], isCut: boolean): ToldAct[][] {
  const groups: ToldAct[][] = [];
  for (const row of rows) {
    const group = groups.at(-1);
    const first = group?.[0];
    if (group && first?.at.getTime() === row.at.getTime() && first.personId === row.personId) group.push(row);
    else groups.push([row]);
  }
  if (isCut && groups.length > 1) groups.pop();
  return groups;
}

async function putLetters(
  tx: Tx,
  letters: readonly (Omit<NewLetter, 'kind'> & { kind: string })[],
  now: Date,
): Promise<number> {
  if (letters.length === 0) return 0;
  const keys = letters.map(({ key }) => key);
  const rows = await inLots(keys, (lot) =>
    tx.letter.findMany({ where: { key: { in: [...lot] } }, select: { key: true } }),
  );
  const there = new Set(rows.map(({ key }) => key));
  const fresh = [...new Map(letters.map((letter) => [letter.key, letter])).values()].filter(
    ({ key }) => !there.has(key),
  );
  await inLots(fresh, async (lot) => {
    await tx.letter.createMany({ data: lot.map((letter) => ({ ...letter, nextAt: now, createdAt: now })) });
    return [];
  });
  return fresh.length;
}

async function putCalls(
  tx: Tx,
  hooks: readonly { id: number; kinds: string; createdAt: Date }[],
  events: readonly HookEvent[],
  now: Date,
): Promise<number> {
  let made = 0;
  for (const event of events) {
    for (const hook of hooks) {
      // What happened before a hook was added is not told to it.
      if (event.at < hook.createdAt) continue;
      if (!storedWords(hook.kinds).filter(isHookKind).includes(event.type)) continue;
      const hookId_key = { hookId: hook.id, key: event.key };
      if (await tx.hookCall.findUnique({ where: { hookId_key }, select: { id: true } })) continue;
      await tx.hookCall.create({
        data: { ...hookId_key, payload: payloadOf(event), nextAt: now, createdAt: now },
      });
      made += 1;
    }
  }
  return made;
}

function hourIn(timeZone: string, moment: Date): number {
  const text = new Intl.DateTimeFormat('en-GB', { timeZone, hour: '2-digit', hourCycle: 'h23' }).format(
    moment,
  );
  return Number(text);
}
