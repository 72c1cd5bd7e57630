import type { ReadLine } from './parcels-reader.ts';
import { say } from './say.ts';

/** What was posted in a parcel, in words. */
export function contentsWords(lines: readonly ReadLine[]): string {
  return lines.map(({ milli, unit, title }) => `${say(milli, unit)} of ${title}`).join(', ');
}
