import { type Day, daysBetween } from '../platform/day.ts';

/**
 * Things none of which moves the finish by itself, and that move it together: of two chains that are equally long, say.
 * As few of them as move it by the same days.
 *
 * @param silent      each moves nothing alone; the most likely first
 * @param finishWith  the finish were all of these otherwise; null where there is none
 * @returns           null where they move nothing together either; days as of one line: how much later they made it
 */
export function onlyTogether<T>(
  silent: readonly T[],
  finishOn: Day,
  finishWith: (some: readonly T[]) => Day | null,
): { of: T[]; days: number } | null {
  if (silent.length < 2) return null;
  const finish = finishWith(silent);
  if (finish === null || finish === finishOn) return null;
  let of = [...silent];
  // The least likely leave first.
  for (const one of silent.toReversed()) {
    const fewer = of.filter((other) => other !== one);
    if (fewer.length > 1 && finishWith(fewer) === finish) of = fewer;
  }
  return { of, days: daysBetween(finish, finishOn) };
}
