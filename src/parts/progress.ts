import type { Day } from '../platform/day.ts';
import type { OpenJob } from './remove-part.ts';

/** How far the jobs of a part are, in thousandths of its unit. */
export interface Progress {
  /** made or bought, and accepted */
  acceptedMilli: number;
  /** on jobs that still go on */
  openMilli: number;
  /** the stage of the slowest of those, as the board says it */
  stageWord: string;
}

/** What the parts ask of the jobs, which know the parts and not the other way round; app.ts hands it in. */
export interface PartJobs {
  /** how far a part is; null when it has no jobs */
  progress(partId: number): Progress | null;
  /** the part's jobs that still go on */
  open(partId: number): readonly OpenJob[];
}

/** What the parts ask of the schedule: by which day a part is ready in 80 of 100 runs; null where that is not known. */
export type ReadyAt80 = (partId: number) => Day | null;

/** Takes one look at all jobs, good for one page or one act. */
export type ReadPartJobs = () => PartJobs;
