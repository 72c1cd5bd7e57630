import { type LogRow, readLog } from '../log/index.ts';
import type { Database } from '../platform/database.ts';
import { addDays, type Day, dayIn } from '../platform/day.ts';
import type { Workers } from '../platform/workers.ts';
import { type MovedQuestion, type WhyMoved, type WhyMovedTold, whyMovedModule } from './finish-moved.ts';
import { besideReader } from './finish-moved-reader.ts';
import { NOT_UNDONE, UNDONE } from './finish-moved-undo.ts';
import type { Schedule } from './schedule.ts';
import type { ScheduleService } from './service.ts';

export interface FinishMovedParts {
  schedules: Pick<ScheduleService, 'snapshot'>;
  db: Pick<Database, 'hot'>;
  /** its own: they end with it */
  workers: Workers;
  /** is told of what should not happen */
  report(fault: unknown): void;
}

interface Asked {
  of: Schedule;
  told: WhyMovedTold;
  work: Promise<WhyMoved | null>;
  giveUp: AbortController;
}

const SECONDS = 60;
/** Answers kept: a page of the week that runs, and of the one before. */
const MOST_KEPT = 4;
/** A week that ended longer ago than this is told by what was stored of it alone. */
const DAYS_SINCE = 7;
const MOST_TRIES = 5;
const MOST_ROWS = 20_000;

/**
 * Why the finish moved in a week: found out in a thread when it is first asked for, and kept until an act or a new day
 * changes the schedule.
 */
export class FinishMovedService {
  readonly #parts: FinishMovedParts;
  readonly #beside: ReturnType<typeof besideReader>;
  readonly #recordOf: (day: Day) => { day: Day; finishOn: Day } | null;
  readonly #asked = new Map<string, Asked>();
  readonly #listeners = new Set<() => void>();
  #closed = false;

  constructor(parts: FinishMovedParts) {
    this.#parts = parts;
    this.#beside = besideReader(parts.db);
    const record = parts.db.hot.prepare<[Day], { day: Day; finishOn: Day }>(
      'SELECT day, finishOn FROM FinishRecord WHERE day <= ? ORDER BY day DESC LIMIT 1',
    );
    this.#recordOf = (day) => record.get(day) ?? null;
  }

  /** Calls the listener when an answer is there that was not before; the reply ends that. A listener must not throw. */
  listen(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** What is known of the week now; begins to find it out, and does not wait for it. Never throws. */
  of(week: { from: Day; until: Day }): WhyMovedTold {
    return this.#ask(week)?.told ?? { state: 'ready', why: null };
  }

  /**
   * The same when it is found out; null for a week that is too old, or has not begun. Takes seconds where the build is
   * large: ask before a transaction, not inside one.
   */
  async now(week: { from: Day; until: Day }): Promise<WhyMoved | null> {
    // An act in between makes the answer old: then it is asked anew, though not for ever.
    for (let tries = 0; tries < MOST_TRIES; tries++) {
      const asked = this.#ask(week);
      if (!asked) return null;
      const why = await asked.work;
      if (why || this.#closed || !asked.giveUp.signal.aborted) return why;
    }
    return null;
  }

  /** The week that ends today. */
  lastSevenDays(): { from: Day; until: Day } | null {
    const today = this.#parts.schedules.snapshot().schedule?.facts.today;
    return today === undefined ? null : { from: addDays(today, -6), until: today };
  }

  /** Gives up what is being found out. */
  async close(): Promise<void> {
    this.#closed = true;
    const all = [...this.#asked.values()];
    for (const { giveUp } of all) giveUp.abort(new Error('the program is closing'));
    await Promise.all(all.map(({ work }) => work));
    await this.#parts.workers.close();
  }

  #ask(week: { from: Day; until: Day }): Asked | null {
    const { schedule } = this.#parts.schedules.snapshot();
    if (!schedule) return null;
    const { today } = schedule.facts;
    if (week.from > today || week.until < addDays(today, -DAYS_SINCE)) return null;
    // A week may begin on another day than one that ends with it: the build's weekday changes.
    const key = `${week.from} ${week.until}`;
    const kept = this.#asked.get(key);
    if (kept?.of === schedule) return kept;
    kept?.giveUp.abort(new Error('the build has changed'));
    this.#asked.delete(key);
    const asked = this.#begin(schedule, week);
    this.#asked.set(key, asked);
    for (const [other, { giveUp }] of this.#asked) {
      if (this.#asked.size <= MOST_KEPT) break;
      giveUp.abort(new Error('nobody asks any more'));
      this.#asked.delete(other);
    }
    return asked;
  }

  #begin(of: Schedule, week: { from: Day; until: Day }): Asked {
    const giveUp = new AbortController();
    const asked: Asked = { of, told: { state: 'computing' }, work: Promise.resolve(null), giveUp };
    asked.work = this.#find(of, week, giveUp.signal).then(
      (why) => {
        asked.told = { state: 'ready', why };
        for (const listener of this.#listeners) listener();
        return why;
      },
      (fault: unknown) => {
        if (!giveUp.signal.aborted) this.#parts.report(fault);
        asked.told = { state: 'ready', why: null };
        return null;
      },
    );
    return asked;
  }

  async #find(of: Schedule, week: { from: Day; until: Day }, signal: AbortSignal): Promise<WhyMoved> {
    // The page that asks is answered first: what a thread is told is copied here.
    await new Promise((resolve) => setImmediate(resolve));
    signal.throwIfAborted();
    const schedule = this.#parts.schedules.snapshot().schedule ?? of;
    return this.#parts.workers.run<WhyMoved>({
      module: whyMovedModule,
      name: 'whyMoved',
      input: this.#question(schedule, week),
      seconds: SECONDS,
      goesOn: true,
      signal,
    });
  }

  #question({ facts }: Schedule, week: { from: Day; until: Day }): MovedQuestion {
    const { today, timeZone } = facts;
    const dated = new Set<string>([...UNDONE, ...NOT_UNDONE]);
    // A day of the build begins up to 14 hours off that of UTC: read a day more, then keep the week's own.
    const all = readLog(this.#parts.db, { from: addDays(week.from, -1) }, { limit: MOST_ROWS })
      .filter(({ kind }) => dated.has(kind))
      .reverse();
    const dayOf = (row: LogRow) => dayIn(timeZone, new Date(row.at));
    const rows: LogRow[] = [];
    const since: LogRow[] = [];
    for (const row of all) {
      const day = dayOf(row);
      if (day > week.until) since.push(row);
      else if (day >= week.from) rows.push(row);
    }
    const isOver = week.until < today;
    return {
      facts,
      from: week.from,
      until: isOver ? week.until : today,
      rows,
      since,
      beside: this.#beside(all),
      before: this.#recordOf(addDays(week.from, -1)),
      after: isOver ? this.#recordOf(week.until) : null,
    };
  }
}
