import type { Day } from '../platform/day.ts';
import { lastDayOf, type Month, monthOf } from './months.ts';

/** Units accepted on a day; below 0 where accepted ones were given up later. Thousandths of a piece. */
export interface AcceptedUnits {
  day: Day;
  partId: number;
  personId: number;
  milli: number;
}

/** What is accepted of what the machine needs, in whole pieces, over some months. */
export interface AcceptedOverTime {
  /** before the first of the months */
  before: number;
  /** at the end of each month, or so far */
  ends: number[];
  /** accepted above what is needed, by the last of them */
  spare: number;
}

/**
 * Pieces accepted of those needed, month by month. A part counts no further than it is needed: a fifth wheel for a cart
 * brings it no nearer.
 *
 * @param units     in any order
 * @param required  thousandths needed, by part; units of other parts count nothing
 * @param months    in their order
 */
export function acceptedOverTime(
  units: readonly AcceptedUnits[],
  required: ReadonlyMap<number, number>,
  months: readonly Month[],
): AcceptedOverTime {
  const first = months[0] ?? '';
  const byMonth = new Map<Month, AcceptedUnits[]>();
  for (const one of units) {
    if (!required.has(one.partId)) continue;
    const month = monthOf(one.day) < first ? '' : monthOf(one.day);
    const list = byMonth.get(month);
    if (list) list.push(one);
    else byMonth.set(month, [one]);
  }
  const sums = new Map<number, number>();
  let counted = 0;
  const add = (month: Month): number => {
    for (const { partId, milli } of byMonth.get(month) ?? []) {
      const most = required.get(partId)!;
      const sum = sums.get(partId) ?? 0;
      counted += within(sum + milli, most) - within(sum, most);
      sums.set(partId, sum + milli);
    }
    return pieces(counted);
  };
  const before = add('');
  const ends = months.map(add);
  let spare = 0;
  for (const [partId, sum] of sums) spare += Math.max(0, sum - required.get(partId)!);
  return { before, ends, spare: pieces(spare) };
}

const within = (milli: number, most: number) => Math.max(0, Math.min(milli, most));
const pieces = (milli: number) => Math.round(milli / 1000);

/** How much of each part is accepted, no further than it is needed; thousandths. */
export function acceptedByPart(
  units: readonly AcceptedUnits[],
  required: ReadonlyMap<number, number>,
): Map<number, number> {
  const sums = new Map<number, number>();
  for (const { partId, milli } of units) sums.set(partId, (sums.get(partId) ?? 0) + milli);
  const counted = new Map<number, number>();
  for (const [partId, sum] of sums) {
    const most = required.get(partId);
    if (most !== undefined) counted.set(partId, within(sum, most));
  }
  return counted;
}

/** When a part was expected whole by a kept plan. */
export interface PlannedPart {
  partId: number;
  readyOn: Day;
}

/**
 * Pieces that a kept plan expected to be ready at the end of each month: a part counts when all of it is ready. What the
 * plan does not name was there already.
 *
 * @returns null for months that ended before the plan was kept
 */
export function plannedOverTime(
  plan: { day: Day; parts: readonly PlannedPart[] },
  required: ReadonlyMap<number, number>,
  months: readonly Month[],
): (number | null)[] {
  const readyOn = new Map(plan.parts.map(({ partId, readyOn }) => [partId, readyOn]));
  return months.map((month) => {
    const end = lastDayOf(month);
    if (end < plan.day) return null;
    let milli = 0;
    for (const [partId, needed] of required) if ((readyOn.get(partId) ?? plan.day) <= end) milli += needed;
    return pieces(milli);
  });
}

/** What is still to come of a part from a job, and the day it must be there; null where no day follows. */
export interface ToCome {
  partId: number;
  milli: number;
  byOn: Day | null;
}

/**
 * Pieces that must be accepted by the end of each month for the finish to hold: what is accepted now, and what open jobs
 * still owe by then. A part asks for no more than it lacks; what is asked for first counts first.
 *
 * @param accepted  thousandths, by part, as they are now
 * @returns         from this month on; null before it
 */
export function neededOverTime(
  toCome: readonly ToCome[],
  accepted: ReadonlyMap<number, number>,
  required: ReadonlyMap<number, number>,
  months: readonly Month[],
  today: Day,
): (number | null)[] {
  let now = 0;
  for (const milli of accepted.values()) now += milli;
  const lacking = new Map(
    [...required].map(([partId, milli]) => [partId, milli - (accepted.get(partId) ?? 0)]),
  );
  const dated = toCome
    .flatMap(({ byOn, ...one }) => (byOn === null ? [] : [{ ...one, byOn }]))
    .sort((a, b) => (a.byOn < b.byOn ? -1 : a.byOn > b.byOn ? 1 : 0));
  let at = 0;
  return months.map((month) => {
    const end = lastDayOf(month);
    if (end < today) return null;
    for (; at < dated.length && dated[at]!.byOn <= end; at++) {
      const { partId, milli } = dated[at]!;
      const taken = Math.min(milli, lacking.get(partId) ?? 0);
      lacking.set(partId, (lacking.get(partId) ?? 0) - taken);
      now += taken;
    }
    return pieces(now);
  });
}
