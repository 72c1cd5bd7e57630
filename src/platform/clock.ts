/** The only source of the present moment: tests and the example build turn their own. */
export interface Clock {
  now(): Date;
}

export const systemClock: Clock = { now: () => new Date() };
