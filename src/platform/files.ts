import { createHash, randomUUID } from 'node:crypto';
import {
  createReadStream,
  createWriteStream,
  mkdirSync,
  type ReadStream,
  readdirSync,
  rmSync,
} from 'node:fs';
import { open, rename, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type Readable, Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';

/** A file that has been received whole and is not yet kept. */
export interface ReceivedFile {
  sha256: string;
  bytes: number;
  /** the first 64 KiB, to tell its kind by content */
  head: Buffer;
  /** where it lies until it is kept */
  path: string;
  /** Moves it among the kept files. Safe to call for content that is there already. */
  keep(): Promise<void>;
  /** Removes it if it was not kept. */
  discard(): Promise<void>;
}

export class TooLarge extends Error {
  constructor(readonly limitBytes: number) {
    super(`larger than ${Math.round(limitBytes / 1024 / 1024)} MB`);
    this.name = 'TooLarge';
  }
}

const HEAD_BYTES = 65_536;

/** Files by the SHA-256 of their content: written once, never overwritten. */
export class FileStore {
  #kept: string;
  #incoming: string;

  constructor(dataDir: string) {
    this.#kept = join(dataDir, 'files');
    this.#incoming = join(dataDir, 'files', 'incoming');
    mkdirSync(this.#incoming, { recursive: true });
    // What a killed process was still receiving belongs to nobody.
    for (const left of readdirSync(this.#incoming)) rmSync(join(this.#incoming, left), { force: true });
  }

  /**
   * Streams a file to disk, hashing on the way: memory use does not grow with its size.
   *
   * @throws TooLarge  beyond limitBytes, or when the source says it was cut off; nothing is left behind
   */
  async receive(source: Readable & { truncated?: boolean }, limitBytes: number): Promise<ReceivedFile> {
    const path = join(this.#incoming, randomUUID());
    const hash = createHash('sha256');
    const head: Buffer[] = [];
    let headBytes = 0;
    let bytes = 0;
    const measure = new Transform({
      transform(chunk: Buffer, _encoding, done) {
        bytes += chunk.length;
        if (bytes > limitBytes) return done(new TooLarge(limitBytes));
        hash.update(chunk);
        if (headBytes < HEAD_BYTES) {
          const piece = Buffer.from(chunk.subarray(0, HEAD_BYTES - headBytes));
          head.push(piece);
          headBytes += piece.length;
        }
        done(null, chunk);
      },
    });
    try {
      await pipeline(source, measure, createWriteStream(path, { flags: 'wx' }));
      if (source.truncated) throw new TooLarge(limitBytes);
      await sync(path);
    } catch (fault) {
      await rm(path, { force: true });
      throw fault;
    }
    const sha256 = hash.digest('hex');
    return {
      sha256,
      bytes,
      head: Buffer.concat(head),
      path,
      keep: () => this.#keep(path, sha256),
      discard: () => rm(path, { force: true }),
    };
  }

  /** Keeps bytes that are in memory already (a picture made smaller). Gives their SHA-256. */
  async keepBytes(content: Buffer): Promise<string> {
    const sha256 = createHash('sha256').update(content).digest('hex');
    const path = join(this.#incoming, randomUUID());
    await writeFile(path, content, { flag: 'wx' });
    await sync(path);
    await this.#keep(path, sha256);
    return sha256;
  }

  /** A kept file's place on disk. */
  pathOf(sha256: string): string {
    if (!/^[0-9a-f]{64}$/.test(sha256)) throw new Error(`not a SHA-256: ${sha256}`);
    return join(this.#kept, sha256.slice(0, 2), sha256);
  }

  /** A kept file's content as a stream. */
  read(sha256: string): ReadStream {
    return createReadStream(this.pathOf(sha256));
  }

  async #keep(path: string, sha256: string): Promise<void> {
    const target = this.pathOf(sha256);
    mkdirSync(join(this.#kept, sha256.slice(0, 2)), { recursive: true });
    const there = await stat(target).then(
      () => true,
      () => false,
    );
    if (there) return rm(path, { force: true });
    await rename(path, target);
    await sync(join(this.#kept, sha256.slice(0, 2)));
  }
}

/** Puts a file or folder on the disk for good: a row that names a file must never outlive it. */
async function sync(path: string): Promise<void> {
  const handle = await open(path, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}
