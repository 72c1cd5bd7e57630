import type { LinkType } from './network-graph.ts';

export type StepKind =
  | 'design'
  | 'release'
  | 'find'
  | 'make'
  | 'post'
  | 'inspect'
  | 'order'
  | 'delivery'
  | 'fit-up'
  | 'trial'
  | 'other'
  /** a moment without length: a part is ready to fit, or a job with several ends is over */
  | 'mark';

/** How long something takes, and the plain sentence of the fact that says so. */
export interface Duration {
  /** whole days >= 0 */
  days: number;
  /** whether they are working days of the build; calendar days otherwise */
  working: boolean;
  because: string;
  /** whether it should have been over before today */
  late: boolean;
}

/** One remaining step of the build: a node of its network. */
export interface Step {
  /** stays the same from one schedule to the next while the step remains; fits into an address */
  key: string;
  kind: StepKind;
  label: string;
  jobId: number | null;
  partId: number | null;
  claimId: number | null;
  durationDays: number;
  working: boolean;
  because: string;
  late: boolean;
  /** moment before which it can't begin (calendar.ts) */
  notBefore: number;
}

/** A fact that makes one step wait for another; numbers of steps. */
export interface StepLink {
  from: number;
  to: number;
  type: LinkType;
  /** working days, may be negative */
  lag: number;
  byHand: boolean;
}

/** The network while it is being derived. */
export class StepList {
  readonly steps: Step[] = [];
  readonly links: StepLink[] = [];

  /** @returns its number */
  add(
    step: Omit<Step, 'durationDays' | 'working' | 'because' | 'late' | 'notBefore'>,
    duration: Duration,
  ): number {
    const { days, working, because, late } = duration;
    this.steps.push({ ...step, durationDays: days, working, because, late, notBefore: 0 });
    return this.steps.length - 1;
  }

  /** A moment without length. */
  mark(of: Pick<Step, 'key' | 'label' | 'jobId' | 'partId'>, because: string): number {
    return this.add(
      { ...of, kind: 'mark', claimId: null },
      { days: 0, working: false, because, late: false },
    );
  }

  /** Lets `to` wait for the end of `from`, a step or several. */
  after(from: number | readonly number[], to: number): void {
    for (const one of typeof from === 'number' ? [from] : from) {
      this.links.push({ from: one, to, type: 'FS', lag: 0, byHand: false });
    }
  }
}
