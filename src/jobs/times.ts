import type { Day } from '../platform/day.ts';

/** What the schedule says of one job. Days are null while the network can't tell. */
export interface JobTime {
  /** the day its next step can begin */
  startOn: Day | null;
  /** the latest day its next step may begin without moving the finish */
  lateStartOn: Day | null;
  /** the day it is expected to be done: for fabrication, here and inspected */
  likelyOn: Day | null;
  /** the latest day it may be done without moving the finish; for fabrication, the day it must be posted by */
  needByOn: Day | null;
  /** working days it can slip without moving the finish */
  floatDays: number | null;
  /** whether it drives the finish */
  critical: boolean;
  /** for kinds other than fabrication: whether what it waits for is there */
  ready: boolean;
}

/** What the schedule says of the work on a part that no job answers for yet. */
export type PartTime = Pick<JobTime, 'startOn' | 'lateStartOn' | 'floatDays'>;

/** How the rest of the program asks the schedule about jobs. The schedule gives it; app.ts hands it round. */
export interface JobTimes {
  of(jobId: number): JobTime | null;
  /** the work on a part without a job; null where there is none, or the network can't tell */
  ofPart(partId: number): PartTime | null;
  /** the computed finish of the build; null when there is nothing to build */
  finishOn(): Day | null;
}
