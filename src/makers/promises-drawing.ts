/** A promise and what became of it, in days from the claim. */
export interface DrawnPromise {
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
  /** days until all of it was posted, or so far */
  tookDays: number;
  finished: boolean;
  late: boolean;
}

/** Places along a drawing of days from the claim, in hundredths of its width. */
export interface DaysScale {
  ticks: { at: number; label: string }[];
  place(days: number): number;
}

/** A promise as a line with a mark on it and a dot for what happened; places are hundredths of the width. */
export interface PromiseBar {
  from: number;
  likely: number;
  to: number;
  took: number;
  finished: boolean;
  late: boolean;
  /** whether the promise, or what happened, lies beyond the end of the drawing */
  goesOn: boolean;
  tookBeyond: boolean;
}

/** So many days are written under a drawing, one more at its beginning. */
const MOST_TICKS = 5;
/** One promise of years would make a point of all others: the drawing ends at so many times the middle of them. */
const MOST_TIMES_THE_MIDDLE = 5;

const round = (place: number) => Math.round(place * 100) / 100;

/** A scale on which the promises of a maker, or of all of them, are drawn one under the other. */
export function daysScale(promises: readonly DrawnPromise[]): DaysScale {
  const reaches = promises
    .map(({ latestDays, tookDays }) => Math.max(1, latestDays, tookDays))
    .sort((a, b) => a - b);
  const middle = reaches[Math.floor(reaches.length / 2)] ?? 1;
  const longest = Math.min(reaches.at(-1) ?? 1, middle * MOST_TIMES_THE_MIDDLE);
  // A little room, so that a dot at the end is whole.
  const width = longest * 1.04;
  const place = (days: number) => round(Math.min(100, (days / width) * 100));
  let step = 1;
  for (let power = 1; longest / step > MOST_TICKS; power *= 10) {
    step =
      [1, 2, 5, 10].map((times) => times * power).find((size) => longest / size <= MOST_TICKS) ?? 10 * power;
  }
  const ticks: DaysScale['ticks'] = [];
  for (let days = 0; days <= longest; days += step) {
    const at = place(days);
    // A label at the very edge would be cut off.
    ticks.push({ at, label: at > 90 ? '' : `${days} d` });
  }
  return { ticks, place };
}

export function promiseBar({ place }: DaysScale, promise: DrawnPromise): PromiseBar {
  const { soonestDays, likelyDays, latestDays, tookDays, finished, late } = promise;
  return {
    from: place(soonestDays),
    likely: place(likelyDays),
    to: place(latestDays),
    took: place(tookDays),
    finished,
    late,
    goesOn: place(latestDays) >= 100,
    tookBeyond: place(tookDays) >= 100,
  };
}
