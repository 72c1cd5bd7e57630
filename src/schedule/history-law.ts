import { SPREAD_KNOTS } from './spread.ts';

/** What was seen of one thing: the time it took, or the time for which it had not come when it was seen last. */
export interface Observation {
  time: number;
  finished: boolean;
}

/** Observations and what each counts for, by time; at one time those that came before those cut off. */
export interface Sample {
  readonly times: readonly number[];
  /** 1 or 0 */
  readonly finished: readonly number[];
  readonly weights: readonly number[];
}

/** What is taken for granted before anything is seen: quantiles at k / 32, and how many observations they count for. */
export interface Belief {
  readonly quantiles: ArrayLike<number>;
  readonly weight: number;
}

export const NOTHING: Sample = { times: [], finished: [], weights: [] };

/** A share that reaches a percentile but for rounding error reaches it. */
const ROUNDING = 1e-9;
/** Nothing is told beyond the time by which so many have come, where the law has no end of its own. */
const MOST = 1 - 1 / 128;
/** Nor farther beyond the last that came than so many times its time. Common practice, no source. */
const FARTHEST = 3;

/** Orders observations as a sample has them. */
export function byTime(one: Observation, other: Observation): number {
  return one.time - other.time || Number(other.finished) - Number(one.finished);
}

/** How long a thing takes: a falling staircase of the share still open, with a tail where some had not come at its end. */
export class DurationLaw {
  /** moments at which something came, and the share still open after each */
  readonly times: readonly number[];
  readonly opens: readonly number[];
  /** nothing comes sooner */
  readonly least: number;
  /** the rate at which what is open after the last that came goes on coming; 0 where nothing is open or nothing came */
  readonly tailRate: number;
  /** the time of the last that came */
  readonly #last: number;
  readonly #weight: number;

  /** @param weight  what all observations count for */
  constructor(times: readonly number[], opens: readonly number[], least: number, weight: number) {
    this.times = times;
    this.opens = opens;
    this.least = least;
    this.#last = times.at(-1) ?? 0;
    this.#weight = weight;
    const open = opens.at(-1) ?? 0;
    this.tailRate = open > 0 && this.#last > 0 ? -Math.log(open) / this.#last : 0;
  }

  /** The share still open after a time. */
  open(time: number): number {
    if (time > this.#last && this.tailRate > 0) return Math.exp(-this.tailRate * time);
    const place = this.#firstAfter(time);
    return place === 0 ? 1 : this.opens[place - 1]!;
  }

  /**
   * The first time by which a share of those have come that had not come after `elapsed`.
   *
   * What has outlasted all that came, where nothing is open beyond, goes on as long as one that is cut off now after the
   * time since then would let the others expect: the longer it is overdue, the longer it is given.
   *
   * @param share  0 .. 1
   * @returns      never before `elapsed`; greater for a greater share and for a greater elapsed; Infinity where nothing
   *               was ever seen to come
   */
  at(share: number, elapsed = 0): number {
    const { times, opens, tailRate } = this;
    if (times.length === 0) return Number.POSITIVE_INFINITY;
    const last = this.#last;
    const lastOpen = opens.at(-1)!;
    if (elapsed >= last && (elapsed > 0 || last === 0)) {
      const rate = lastOpen > 0 ? tailRate : Math.log(this.#weight + 1) / (elapsed - last);
      const left = rate > 0 ? -Math.log(1 - Math.min(share, MOST)) / rate : 0;
      return elapsed + Math.min(left, FARTHEST * last);
    }
    if (share <= 0) return Math.max(elapsed, this.least);
    const openNow = elapsed > 0 ? this.open(elapsed) : 1;
    const stillOpen = (1 - share) * openNow;
    const aim = stillOpen + ROUNDING;
    if (lastOpen > aim) {
      const goal = Math.max(stillOpen, (1 - MOST) * openNow);
      if (lastOpen > goal) return Math.min(-Math.log(goal) / tailRate, (1 + FARTHEST) * last);
    }
    // the first step at which no more than aimed at is open
    let low = 0;
    let high = opens.length - 1;
    const goal = Math.max(aim, lastOpen);
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (opens[middle]! <= goal) high = middle;
      else low = middle + 1;
    }
    return Math.max(elapsed, times[low]!);
  }

  /** The times left at k / 32 for what has taken `elapsed`, times a scale. */
  left(elapsed: number, scale: number): Float64Array {
    const quantiles = new Float64Array(SPREAD_KNOTS);
    for (let k = 0; k < SPREAD_KNOTS; k++) {
      quantiles[k] = (this.at(k / (SPREAD_KNOTS - 1), elapsed) - elapsed) * scale;
    }
    return quantiles;
  }

  #firstAfter(time: number): number {
    let low = 0;
    let high = this.times.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.times[middle]! > time) high = middle;
      else low = middle + 1;
    }
    return low;
  }
}

/**
 * The law of a sample by the product-limit estimate, each observation counting for its weight, together with what is
 * believed before. Where some were cut off beyond the last that came, an exponential tail goes on from there, through its
 * share. It begins at the last that came, not at the last cut off: what is open ten times longer than anything that
 * came is as likely forgotten, or lost, as slow.
 *
 * The belief enters as 32 observations that came, at its quantiles, together of its weight: what is cut off is thereby
 * handed on to what the belief says of longer times, and not lost.
 *
 * @param sample  by time
 * @param belief  none: the observations alone
 * @param place   where an observed time lies on the scale of the belief; must not fall
 *
 * Source: Kaplan and Meier (1958), with weights as common practice has them, no source; the tail, Brown, Hollander and
 * Kowar (1974); belief as observations, Susarla and Van Ryzin (1976). All from memory.
 */
export function weightedLaw(
  { times, finished, weights }: Sample,
  belief: Belief | null = null,
  place: (time: number) => number = (time) => time,
): DurationLaw {
  const count = times.length;
  const atoms = belief ? SPREAD_KNOTS - 1 : 0;
  const atomWeight = belief ? belief.weight / atoms : 0;
  let whole = belief?.weight ?? 0;
  for (let k = 0; k < count; k++) whole += weights[k]!;
  // Plain arrays: hundreds of laws are made at once, and small typed ones cost more to make than to fill.
  const steps: number[] = [];
  const opens: number[] = [];
  let open = 1;
  let atRisk = whole;
  let seen = count > 0 ? place(times[0]!) : Number.POSITIVE_INFINITY;
  for (let next = 0, atom = 1; next < count || atom <= atoms; ) {
    const believed = atom <= atoms ? belief!.quantiles[atom]! : Number.POSITIVE_INFINITY;
    const time = Math.min(seen, believed);
    let came = 0;
    let gone = 0;
    while (atom <= atoms && belief!.quantiles[atom]! <= time) {
      came += atomWeight;
      atom++;
    }
    while (next < count && seen <= time) {
      if (finished[next]) came += weights[next]!;
      else gone += weights[next]!;
      next++;
      seen = next < count ? place(times[next]!) : Number.POSITIVE_INFINITY;
    }
    if (came > 0) {
      const left = atRisk - came;
      open = left <= ROUNDING * whole ? 0 : (open * left) / atRisk;
      steps.push(time);
      opens.push(open);
    }
    atRisk -= came + gone;
  }
  const first = steps[0] ?? 0;
  const least = belief ? Math.min(belief.quantiles[0]!, steps[0] ?? belief.quantiles[0]!) : first;
  return new DurationLaw(steps, opens, least, whole);
}
