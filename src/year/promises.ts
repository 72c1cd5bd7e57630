import type { ClaimFacts } from '../jobs/index.ts';
import { addDays, type Day } from '../platform/day.ts';
import { type Month, monthOf } from './months.ts';

/** A claim as its promise is judged. Days in the build's zone. */
export interface PromiseMade {
  claimedOn: Day;
  soonestDays: number;
  latestDays: number;
  /** when the last of it was posted; null while it is not */
  postedOn: Day | null;
}

/** What became of promises. */
export interface PromisesKept {
  /** posted before the soonest day promised */
  early: number;
  /** posted between the soonest and the latest day */
  onTime: number;
  /** posted after the latest day */
  late: number;
  /** not posted, and the latest day is over */
  overdue: number;
  /** not posted, and the latest day is still to come */
  open: number;
}

/** What became of one promise by today. */
export function promiseOutcome(
  { claimedOn, soonestDays, latestDays, postedOn }: PromiseMade,
  today: Day,
  latest = addDays(claimedOn, latestDays),
): keyof PromisesKept {
  if (postedOn === null) return today > latest ? 'overdue' : 'open';
  if (postedOn > latest) return 'late';
  return postedOn < addDays(claimedOn, soonestDays) ? 'early' : 'onTime';
}

/**
 * Promises by the month of the latest day promised, and what became of them.
 *
 * @returns by month, in the order given; and how many fall due after the last of the months
 */
export function promisesByMonth(
  promises: readonly PromiseMade[],
  months: readonly Month[],
  today: Day,
): { months: PromisesKept[]; dueLater: number } {
  const rows = months.map((): PromisesKept => ({ early: 0, onTime: 0, late: 0, overdue: 0, open: 0 }));
  const places = new Map(months.map((month, at) => [month, at]));
  const last = months.at(-1) ?? '';
  let dueLater = 0;
  for (const promise of promises) {
    const latest = addDays(promise.claimedOn, promise.latestDays);
    const due = monthOf(latest);
    const row = rows[places.get(due) ?? -1];
    if (row) row[promiseOutcome(promise, today, latest)] += 1;
    else if (due > last) dueLater += 1;
  }
  return { months: rows, dueLater };
}

/** The moment at which all of a claim was on its way or here; null while some of it is not. */
export function postedAt({
  milli,
  backMilli,
  travellingMilli,
  arrivedMilli,
  lastSentAt,
}: ClaimFacts): string | null {
  return travellingMilli + arrivedMilli >= milli - backMilli ? lastSentAt : null;
}
