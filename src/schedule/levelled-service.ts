import type { Workers } from '../platform/workers.ts';
import { type Levelled, levelledOf } from './levelled.ts';
import { levelledQuestion } from './levelled-build.ts';
import type { LevelledEffort, LevelledOutcome } from './levelled-model.ts';
import { levelledModule } from './levelled-search.ts';
import type { Schedule } from './schedule.ts';
import type { ScheduleService } from './service.ts';

/** What one plan may cost: whichever is used up first. A small build is done long before, and always the same. */
export const LEVELLED_EFFORT: LevelledEffort = { seed: 1, schedules: 8000, seconds: 1 };
const SECONDS = 60;

/** A levelled plan, and whether it is of the schedule as it is now. */
export interface LevelledTold {
  /** null before the first is there, or where there is no schedule */
  levelled: Levelled | null;
  isCurrent: boolean;
  /** whether it could not be made: it has been written down */
  hasFailed: boolean;
}

/**
 * The levelled plan of the build, searched in a thread when a page asks and kept while the schedule stays the same. Until
 * the new one is there the former one is told, as such.
 */
export class LevelledService {
  readonly #schedules: ScheduleService;
  readonly #workers: Workers;
  readonly #report: (fault: unknown) => void;
  #running: { of: Schedule; work: Promise<void>; giveUp: AbortController } | null = null;
  #levelled: Levelled | null = null;
  /** the schedule that could not be levelled: the same again would fail again */
  #failed: Schedule | null = null;

  /** @param report  is told of what should not happen */
  constructor(schedules: ScheduleService, workers: Workers, report: (fault: unknown) => void) {
    this.#schedules = schedules;
    this.#workers = workers;
    this.#report = report;
  }

  /** What is known after waiting a little for what is being searched. Never throws. */
  async within(milliseconds: number): Promise<LevelledTold> {
    const { schedule } = this.#schedules.snapshot();
    if (!schedule) return { levelled: null, isCurrent: false, hasFailed: false };
    const work = this.#begin(schedule);
    let timer: NodeJS.Timeout | undefined;
    const enough = new Promise<void>((resolve) => {
      timer = setTimeout(resolve, milliseconds);
    });
    await Promise.race([work, enough]);
    clearTimeout(timer);
    const levelled = this.#levelled;
    const isCurrent = levelled?.question.schedule === schedule;
    return { levelled, isCurrent, hasFailed: this.#failed === schedule };
  }

  #begin(schedule: Schedule): Promise<void> {
    if (this.#running?.of === schedule) return this.#running.work;
    this.#running?.giveUp.abort(new Error('the build has changed'));
    const giveUp = new AbortController();
    const work = this.#find(schedule, giveUp.signal).catch((fault: unknown) => {
      if (giveUp.signal.aborted) return;
      this.#failed = schedule;
      this.#report(fault);
    });
    this.#running = { of: schedule, work, giveUp };
    return work;
  }

  async #find(schedule: Schedule, signal: AbortSignal): Promise<void> {
    const question = levelledQuestion(schedule, LEVELLED_EFFORT);
    const outcome = await this.#workers.run<LevelledOutcome>({
      module: levelledModule,
      name: 'levelBuildNow',
      input: question.model,
      seconds: SECONDS,
      goesOn: true,
      signal,
    });
    signal.throwIfAborted();
    this.#levelled = levelledOf(question, outcome);
  }
}
