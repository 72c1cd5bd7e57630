import { type ChildProcess, fork } from 'node:child_process';
import { stat } from 'node:fs/promises';
import { WorkersBusy } from '../platform/workers.ts';
import { type FileFacts, type ReadableKind, Unreadable } from './facts.ts';

/** What the reader's process is asked. */
export interface ReaderTask {
  path: string;
  kind: ReadableKind;
  /** where to write the shape; null: facts are wanted */
  shapeTo: string | null;
}

/** What it answers; `fault` is one of ours, not of the file. */
export interface ReaderAnswer {
  facts?: FileFacts;
  unreadable?: string;
  fault?: string;
}

interface Told extends ReaderAnswer {
  bytesHeld: number;
}

export interface ReaderLimits {
  /** of processor time for a file */
  processorSeconds: number;
  /** from taking it up to its facts, however busy the machine is */
  seconds: number;
  /** of memory, all kinds together */
  megabytes: number;
  /** how many may wait for their turn */
  waiting: number;
}

interface Waiting {
  task: ReaderTask;
  bytes: number;
  resolve(answer: ReaderAnswer): void;
  reject(fault: unknown): void;
}

const ordinary: ReaderLimits = { processorSeconds: 20, seconds: 60, megabytes: 1024, waiting: 6 };

/** After a file larger than this, or once it holds more than this, the process is ended, and its memory with it. */
const LARGE_FILE_BYTES = 2 * 1024 * 1024;
const LARGE_PROCESS_BYTES = 320 * 1024 * 1024;
const IDLE_MS = 20_000;

/**
 * Reads files in a process of its own, one at a time: no file holds up a page, and one that makes the process crash,
 * run on or fill the memory is told as unreadable. The process is started when it is needed, reused for small files
 * and ended after a large one or when there is nothing to do.
 */
export class FileReader {
  readonly #limits: ReaderLimits;
  readonly #entry: string;
  readonly #queue: Waiting[] = [];
  #child: ChildProcess | null = null;
  #running: Waiting | null = null;
  #timer: NodeJS.Timeout | null = null;
  #lastWords = '';
  #closed = false;

  /** @param entry  the module that the process runs: in tests, one that behaves worse */
  constructor(limits: Partial<ReaderLimits> = {}, entry: string = ownEntry()) {
    this.#limits = { ...ordinary, ...limits };
    this.#entry = entry;
  }

  /** The process at work, or waiting for work; null when there is none. */
  get processId(): number | null {
    return this.#child?.pid ?? null;
  }

  /**
   * Facts of a file.
   *
   * @param goesOn  it may wait for its turn even where the queue is full
   * @throws Unreadable with a sentence, WorkersBusy, Error when the program is closing or at fault
   */
  async facts(path: string, kind: ReadableKind, { goesOn = false } = {}): Promise<FileFacts> {
    const { facts } = await this.#ask({ path, kind, shapeTo: null }, goesOn);
    if (!facts) throw new Error('the reader gave no facts');
    return facts;
  }

  /** Writes triangles or contours of a file to another one, as shapeBytes has them. @throws as facts does */
  async shape(path: string, kind: 'step' | 'stl' | 'dxf', to: string): Promise<void> {
    await this.#ask({ path, kind, shapeTo: to }, true);
  }

  /** Ends the process; what is being read or waits is rejected. */
  async close(): Promise<void> {
    this.#closed = true;
    for (const { reject } of this.#queue.splice(0)) reject(closing());
    this.#finish(null, closing());
    await this.#end();
  }

  async #ask(task: ReaderTask, goesOn: boolean): Promise<ReaderAnswer> {
    const { size } = await stat(task.path);
    if (this.#closed) throw closing();
    if (this.#running && this.#queue.length >= this.#limits.waiting && !goesOn) {
      throw new WorkersBusy('files are being read and the queue is full');
    }
    const answer = await new Promise<ReaderAnswer>((resolve, reject) => {
      this.#queue.push({ task, bytes: size, resolve, reject });
      this.#next();
    });
    if (answer.unreadable !== undefined) throw new Unreadable(answer.unreadable);
    if (answer.fault !== undefined) throw new Error(`the reader is at fault: ${answer.fault}`);
    return answer;
  }

  #next(): void {
    if (this.#running || this.#closed) return;
    const waiting = this.#queue.shift();
    if (this.#timer) clearTimeout(this.#timer);
    if (!waiting) {
      this.#timer = setTimeout(() => void this.#end(), IDLE_MS).unref();
      return;
    }
    this.#running = waiting;
    const child = this.#child ?? this.#start();
    const { seconds } = this.#limits;
    this.#timer = setTimeout(() => {
      this.#finish({
        unreadable: tooLong(seconds),
      });
      void this.#end().then(() => this.#next());
    }, seconds * 1000);
    child.send(waiting.task, (fault) => {
      // Gone between two files: the exit tells of it.
      if (fault) child.kill('SIGKILL');
    });
  }

  #start(): ChildProcess {
    const { megabytes, processorSeconds } = this.#limits;
    const child = fork(this.#entry, [String(megabytes), String(processorSeconds)], {
      execArgv: [`--max-old-space-size=${Math.round(megabytes * 0.75)}`],
      // Nothing of the server's own settings; what lets it run our sources stays.
      env: process.env.NODE_OPTIONS ? { NODE_OPTIONS: process.env.NODE_OPTIONS } : {},
      stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
    });
    this.#child = child;
    this.#lastWords = '';
    child.stderr?.on('data', (text: Buffer) => {
      this.#lastWords = (this.#lastWords + text.toString('latin1')).slice(-4000);
    });
    child.on('message', (told: Told) => {
      const large = told.bytesHeld > LARGE_PROCESS_BYTES || (this.#running?.bytes ?? 0) > LARGE_FILE_BYTES;
      const { bytesHeld: _held, ...answer } = told;
      if (!large) {
        this.#finish(answer);
        return this.#next();
      }
      // Not before it is gone is the memory back.
      void this.#end().then(() => {
        this.#finish(answer);
        this.#next();
      });
    });
    child.on('error', (fault) => this.#gone(child, fault));
    // `close`, not `exit`: its last words are in by then.
    child.on('close', () => this.#gone(child, null));
    return child;
  }

  /** The process has ended without being told to. */
  #gone(child: ChildProcess, fault: Error | null): void {
    if (this.#child !== child) return;
    this.#child = null;
    if (fault) this.#finish(null, fault);
    else this.#finish({ unreadable: this.#whyGone() });
    this.#next();
  }

  #whyGone(): string {
    if (/out of memory/i.test(this.#lastWords)) {
      return 'It takes more memory to read than a file may: this file is too much here.';
    }
    if (this.#lastWords.includes('farwright: out of time')) return tooLong(this.#limits.processorSeconds);
    return 'The file breaks what reads it: it is damaged, or of a kind not met before.';
  }

  #finish(answer: ReaderAnswer | null, fault?: unknown): void {
    const running = this.#running;
    this.#running = null;
    if (this.#timer) clearTimeout(this.#timer);
    if (answer) running?.resolve(answer);
    else running?.reject(fault);
  }

  /** Takes the process away and waits until it is gone. */
  async #end(): Promise<void> {
    const child = this.#child;
    this.#child = null;
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    const gone = new Promise<void>((resolve) => void child.once('exit', () => resolve()));
    child.kill('SIGKILL');
    await gone;
  }
}

const tooLong = (seconds: number) =>
  `It takes longer to read than ${seconds} ${seconds === 1 ? 'second' : 'seconds'}: this file is too much here.`;

const closing = () => new Error('the program is closing');

/** The process's module beside this one, compiled or not as this one is. */
function ownEntry(): string {
  const ending = import.meta.url.endsWith('.ts') ? 'ts' : 'js';
  return new URL(`./reader-process.${ending}`, import.meta.url).pathname;
}
