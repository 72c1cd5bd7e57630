import type { Context } from '../platform/context.ts';
import { type Day, dayIn } from '../platform/day.ts';

/** Tells the day it is where the build is. */
export function todayReader({ db, clock }: Pick<Context, 'db' | 'clock'>): () => Day {
  const timeZone = db.hot.prepare<[], string>('SELECT timeZone FROM Build WHERE id = 1').pluck();
  return () => dayIn(timeZone.get() ?? 'UTC', clock.now());
}
