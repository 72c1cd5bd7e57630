import { byTime, type Observation, type Sample } from './history-law.ts';

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

  /**
   * What is known of a key.
   *
   * @param isLike  which others count at all; all of them where it is not given. Must be the same at every call
   */
  of(key: K, isLike: (other: K) => boolean = () => true): Known {
    let known = this.#known.get(key);
    if (!known) {
      known = knownOf(this.#inOrder(), (one) => (one.key === key ? OWN : isLike(one.key) ? OTHER : LEFT_OUT));
      this.#known.set(key, known);
    }
    return known;
  }

  /** All of them as one's own, each for itself. */
  whole(isLike: (key: K) => boolean = () => true): Known {
    return knownOf(this.#inOrder(), ({ key }) => (isLike(key) ? OWN : LEFT_OUT));
  }

  /** All of them as one's own, with those of another history as the others. */
  beside(other: Records<unknown>): Known {
    const own = new Set<Observation>(this.#all);
    return knownOf([...this.#all, ...other.#all].sort(byTime), (one) => (own.has(one) ? OWN : OTHER));
  }

  #inOrder(): readonly Kept<K>[] {
    if (!this.#sorted) this.#all.sort(byTime);
    this.#sorted = true;
    return this.#all;
  }
}

type Role = typeof OWN | typeof OTHER | typeof LEFT_OUT;
const OWN = 1;
const OTHER = 2;
const LEFT_OUT = 0;

/** @param all  by time */
function knownOf<O extends Observation>(all: readonly O[], roleOf: (one: O) => Role): Known {
  const own: Counts = { finished: 0, open: 0 };
  const others: Counts = { finished: 0, open: 0 };
  const roles = new Uint8Array(all.length);
  all.forEach((one, at) => {
    const role = roleOf(one);
    roles[at] = role;
    if (role === LEFT_OUT) return;
    const counts = role === OWN ? own : others;
    if (one.finished) counts.finished++;
    else counts.open++;
  });
  const many = others.finished + others.open;
  const otherWeight = many === 0 ? 0 : Math.min(1, POOL_WEIGHT / many);
  return {
    own,
    others,
    otherWeight,
    sample: sampleOf(all, roles, others, otherWeight),
    openBeyond: (time) =>
      all.filter((one, at) => roles[at] !== LEFT_OUT && !one.finished && one.time > time).length,
  };
}

/** Thousands of others are told as a few dozen, so that a law is made quickly; their weight together stays. */
function sampleOf(
  all: readonly Observation[],
  roles: Uint8Array,
  others: Counts,
  otherWeight: number,
): Sample {
  const groups = new Groups(others.finished + others.open > OTHERS_ALONE, others);
  const times = new Float64Array(all.length);
  const finished = new Uint8Array(all.length);
  const weights = new Float64Array(all.length);
  let count = 0;
  all.forEach((one, at) => {
    const role = roles[at];
    const share = role === OWN ? 1 : role === OTHER ? groups.next(one.finished) * otherWeight : 0;
    if (share === 0) return;
    times[count] = one.time;
    finished[count] = one.finished ? 1 : 0;
    weights[count] = share;
    count++;
  });
  return {
    times: times.subarray(0, count),
    finished: finished.subarray(0, count),
    weights: weights.subarray(0, count),
  };
}

/** Observations in order, in groups of equal size, those that came and those cut off apart. */
class Groups {
  readonly #isOn: boolean;
  readonly #counts: Counts;
  readonly #passed: Counts = { finished: 0, open: 0 };

  constructor(isOn: boolean, counts: Counts) {
    this.#isOn = isOn;
    this.#counts = counts;
  }

  /** How many the next one stands for: all of its group where it is the middle one of it, else none. */
  next(isFinished: boolean): number {
    if (!this.#isOn) return 1;
    const kind = isFinished ? 'finished' : 'open';
    const all = this.#counts[kind];
    const groups = Math.min(all, GROUPS);
    const place = this.#passed[kind]++;
    const group = Math.floor(((place + 1) * groups - 1) / all);
    const from = Math.floor((group * all) / groups);
    const to = Math.floor(((group + 1) * all) / groups);
    return place === (from + to - 1) >>> 1 ? to - from : 0;
  }
}
