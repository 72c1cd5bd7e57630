import { randomUUID } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { open, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';

/** Whom a password is for. */
export interface Login {
  host: string;
  port: number;
  secure: string;
  user: string;
}

/**
 * The password for the mail server. It stands in a file of the data folder that its owner alone can read, beside the
 * folder's other secrets: never in the database, an export or the log.
 *
 * The file names the server and user that the password is for. Settings and file are not written in one step: whatever
 * ends between the two, no other server is told this password.
 */
export class MailPassword {
  readonly #path: string;

  constructor(dataDir: string) {
    this.#path = join(dataDir, 'mail-password');
  }

  /** Whether one is kept for this server and user, for another, or none. */
  kept(login: Login): 'this' | 'other' | 'none' {
    if (!existsSync(this.#path)) return 'none';
    return this.read(login) === null ? 'other' : 'this';
  }

  /** The password for this server and user; null when none is kept for them. */
  read(login: Login): string | null {
    if (!existsSync(this.#path)) return null;
    try {
      const { password, for: whom } = JSON.parse(readFileSync(this.#path, 'utf8')) as Kept;
      return whom === named(login) ? password : null;
    } catch {
      return null;
    }
  }

  /** Keeps another, whole or not at all; an empty one removes it. */
  async keep(login: Login, password: string): Promise<void> {
    if (password === '') return rm(this.#path, { force: true });
    const half = `${this.#path}-${randomUUID()}`;
    const handle = await open(half, 'wx', 0o600);
    try {
      await handle.writeFile(JSON.stringify({ for: named(login), password } satisfies Kept), 'utf8');
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(half, this.#path);
  }
}

interface Kept {
  for: string;
  password: string;
}

const named = ({ host, port, secure, user }: Login) => JSON.stringify([host, port, secure, user]);
