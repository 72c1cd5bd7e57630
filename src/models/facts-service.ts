import { randomUUID } from 'node:crypto';
import { mkdirSync, readdirSync, rmSync } from 'node:fs';
import { readFile, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Context } from '../platform/context.ts';
import { isReadable, READER_VERSION, type Shape, Unreadable } from './facts.ts';
import type { FileReader } from './reader.ts';
import { shapeFrom } from './shape-file.ts';
import { askAnew, type KnownFacts, keepFacts, nextWaiting, type WaitingFile } from './store.ts';

/** Shapes of larger files are made when they are asked for. */
const AHEAD_BYTES = 4 * 1024 * 1024;
/** Acts that follow one another closely are looked at once. */
const GATHER_MS = 100;

export interface FactsParts {
  context: Pick<Context, 'db' | 'clock' | 'changes' | 'files' | 'settings'>;
  reader: FileReader;
  /** is told of what should not happen */
  report(fault: unknown): void;
}

/**
 * Reads kept files one after another in the background: after the act that kept them has committed, and after a start
 * those that still wait. Listeners are told when facts have come.
 */
export class FileFactsService {
  readonly #parts: FactsParts;
  readonly #derived: string;
  readonly #listeners = new Set<() => void>();
  readonly #shapes = new Map<string, Promise<string>>();
  #stopListening: (() => void) | null = null;
  #soon: NodeJS.Timeout | null = null;
  #work: Promise<void> | null = null;
  #again = false;
  #isTidy = false;
  #closed = false;

  constructor(parts: FactsParts) {
    this.#parts = parts;
    this.#derived = join(parts.context.settings.dataDir, 'files', 'derived');
  }

  /** Calls the listener whenever facts have come; the reply ends that. */
  listen(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** From now on files are read as they come; those that wait are read now. */
  async start(): Promise<void> {
    const { context } = this.#parts;
    this.#stopListening ??= context.changes.listen((entries) => {
      if (entries.some(({ kind }) => kind === 'add-document')) this.#wake();
    });
    await askAnew(context.db);
    this.#wake();
  }

  /** Resolves when nothing waits to be read. */
  async settled(): Promise<void> {
    if (this.#soon) {
      clearTimeout(this.#soon);
      this.#soon = null;
      this.#begin();
    }
    while (this.#work) await this.#work;
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#stopListening?.();
    if (this.#soon) clearTimeout(this.#soon);
    await this.#parts.reader.close();
    await this.#work;
  }

  /**
   * Where the triangles or contours of a kept file lie as bytes (shapeFrom reads them): made when first asked for.
   *
   * @throws Unreadable  for a kind without a shape too
   */
  async shapePath({ sha256, fileKind }: WaitingFile): Promise<string> {
    if (fileKind !== 'step' && fileKind !== 'stl' && fileKind !== 'dxf') {
      throw new Unreadable('This kind of file has no shape.');
    }
    const path = join(this.#derived, `${sha256}-${READER_VERSION}`);
    if (await stat(path).catch(() => null)) return path;
    let making = this.#shapes.get(sha256);
    if (!making) {
      making = this.#makeShape(sha256, fileKind, path).finally(() => this.#shapes.delete(sha256));
      this.#shapes.set(sha256, making);
    }
    return making;
  }

  /** The triangles or contours of a kept file. @throws as shapePath */
  async shape(file: WaitingFile): Promise<Shape> {
    return shapeFrom(await readFile(await this.shapePath(file)));
  }

  async #makeShape(sha256: string, kind: 'step' | 'stl' | 'dxf', path: string): Promise<string> {
    const { context, reader } = this.#parts;
    this.#tidy();
    const half = join(this.#derived, `half-${randomUUID()}`);
    try {
      await reader.shape(context.files.pathOf(sha256), kind, half);
      await rename(half, path);
    } finally {
      await rm(half, { force: true });
    }
    return path;
  }

  /** Makes the folder; takes out what earlier readers made and what a killed process left half done. */
  #tidy(): void {
    mkdirSync(this.#derived, { recursive: true });
    // Once: what is half done later is being made, a picture or another shape.
    if (this.#isTidy) return;
    this.#isTidy = true;
    for (const name of readdirSync(this.#derived)) {
      if (!name.endsWith(`-${READER_VERSION}`)) rmSync(join(this.#derived, name), { force: true });
    }
  }

  #wake(): void {
    if (this.#closed) return;
    this.#soon ??= setTimeout(() => {
      this.#soon = null;
      this.#begin();
    }, GATHER_MS);
  }

  #begin(): void {
    if (this.#work) {
      this.#again = true;
      return;
    }
    this.#work = this.#readAll()
      .catch((fault: unknown) => {
        if (!this.#closed) this.#parts.report(fault);
      })
      .finally(() => {
        this.#work = null;
        if (this.#again && !this.#closed) {
          this.#again = false;
          this.#begin();
        }
      });
  }

  async #readAll(): Promise<void> {
    const { context } = this.#parts;
    for (;;) {
      const file = this.#closed ? null : await nextWaiting(context.db);
      if (!file) return;
      const found = await this.#read(file);
      if (!found) return;
      await keepFacts(context.db, file.sha256, found, context.clock.now());
      for (const listener of this.#listeners) listener();
      if (found.state === 'read') await this.#shapeAhead(file);
    }
  }

  /** Makes the shape of a file that is not large while the process is warm: whoever looks at it first need not wait. */
  async #shapeAhead(file: WaitingFile): Promise<void> {
    const { context, report } = this.#parts;
    if (!['step', 'stl', 'dxf'].includes(file.fileKind)) return;
    try {
      const { size } = await stat(context.files.pathOf(file.sha256));
      if (size <= AHEAD_BYTES) await this.shapePath(file);
    } catch (fault) {
      // Asked for again, it is told to who asks.
      if (!(fault instanceof Unreadable) && !this.#closed) report(fault);
    }
  }

  /** What came of a file; null when the program closes meanwhile. */
  async #read({ sha256, fileKind }: WaitingFile): Promise<Exclude<KnownFacts, { state: 'waiting' }> | null> {
    const { context, reader, report } = this.#parts;
    try {
      if (!isReadable(fileKind)) throw new Unreadable('There are no facts to this kind of file.');
      return {
        state: 'read',
        facts: await reader.facts(context.files.pathOf(sha256), fileKind, { goesOn: true }),
      };
    } catch (fault) {
      if (this.#closed) return null;
      if (fault instanceof Unreadable) return { state: 'unreadable', sentence: fault.message };
      report(fault);
      return { state: 'unreadable', sentence: 'It could not be read, through a fault of this program.' };
    }
  }
}
