import type { ClaimFacts, JobFacts } from '../jobs/index.ts';
import { formatQuantity, type PartRow } from '../parts/index.ts';
import type { LinkType } from './network-graph.ts';
import type { Spread } from './spread.ts';

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
  /** how far it may come out otherwise; none where it is as it is */
  spread?: Spread;
}

/** Which step of its part, job or claim it is; '' for a job that is one step. */
export type StepWord =
  | ''
  | 'design'
  | 'release'
  | 'find'
  | 'make'
  | 'post'
  | 'travel'
  | 'inspect'
  | 'order'
  | 'delivery'
  | 'fit-up'
  | 'ready'
  | 'end';

const NO_TIME: Duration = { days: 0, working: false, because: 'it takes no time itself', late: false };

/** A part and how much of it, as a step's label has it. */
function named({ name, unit }: Pick<PartRow, 'name' | 'unit'>, milli: number): string {
  return milli === 1000 && unit === 'piece' ? name : `${name}, ${formatQuantity(milli, unit)}`;
}

/**
 * One remaining step of the build: a node of its network.
 *
 * Thousands are made after every act and few are looked at, so what is only told is worked out when it is asked for.
 */
export class Step {
  /** moment before which it can't begin (calendar.ts), and why */
  notBefore = 0;
  notBeforeNote = '';
  /** whose working days its duration counts, where it counts such: a place among the network's calendars */
  calendar = 0;
  calendarNote = '';

  constructor(
    readonly word: StepWord,
    readonly part: PartRow | null,
    readonly job: JobFacts | null,
    readonly claim: ClaimFacts | null,
    readonly milli: number,
    public duration: Duration,
  ) {}

  /** Stays the same from one schedule to the next while the step remains; fits into an address. */
  get key(): string {
    const of = this.claim
      ? `claim-${this.claim.id}`
      : this.job
        ? `job-${this.job.id}`
        : `part-${this.part?.id}`;
    return this.word === '' ? of : `${of}-${this.word}`;
  }

  get kind(): StepKind {
    const { word, job } = this;
    if (word === 'ready' || word === 'end') return 'mark';
    if (word === 'travel') return 'post';
    if (word !== '') return word;
    return job?.kind === 'design' || job?.kind === 'trial' ? job.kind : 'other';
  }

  get jobId(): number | null {
    return this.job?.id ?? null;
  }

  get partId(): number | null {
    return this.part?.id ?? null;
  }

  get claimId(): number | null {
    return this.claim?.id ?? null;
  }

  get label(): string {
    const { word, part, job, claim, milli } = this;
    const what = part ? named(part, milli) : (job?.title ?? '');
    const isMade = claim !== null && claim.doneMilli >= claim.milli - claim.backMilli;
    const labels: Record<StepWord, string> = {
      '': job?.title ?? '',
      design: `Draw ${part?.name}`,
      release: `Release ${part?.name}`,
      find: `Find a maker for ${what}`,
      make: `${isMade ? 'Bring to the post:' : 'Make'} ${what}`,
      post: `Post ${what}`,
      travel: `In the post: ${what}`,
      inspect: `Inspect ${what}`,
      order: `Order ${what}`,
      delivery: `Delivery of ${what}`,
      'fit-up': `Fit up ${what}`,
      ready: `${part?.name} ready to fit`,
      end: `All of job ${job?.id}`,
    };
    return labels[word];
  }

  /** The plain sentence of the facts that give its length. */
  get because(): string {
    const { because } = this.duration;
    const held = this.job?.heldAt && this.duration !== NO_TIME;
    const after = [this.notBeforeNote, this.calendarNote].filter(Boolean).map((note) => `; ${note}`);
    return `${held ? 'on hold, counted as if taken up today; ' : ''}${because}${after.join('')}`;
  }
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
  add(step: Step): number {
    this.steps.push(step);
    return this.steps.length - 1;
  }

  /** A moment without length: the part is ready to fit. */
  ready(part: PartRow): number {
    return this.add(new Step('ready', part, null, null, 1000, NO_TIME));
  }

  /** A moment without length: all of a job is over. */
  end(part: PartRow | null, job: JobFacts): number {
    return this.add(new Step('end', part, job, null, job.milli, NO_TIME));
  }

  /** Lets `to` wait for the end of `from`, a step or several. */
  after(from: number | readonly number[], to: number): void {
    if (typeof from === 'number') this.link(from, to, 'FS', 0, false);
    else for (const one of from) this.link(one, to, 'FS', 0, false);
  }

  link(from: number, to: number, type: LinkType, lag: number, byHand: boolean): void {
    this.links.push({ from, to, type, lag, byHand });
  }
}
