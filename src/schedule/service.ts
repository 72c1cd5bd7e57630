import type { JobTime, JobTimes, PartTime } from '../jobs/index.ts';
import type { Changes } from '../platform/acts.ts';
import type { Clock } from '../platform/clock.ts';
import type { Database } from '../platform/database.ts';
import { addDays, type Day, dayIn } from '../platform/day.ts';
import type { BuildFacts } from './build-facts.ts';
import { buildFactsReader } from './facts-reader.ts';
import { type Schedule, scheduleOf } from './schedule.ts';

/** The finish as it was computed on a day. */
export interface FinishOfDay {
  day: Day;
  finishOn: Day;
  open: number;
  critical: number;
  /** in 80 of 100 runs of the simulation; null where there was none on that day */
  at80On: Day | null;
}

/** The schedule as pages get it. */
export interface Snapshot {
  /** null before the build is set up, or where it can't be computed */
  schedule: Schedule | null;
  /** why it can't be computed, in a sentence; null when it can */
  trouble: string | null;
}

export interface ScheduleParts {
  db: Database;
  clock: Clock;
  changes: Changes;
  /** is told of what should not happen */
  report(fault: unknown): void;
}

// Acts that follow one another closely are computed once; the pages that ask meanwhile compute at once.
const GATHER_MS = 60;

/**
 * The schedule of the build, always that of the last act.
 *
 * It is computed from what is committed, when it is first asked for or shortly after an act, and kept until the log
 * or the day has moved on. Once a day, and again when they change on that day, finish and counts are stored.
 */
export class ScheduleService implements JobTimes {
  readonly #parts: ScheduleParts;
  readonly #read: (today: Day) => BuildFacts | null;
  readonly #lastAct: () => number;
  readonly #timeZone: () => string;
  readonly #earlier: (day: Day) => FinishOfDay | null;
  readonly #stopListening: () => void;
  #kept: (Snapshot & { lastAct: number; today: Day }) | null = null;
  /** the minute of the last look, while the same turn of the event loop runs: nothing can have been committed since */
  #looked = -1;
  #soon: NodeJS.Timeout | null = null;
  #stored = '';
  #storing: Promise<void> = Promise.resolve();
  #closed = false;

  constructor(parts: ScheduleParts) {
    this.#parts = parts;
    const { hot } = parts.db;
    this.#read = buildFactsReader(parts.db);
    const lastAct = hot.prepare<[], number | null>('SELECT MAX(id) FROM Act').pluck();
    this.#lastAct = () => lastAct.get() ?? 0;
    const timeZone = hot.prepare<[], string>('SELECT timeZone FROM Build WHERE id = 1').pluck();
    this.#timeZone = () => timeZone.get() ?? 'UTC';
    const earlier = hot.prepare<[Day], FinishOfDay>(
      'SELECT day, finishOn, open, critical, at80On FROM FinishRecord WHERE day <= ? ORDER BY day DESC LIMIT 1',
    );
    this.#earlier = (day) => earlier.get(day) ?? null;
    this.#stopListening = parts.changes.listen(() => {
      this.#soon ??= setTimeout(() => {
        this.#soon = null;
        this.snapshot();
      }, GATHER_MS).unref();
    });
  }

  /** The schedule of this moment; computed if an act or a new day has come since. Never throws. */
  snapshot(): Snapshot {
    const now = this.#parts.clock.now();
    const minute = Math.floor(now.getTime() / 60_000);
    if (this.#looked === minute && this.#kept) return this.#kept;
    this.#looked = minute;
    queueMicrotask(() => {
      this.#looked = -1;
    });
    const today = dayIn(this.#timeZone(), now);
    const lastAct = this.#lastAct();
    if (this.#kept && this.#kept.lastAct === lastAct && this.#kept.today === today) return this.#kept;
    let schedule: Schedule | null = null;
    let trouble: string | null = null;
    try {
      const facts = this.#read(today);
      schedule = facts && scheduleOf(facts);
    } catch (fault) {
      this.#parts.report(fault);
      trouble = 'The schedule could not be computed from what is recorded. It has been written down.';
    }
    this.#kept = { schedule, trouble, lastAct, today };
    if (schedule) this.#store(schedule);
    return this.#kept;
  }

  of(jobId: number): JobTime | null {
    return this.snapshot().schedule?.jobTimes.get(jobId) ?? null;
  }

  ofPart(partId: number): PartTime | null {
    return this.snapshot().schedule?.partTimes.get(partId) ?? null;
  }

  finishOn(): Day | null {
    return this.snapshot().schedule?.finishOn ?? null;
  }

  /** The finish as it was computed a week before today, or last before that; null where none was stored yet. */
  weekAgo(): FinishOfDay | null {
    this.snapshot();
    return this.#earlier(addDays(this.#kept!.today, -7));
  }

  /** Resolves when what was computed is stored. */
  async settled(): Promise<void> {
    await this.#storing;
  }

  /** Ends listening, and waits for what is being stored. */
  async close(): Promise<void> {
    this.#closed = true;
    this.#stopListening();
    if (this.#soon) clearTimeout(this.#soon);
    await this.#storing;
  }

  #store({ facts: { today: day }, finishOn, network, criticalJobs: critical }: Schedule): void {
    if (finishOn === null || this.#closed) return;
    const open = network.openJobs.length;
    const content = JSON.stringify([day, finishOn, open, critical]);
    if (content === this.#stored) return;
    this.#stored = content;
    const { db, clock, report } = this.#parts;
    const at = clock.now();
    this.#storing = this.#storing
      .then(() =>
        db.write.finishRecord.upsert({
          where: { day },
          create: { day, finishOn, open, critical, at },
          update: { finishOn, open, critical, at },
        }),
      )
      .then(
        () => undefined,
        (fault) => {
          this.#stored = '';
          report(fault);
        },
      );
  }
}
