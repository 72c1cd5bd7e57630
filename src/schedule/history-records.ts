import { byTime, NOTHING, type Observation, type Sample } from './history-law.ts';

/** What all others together count for at most, in observations of one's own. Common practice, no source. */
export const POOL_WEIGHT = 5;
/** So many others are taken one by one; more of them in groups of equal size, each at its middle one. */
const OTHERS_ALONE = 64;
const GROUPS = 48;

/** How much history there is. */
export interface Counts {
  finished: number;
  open: number;
}

/** What is known of one key: its own observations, one each, and those of the others, together as POOL_WEIGHT. */
export interface Known {
  own: Counts;
  others: Counts;
  /** what one of the others counts for */
  otherWeight: number;
  sample: Sample;
  /** cut off later than the time asked about */
  openBeyond(time: number): number;
}

interface Kept<K> extends Observation {
  key: K;
}

/** The observations of one kind of thing, each under what it has in common with some of the others. */
export class Records<K> {
  readonly #all: Kept<K>[] = [];
  readonly #known = new Map<K, Known>();
  #sorted = true;

  /** Notes one; a time below 0, or none, comes from wrong dates and tells nothing: it is left out. */
  add(key: K, time: number, finished: boolean): void {
    if (!(time >= 0)) return;
    this.#all.push({ key, time, finished });
    this.#sorted = false;
  }

  get keys(): K[] {
    return [...new Set(this.#all.map(({ key }) => key))];
  }

  /** all of them, by time */
  get observations(): readonly Observation[] {
    return this.#inOrder();
  }

  /**
   * What is known of a key.
   *
   * @param isLike  which others count at all; all of them where it is not given. Must be the same at every call
   */
  of(key: K, isLike: (other: K) => boolean = () => true): Known {
    let known = this.#known.get(key);
    if (!known) {
      const all = this.#inOrder();
      known = knownOf(
        all.filter((one) => one.key === key),
        all.filter((one) => one.key !== key && isLike(one.key)),
      );
      this.#known.set(key, known);
    }
    return known;
  }

  /** All of them as one's own, each for itself. */
  whole(isLike: (key: K) => boolean = () => true): Known {
    return knownOf(
      this.#inOrder().filter(({ key }) => isLike(key)),
      [],
    );
  }

  #inOrder(): readonly Kept<K>[] {
    if (!this.#sorted) this.#all.sort(byTime);
    this.#sorted = true;
    return this.#all;
  }
}

/** The own ones of one history with those of another as the others: both by time. */
export function knownOf(own: readonly Observation[], others: readonly Observation[]): Known {
  const otherWeight = others.length === 0 ? 0 : Math.min(1, POOL_WEIGHT / others.length);
  return {
    own: countsOf(own),
    others: countsOf(others),
    otherWeight,
    sample: mergedSample(own, others, otherWeight),
    openBeyond: (time) => [...own, ...others].filter((one) => !one.finished && one.time > time).length,
  };
}

function countsOf(observations: readonly Observation[]): Counts {
  let finished = 0;
  for (const one of observations) if (one.finished) finished++;
  return { finished, open: observations.length - finished };
}

interface Weighted extends Observation {
  weight: number;
}

/** Thousands of others as a few dozen, so that a law is made quickly; their weight together stays. */
function grouped(others: readonly Observation[], weight: number): Weighted[] {
  if (others.length <= OTHERS_ALONE) return others.map(({ time, finished }) => ({ time, finished, weight }));
  const groups: Weighted[] = [];
  for (const finished of [true, false]) {
    const some = others.filter((one) => one.finished === finished);
    const parts = Math.min(some.length, GROUPS);
    for (let part = 0; part < parts; part++) {
      const from = Math.floor((part * some.length) / parts);
      const to = Math.floor(((part + 1) * some.length) / parts);
      groups.push({ time: some[(from + to - 1) >>> 1]!.time, finished, weight: weight * (to - from) });
    }
  }
  return groups;
}

function mergedSample(
  own: readonly Observation[],
  others: readonly Observation[],
  otherWeight: number,
): Sample {
  if (own.length + others.length === 0) return NOTHING;
  const all = own.map(({ time, finished }) => ({ time, finished, weight: 1 }));
  all.push(...grouped(others, otherWeight));
  all.sort(byTime);
  return {
    times: Float64Array.from(all, ({ time }) => time),
    finished: Uint8Array.from(all, ({ finished }) => (finished ? 1 : 0)),
    weights: Float64Array.from(all, ({ weight }) => weight),
  };
}
