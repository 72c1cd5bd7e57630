/** Turns that come one after another: when there is something to do, when it is asked for, and at the latest after a while. */
export interface LoopParts {
  /** one turn; gives the moment of the next that is known of, or null */
  turn(): Promise<Date | null>;
  now(): Date;
  /** is told of what should not happen; the loop goes on */
  report(fault: unknown): void;
}

const GATHER_MS = 100;
/** Another process may have left something to do. */
const LONGEST_MS = 60_000;

/** Does its turns until it is closed. A fault ends a turn, never the loop. */
export class Loop {
  readonly #parts: LoopParts;
  #timer: NodeJS.Timeout | null = null;
  /** the timer is set for a turn that was asked for: asking again must not put it off */
  #soon = false;
  #work: Promise<void> | null = null;
  #again = false;
  #running = false;

  constructor(parts: LoopParts) {
    this.#parts = parts;
  }

  start(): void {
    this.#running = true;
    this.wake();
  }

  /** Soon there is a turn; several calls close together make one. */
  wake(): void {
    if (!this.#running) return;
    if (this.#work) this.#again = true;
    else if (!this.#soon) this.#after(GATHER_MS, true);
  }

  /** Ends after the turn under way. */
  async close(): Promise<void> {
    this.#running = false;
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = null;
    await this.#work;
  }

  #after(ms: number, soon: boolean): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#soon = soon;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#soon = false;
      this.#begin();
    }, ms);
    this.#timer.unref();
  }

  #begin(): void {
    const { turn, now, report } = this.#parts;
    let next: Date | null = null;
    // Begun only once it is known to be under way: a turn may ask for the next one at its first step.
    this.#work = Promise.resolve()
      .then(turn)
      .then((moment) => {
        next = moment;
      })
      .catch((fault: unknown) => {
        if (this.#running) report(fault);
      })
      .finally(() => {
        this.#work = null;
        if (!this.#running) return;
        const wait = next ? next.getTime() - now().getTime() : LONGEST_MS;
        const again = this.#again;
        this.#again = false;
        this.#after(again ? GATHER_MS : Math.min(LONGEST_MS, Math.max(GATHER_MS, wait)), again);
      });
  }
}
