import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { NotComputable } from './not-computable.ts';
import { projectRoot } from './project-root.ts';

/** One computation: a pure function of a module, and what it is given. */
export interface Work {
  /** the module's own address, its `import.meta.url` */
  module: string;
  /** the function it exports; takes one value, and both it and the result can be posted (structured clone) */
  name: string;
  input: unknown;
  /** how long it may run */
  seconds: number;
  /** goes on with work that has been taken up already: it may wait for its turn even where the queue is full */
  goesOn?: boolean;
  /** gives the work up: nobody waits for it any more */
  signal?: AbortSignal;
}

/** All threads are taken and the queue is full: ask again later. */
export class WorkersBusy extends Error {
  readonly retryAfterSeconds = 5;
}

/** The work ran into its limit of time or memory: asking again gives the same. */
export class TooMuchWork extends Error {}

interface Waiting {
  work: Work;
  resolve(result: unknown): void;
  reject(fault: unknown): void;
}

interface Thread {
  worker: Worker;
  running: Waiting | null;
  timer: NodeJS.Timeout | null;
}

interface Told {
  result?: unknown;
  fault?: { name: string; message: string; stack?: string; detail?: Record<string, unknown> };
}

const IDLE_MS = 30_000;
const threadFile = join(projectRoot, 'src', 'platform', 'worker-thread.mjs');

/**
 * A few threads for computations that would hold up every page. Threads start when they are needed and end when they
 * have been idle for half a minute, so that a large computation does not keep its memory.
 *
 * A module that Node.js cannot load by itself, one in TypeScript, runs in the caller's thread, without limits: so it is
 * in the tests, which run the sources. What is built runs in threads.
 */
export class Workers {
  readonly #threads = new Set<Thread>();
  readonly #queue: Waiting[] = [];
  readonly #most: { threads: number; waiting: number; megabytes: number };

  /**
   * @param most.threads    how many run at a time
   * @param most.waiting    how many more may wait for their turn
   * @param most.megabytes  of memory for each thread
   */
  constructor(most: { threads?: number; waiting?: number; megabytes?: number } = {}) {
    this.#most = { threads: 2, waiting: 8, megabytes: 1024, ...most };
  }

  /**
   * Runs a function in a thread.
   *
   * @throws WorkersBusy at once, TooMuchWork, whatever the function throws (NotComputable keeps its kind and detail),
   *         the signal's reason
   */
  async run<T>(work: Work): Promise<T> {
    work.signal?.throwIfAborted();
    if (work.module.endsWith('.ts')) {
      const loaded = (await import(/* @vite-ignore */ work.module)) as Record<string, (input: unknown) => T>;
      return loaded[work.name]!(work.input);
    }
    return new Promise<T>((resolve, reject) => {
      const waiting: Waiting = { work, resolve: (result) => resolve(result as T), reject };
      const thread = this.#freeThread();
      if (thread) this.#start(thread, waiting);
      else if (this.#queue.length >= this.#most.waiting && !work.goesOn) {
        return reject(new WorkersBusy('every thread is taken and the queue is full'));
      } else this.#queue.push(waiting);
      work.signal?.addEventListener('abort', () => this.#giveUp(waiting), { once: true });
    });
  }

  /** Ends all threads; what still runs or waits is rejected. */
  async close(): Promise<void> {
    const ended = new Error('the program is closing');
    for (const { reject } of this.#queue.splice(0)) reject(ended);
    await Promise.all([...this.#threads].map((thread) => this.#end(thread, ended)));
  }

  #freeThread(): Thread | null {
    for (const thread of this.#threads) if (!thread.running) return thread;
    if (this.#threads.size >= this.#most.threads) return null;
    const worker = new Worker(threadFile, {
      resourceLimits: { maxOldGenerationSizeMb: this.#most.megabytes },
    });
    const thread: Thread = { worker, running: null, timer: null };
    worker.unref();
    worker.on('message', (told: Told) => this.#finish(thread, told));
    worker.on('error', (fault: NodeJS.ErrnoException) => {
      const outOfMemory = fault.code === 'ERR_WORKER_OUT_OF_MEMORY';
      void this.#end(
        thread,
        outOfMemory ? new TooMuchWork('this needs more memory than it may have') : fault,
      );
    });
    this.#threads.add(thread);
    return thread;
  }

  #start(thread: Thread, waiting: Waiting): void {
    const { module, name, input, seconds } = waiting.work;
    if (thread.timer) clearTimeout(thread.timer);
    thread.running = waiting;
    thread.worker.ref();
    thread.timer = setTimeout(
      () => void this.#end(thread, new TooMuchWork(`this takes longer than ${seconds} seconds`)),
      seconds * 1000,
    );
    thread.worker.postMessage({ module, name, input });
  }

  #finish(thread: Thread, { result, fault }: Told): void {
    const { running } = thread;
    if (thread.timer) clearTimeout(thread.timer);
    thread.running = null;
    thread.worker.unref();
    const next = this.#queue.shift();
    if (next) this.#start(thread, next);
    else {
      thread.timer = setTimeout(() => void this.#end(thread, null), IDLE_MS);
      thread.timer.unref();
    }
    if (fault) running?.reject(rebuilt(fault));
    else running?.resolve(result);
  }

  /** Takes a thread away with what it runs, and lets another take up what waits. */
  async #end(thread: Thread, fault: unknown): Promise<void> {
    if (!this.#threads.delete(thread)) return;
    if (thread.timer) clearTimeout(thread.timer);
    thread.running?.reject(fault);
    const next = this.#queue.shift();
    const free = next && this.#freeThread();
    if (free) this.#start(free, next);
    await thread.worker.terminate();
  }

  #giveUp(waiting: Waiting): void {
    const { reason } = waiting.work.signal!;
    const at = this.#queue.indexOf(waiting);
    if (at >= 0) {
      this.#queue.splice(at, 1);
      waiting.reject(reason);
    } else {
      for (const thread of this.#threads) if (thread.running === waiting) void this.#end(thread, reason);
    }
  }
}

function rebuilt({ name, message, stack, detail }: NonNullable<Told['fault']>): Error {
  if (name === 'NotComputable') return new NotComputable(message, detail);
  return Object.assign(new Error(message), { name, stack });
}
