import type { Clock } from '../platform/clock.ts';
import type { Database } from '../platform/database.ts';
import { passwordFits } from './password.ts';

const WINDOW_MS = 15 * 60_000;
const FREE_TRIES = 8;

/** Wrong passwords of the last quarter of an hour, by account: the ninth has to wait, from whatever address it comes. */
export class SignInThrottle {
  #wrong = new Map<string, number[]>();

  constructor(private readonly clock: Clock) {}

  /** Minutes to wait before another try; 0 when one may be made. */
  wait(email: string): number {
    const now = this.clock.now().getTime();
    const recent = (this.#wrong.get(email) ?? []).filter((at) => now - at < WINDOW_MS);
    if (recent.length) this.#wrong.set(email, recent);
    else this.#wrong.delete(email);
    const oldest = recent.at(-FREE_TRIES);
    return oldest === undefined ? 0 : Math.ceil((oldest + WINDOW_MS - now) / 60_000);
  }

  wrong(email: string): void {
    if (this.#wrong.size > 10_000) this.#wrong.clear(); // somebody tries made-up addresses: memory stays small
    this.#wrong.set(email, [...(this.#wrong.get(email) ?? []), this.clock.now().getTime()]);
  }

  right(email: string): void {
    this.#wrong.delete(email);
  }
}

/** The person with this address and password, or null. */
export async function personBySecret(
  db: Database,
  email: string,
  password: string,
): Promise<{ id: number } | null> {
  const person = await db.read.person.findUnique({ where: { email } });
  const open = person && !person.deactivatedAt && !person.forgottenAt ? person : null;
  const fits = await passwordFits(password, open?.passwordHash ?? null);
  return fits && open ? { id: open.id } : null;
}
