import { DEFAULTS } from './defaults.ts';
import { type DurationLaw, NOTHING, weightedLaw } from './history-law.ts';
import { threePoints } from './history-points.ts';
import type { Spread } from './spread.ts';

/** For how many observations what is said or usual counts beside what was seen. Common practice, no source. */
export const BELIEF_WEIGHT = 2;

/** The law of three figures alone, without anything seen. */
export function lawOfPoints(points: readonly [number, number, number]): DurationLaw {
  return weightedLaw(NOTHING, { quantiles: threePoints(points), weight: BELIEF_WEIGHT });
}

/** What a stated figure is believed to come to, as shares of it. */
export const USUAL_SHARES = [DEFAULTS.soonestShare, 1, DEFAULTS.latestShare] as const;
export const USUAL_LAW = lawOfPoints(USUAL_SHARES);

/** The days left of a law, on a scale and given the time taken. */
export class LawSpread implements Spread {
  readonly personId: number;
  readonly #law: DurationLaw | (() => DurationLaw);
  readonly #scale: number;
  readonly #elapsed: number;
  readonly #shift: ((days: number) => number) | null;
  #days: Float64Array | null = null;

  /**
   * @param law      or how to make it, where it would be kept for this spread alone
   * @param elapsed  on the law's scale
   * @param scale    days for each of its units
   * @param shift    where the days come to in the end; must not fall
   */
  constructor(
    law: DurationLaw | (() => DurationLaw),
    scale: number,
    elapsed = 0,
    personId = 0,
    shift: ((days: number) => number) | null = null,
  ) {
    this.personId = personId;
    this.#law = law;
    this.#scale = scale;
    this.#elapsed = elapsed;
    this.#shift = shift;
  }

  days(): Float64Array {
    if (!this.#days) {
      const law = typeof this.#law === 'function' ? this.#law() : this.#law;
      this.#days = law.left(this.#elapsed, this.#scale).map((left) => {
        const days = Math.max(DEFAULTS.leastDays, left);
        return this.#shift ? this.#shift(days) : days;
      });
    }
    return this.#days;
  }
}

const usual = new Map<number, Spread>();

/** The spread of a stated figure of which nothing was seen; one for all steps of that figure. */
export function usualSpread(days: number): Spread {
  let spread = usual.get(days);
  if (!spread) {
    spread = new LawSpread(USUAL_LAW, days);
    usual.set(days, spread);
  }
  return spread;
}
