import { type Act, type Actor, type ActsContext, perform } from '../src/platform/acts.ts';
import { addDays, type Day, dayIn } from '../src/platform/day.ts';

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
/** Between two acts of one hour. */
const STEP_MS = 20_000;

interface Step {
  day: number;
  hour: number;
  run(): Promise<void>;
}

/** When, on a day of the story, things are done (hours UTC): what others wait for comes first. */
export const HOURS = {
  setUp: 5,
  plan: 6,
  release: 7,
  offer: 8,
  post: 9,
  shop: 11,
  claim: 13,
  work: 15,
  send: 17,
  late: 18,
};

/**
 * The acts of the story in the order of their days, and the clock that goes from one to the next.
 *
 * Day 0 is the day of loading in the build's zone. Acts of one day and hour follow one another as they were added.
 */
export class Timeline {
  readonly #steps: Step[] = [];
  readonly #dayZero: Day;
  #now: Date;

  constructor(loadedAt: Date, timeZone: string) {
    this.#dayZero = dayIn(timeZone, loadedAt);
    this.#now = this.#moment(-366, 0);
  }

  /** the clock that the acts are done by */
  readonly clock = { now: () => this.#now };

  /** The calendar day of a day of the story. */
  day(day: number): Day {
    return addDays(this.#dayZero, day);
  }

  /** Adds what is done on a day at an hour, in whatever order the story tells it. */
  add(day: number, hour: number, run: () => Promise<void>): void {
    if (day < -366 || day >= 0) throw new Error(`day ${day} is not in the year before the loading`);
    this.#steps.push({ day, hour, run });
  }

  /** Does everything. @param passed  is told of each new day before its first act */
  async run(passed: (day: number) => Promise<void>): Promise<void> {
    // Array.sort keeps what is equal in its order.
    const steps = [...this.#steps].sort((a, b) => a.day - b.day || a.hour - b.hour);
    let today = -366;
    for (const step of steps) {
      while (today < step.day) {
        today += 1;
        this.#now = this.#moment(today, 4);
        await passed(today);
      }
      const next = this.#moment(step.day, step.hour).getTime();
      this.#now = new Date(Math.max(next, this.#now.getTime() + STEP_MS));
      await step.run();
    }
  }

  #moment(day: number, hour: number): Date {
    return new Date(Date.parse(`${this.#dayZero}T00:00:00Z`) + day * DAY_MS + hour * HOUR_MS);
  }
}

/** Does one act and gives its result; nothing in the story is sent twice. */
export async function done<T>(
  context: ActsContext,
  actor: Actor,
  work: (act: Act) => Promise<T>,
): Promise<T> {
  const outcome = await perform(context, { actor }, work);
  if (outcome.repeated) throw new Error('an act without a form is never a repeated one');
  return outcome.result;
}
