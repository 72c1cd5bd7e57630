/** Shares of a hundred at which a spread is told: 0, 1/32, 2/32, ... 1. */
export const SPREAD_KNOTS = 33;

/** How long something may take, and with whom it has its luck in common. */
export interface Spread {
  /**
   * The days (of what is left, from where the step begins; working or calendar ones as its duration) by which k / 32 of
   * such steps are over, k = 0 .. 32; never falling, each >= 0. Worked out when asked for.
   */
  days(): Float64Array;
  /** the maker whose slow month slows all they have in hand; 0 for nobody */
  personId: number;
}
