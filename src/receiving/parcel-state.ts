import { uncheckedOf } from './check-rules.ts';
import type { ParcelLine } from './parcel-rules.ts';

export type ParcelState = 'in the post' | 'to count' | 'to inspect' | 'done' | 'written off';

/** Where a parcel stands; it follows from what was written down of it. */
export function parcelState(arrived: boolean, lines: readonly ParcelLine[]): ParcelState {
  const counted = lines.every(({ countedMilli }) => countedMilli !== null);
  if (!arrived) return counted ? 'written off' : 'in the post';
  if (!counted) return 'to count';
  return lines.some((line) => uncheckedOf(line) > 0) ? 'to inspect' : 'done';
}
