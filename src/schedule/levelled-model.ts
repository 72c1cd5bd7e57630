import type { CalendarTable } from './calendar.ts';
import type { NetworkGraph } from './network-graph.ts';

/**
 * A build to be levelled: plain typed arrays, so that it can be posted to a thread as it is. Moments as in calendar.ts,
 * hours as fractions, steps by their number in the network.
 *
 * A step with options is done by one person among them; each option has its days and its hours a day. A step at a
 * gathering is done in its windows and by its own days, whoever does it.
 */
export interface LevelledModel {
  readonly graph: NetworkGraph;
  /** what the plan without limits has: no step begins sooner here */
  readonly earlyStarts: Int32Array;
  readonly earlyEnds: Int32Array;
  readonly lateStarts: Int32Array;
  readonly days: Int32Array;
  /** place among the calendars, -1 for calendar days */
  readonly calendarOf: Int16Array;
  /** the build's first */
  readonly calendars: readonly CalendarTable[];
  /** days from a Monday to today, 0 .. 6 */
  readonly sinceMonday: number;
  /** who may do a step: options firstOption[i] .. firstOption[i + 1] - 1, those preferred first */
  readonly firstOption: Int32Array;
  readonly optionPeople: Int16Array;
  readonly optionDays: Int32Array;
  readonly optionHours: Float64Array;
  readonly people: LevelledPeople;
  /** place among the spots, -1 for none */
  readonly spotOf: Int16Array;
  readonly spotCount: number;
  /** the windows a step has, -1 where it is at no gathering */
  readonly windowOf: Int16Array;
  /** for each of them: the gathering on each day from today on, -1 on days without; after the last nothing is bound */
  readonly windows: readonly Int16Array[];
  /** by gathering */
  readonly places: Int32Array;
  /** by gathering and, within it, by person: hours of a day there, and the first day and the last on which they are there */
  readonly thereHours: Float64Array;
  readonly thereFrom: Int32Array;
  readonly thereUntil: Int32Array;
  /** whether the person of a step is named, or anyone there does it; asked only at a gathering */
  readonly isNamed: Uint8Array;
  /** whether it is under way: it goes on before anything else is begun, where it waits for nothing */
  readonly isBegun: Uint8Array;
  readonly effort: LevelledEffort;
}

/** By person: hours on a working day, and the place of their days among the calendars. */
export interface LevelledPeople {
  readonly dayHours: Float64Array;
  readonly calendars: Int16Array;
}

/** A search ends when either is used up. */
export interface LevelledEffort {
  readonly seed: number;
  readonly schedules: number;
  readonly seconds: number;
}

/** Which limits hold, as bits. */
export const LIMITS = { hours: 1, spots: 2, gatherings: 4, all: 7 } as const;

/** Why a step begins later than what it waits for allows. */
export const WAITS = { nothing: 0, hours: 1, spot: 2, gathering: 3 } as const;

/** The levelled plan: moments and facts by step. */
export interface LevelledOutcome {
  finish: number;
  starts: Int32Array;
  ends: Int32Array;
  /** the option taken, -1 for none */
  options: Int32Array;
  /** calendar days between the first day the links and days away would allow and the first day of it */
  waits: Int32Array;
  /** values of `WAITS`: the limit that alone would make it wait longest */
  reasons: Uint8Array;
  /** the finish were only one of the limits there */
  finishByHours: number;
  finishBySpots: number;
  finishByGatherings: number;
  schedulesTried: number;
}
