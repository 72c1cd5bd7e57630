import type { Changes } from '../platform/acts.ts';
import type { Clock } from '../platform/clock.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type { Workers } from '../platform/workers.ts';
import {
  helpQuestions,
  type OtherPlan,
  type Outlook,
  otherPlans,
  outlookOf,
  questionsOf,
  withHelps,
  withOtherPlans,
} from './outlook.ts';
import type { Schedule } from './schedule.ts';
import type { ScheduleService } from './service.ts';
import { type BuildModel, type BuildOutcome, simulateModule } from './simulate.ts';

export interface OutlookParts {
  schedules: ScheduleService;
  db: Database;
  clock: Clock;
  changes: Changes;
  workers: Workers;
  /** is told of what should not happen */
  report(fault: unknown): void;
}

/** An outlook, and whether a newer one is on its way. */
export interface Told {
  /** null before the first is there, or where there is no schedule */
  outlook: Outlook | null;
  /** whether it is of the schedule as it is now, with everything in it */
  isCurrent: boolean;
}

// Acts that follow one another closely are simulated once.
const GATHER_MS = 400;
const SECONDS = 60;

/**
 * What the simulation says of the build, in threads of its own: pages never wait on it for long.
 *
 * It is begun shortly after an act, or when a page asks; what is being simulated when the next act comes is given up
 * and begun anew. Until the new outlook is there the former one is told, as such.
 */
export class OutlookService {
  readonly #parts: OutlookParts;
  readonly #stopListening: () => void;
  readonly #listeners = new Set<() => void>();
  #soon: NodeJS.Timeout | null = null;
  #told: Told = { outlook: null, isCurrent: false };
  #running: { of: Schedule; work: Promise<void>; giveUp: AbortController } | null = null;
  #stored = '';
  #closed = false;

  constructor(parts: OutlookParts) {
    this.#parts = parts;
    this.#stopListening = parts.changes.listen(() => this.soon());
  }

  /** Calls the listener when an outlook is there that was not before; the reply ends that. A listener must not throw. */
  listen(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Begins to find out in a moment, unless something is asked again until then. */
  soon(): void {
    if (this.#soon) clearTimeout(this.#soon);
    this.#soon = setTimeout(() => {
      this.#soon = null;
      void this.#begin();
    }, GATHER_MS).unref();
  }

  /** What is known already; nothing is begun for it. Never throws. */
  known(): Told {
    const { outlook, isCurrent } = this.#told;
    const { schedule } = this.#parts.schedules.snapshot();
    return { outlook: schedule ? outlook : null, isCurrent: isCurrent && outlook?.schedule === schedule };
  }

  /** What is known now; begins to find out where that is not of the schedule as it is. Never throws. */
  now(): Told {
    void this.#begin();
    return this.known();
  }

  /** The same, after waiting a little for what is being found out. */
  async within(milliseconds: number): Promise<Told> {
    const work = this.#begin();
    let timer: NodeJS.Timeout | undefined;
    const enough = new Promise<void>((resolve) => {
      timer = setTimeout(resolve, milliseconds);
    });
    await Promise.race([work, enough]);
    clearTimeout(timer);
    return this.now();
  }

  /** Simulates other networks, for a comparison with the present one: one outcome for each model. */
  async simulate(models: readonly BuildModel[]): Promise<BuildOutcome[]> {
    const outcomes: BuildOutcome[] = [];
    for (const model of models) outcomes.push(await this.#simulate(model));
    return outcomes;
  }

  /** Resolves when the outlook is that of the schedule as it is now, and stored. */
  async settled(): Promise<void> {
    await this.#begin();
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#stopListening();
    if (this.#soon) clearTimeout(this.#soon);
    const running = this.#running;
    running?.giveUp.abort(new Error('the program is closing'));
    await running?.work;
    await this.#parts.workers.close();
  }

  #begin(): Promise<void> {
    const { schedule } = this.#parts.schedules.snapshot();
    if (!schedule || this.#closed) return Promise.resolve();
    if (this.#running?.of === schedule) return this.#running.work;
    this.#running?.giveUp.abort(new Error('the build has changed'));
    const giveUp = new AbortController();
    const work = this.#find(schedule, giveUp.signal).catch((fault: unknown) => {
      if (!giveUp.signal.aborted) this.#parts.report(fault);
    });
    this.#running = { of: schedule, work, giveUp };
    return work;
  }

  async #find(schedule: Schedule, signal: AbortSignal): Promise<void> {
    const questions = questionsOf(schedule);
    let outlook = outlookOf(questions, await this.#simulate(questions.model, signal));
    signal.throwIfAborted();
    this.#told = { outlook, isCurrent: false };
    const more = helpQuestions(outlook);
    if (more) outlook = withHelps(outlook, more, await this.#simulate(more.model, signal));
    const others: { plan: OtherPlan; outcome: BuildOutcome }[] = [];
    for (const plan of otherPlans(outlook)) {
      others.push({ plan, outcome: await this.#simulate(plan.model, signal) });
      signal.throwIfAborted();
    }
    if (more) outlook = withOtherPlans(outlook, others);
    signal.throwIfAborted();
    this.#told = { outlook, isCurrent: true };
    for (const listener of this.#listeners) listener();
    await this.#store(outlook);
  }

  #simulate(input: BuildModel, signal?: AbortSignal): Promise<BuildOutcome> {
    return this.#parts.workers.run<BuildOutcome>({
      module: simulateModule,
      name: 'simulateBuild',
      input,
      seconds: SECONDS,
      goesOn: true,
      ...(signal ? { signal } : {}),
    });
  }

  /** The finish of the day, beside the plan's own: for what it was a week ago, and for the line over the weeks. */
  async #store({ schedule, finish }: Outlook): Promise<void> {
    const { finishOn, facts, network, criticalJobs: critical } = schedule;
    if (!finish || finishOn === null || this.#closed) return;
    const day: Day = facts.today;
    const at = { at50On: finish.at50, at80On: finish.at80, at95On: finish.at95 };
    const content = JSON.stringify([day, at]);
    if (content === this.#stored) return;
    await this.#parts.db.write.finishRecord.upsert({
      where: { day },
      create: { day, finishOn, open: network.openJobs.length, critical, at: this.#parts.clock.now(), ...at },
      update: at,
    });
    this.#stored = content;
  }
}
