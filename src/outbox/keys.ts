import { createHmac, timingSafeEqual } from 'node:crypto';
import { dataSecret } from '../platform/secret.ts';
import { isLetterKind, type LetterKind } from './kinds.ts';

/** What is signed and named with keys of this data folder. */
export class OutboxKeys {
  readonly #stop: string;
  readonly #names: string;
  readonly #hooks: string;

  constructor(dataDir: string) {
    this.#stop = dataSecret(dataDir, 'stop-letters');
    this.#names = dataSecret(dataDir, 'letter-names');
    this.#hooks = dataSecret(dataDir, 'hooks');
  }

  /** The path that stops letters of a kind to a person without signing in: only who got such a letter knows it. */
  stopPath(personId: number, kind: LetterKind): string {
    return `/mail/stop/${personId}-${kind}-${this.#tag(personId, kind)}`;
  }

  /** Whom and what such a path's last part names; null for one that was not made here. */
  readStop(word: string): { personId: number; kind: LetterKind } | null {
    const match = /^([1-9]\d{0,8})-([a-z]+)-([A-Za-z0-9_-]{27})$/.exec(word);
    if (!match) return null;
    const [, id, kind, tag] = match as unknown as [string, string, string, string];
    if (!isLetterKind(kind)) return null;
    const personId = Number(id);
    const right = Buffer.from(this.#tag(personId, kind));
    return timingSafeEqual(right, Buffer.from(tag)) ? { personId, kind } : null;
  }

  /**
   * A letter's Message-ID (RFC 5322, 3.6.4): the same each time the letter is sent, and no other letter has it. It comes
   * from what the letter tells, not from its number in the database: after a restored backup numbers are given anew, and
   * a mailbox drops a letter whose name it has seen.
   *
   * @param key     the letter's own, which names the act it tells of and its moment
   * @param domain  of the address it comes from
   */
  messageId(key: string, domain: string): string {
    return `<letter-${this.#name(`letter ${key}`)}@${domain}>`;
  }

  /** A call's id, the same for each try; from what it tells, as with letters. */
  callId({ hookId, key, payload }: { hookId: number; key: string; payload: string }): string {
    return `call_${this.#name(`call ${hookId} ${key} ${payload}`)}`;
  }

  /** The 32 bytes a hook's calls are signed with; another turn gives others. */
  hookKey(hookId: number, turn: number): Buffer {
    return createHmac('sha256', this.#hooks).update(`${hookId} ${turn}`).digest();
  }

  #tag(personId: number, kind: LetterKind): string {
    return createHmac('sha256', this.#stop).update(`${personId} ${kind}`).digest('base64url').slice(0, 27);
  }

  #name(what: string): string {
    return createHmac('sha256', this.#names).update(what).digest('hex').slice(0, 32);
  }
}
