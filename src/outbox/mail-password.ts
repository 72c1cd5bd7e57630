import { randomUUID } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { open, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';

/**
 * The password for the mail server. It stands in a file of the data folder that its owner alone can read, beside the
 * folder's other secrets: never in the database, an export or the log.
 */
export class MailPassword {
  readonly #path: string;

  constructor(dataDir: string) {
    this.#path = join(dataDir, 'mail-password');
  }

  /** Whether one is kept. */
  isKept(): boolean {
    return existsSync(this.#path);
  }

  /** The password; empty when none is kept. */
  read(): string {
    return this.isKept() ? readFileSync(this.#path, 'utf8') : '';
  }

  /** Keeps another, whole or not at all; an empty one removes it. */
  async keep(password: string): Promise<void> {
    if (password === '') return rm(this.#path, { force: true });
    const half = `${this.#path}-${randomUUID()}`;
    const handle = await open(half, 'wx', 0o600);
    try {
      await handle.writeFile(password, 'utf8');
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(half, this.#path);
  }
}
