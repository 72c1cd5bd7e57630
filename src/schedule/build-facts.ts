import type { JobFacts } from '../jobs/index.ts';
import type { PartRow, Structure, UseRow } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import type { DaysThere } from './gathering-there.ts';
import type { LinkType } from './network-graph.ts';

/** What the drawings of a part have come to. */
export interface RevisionFacts {
  id: number;
  partId: number;
  letter: string;
  state: 'draft' | 'released' | 'superseded' | 'withdrawn';
  /** how it is to be made; null where nobody said */
  processId: number | null;
  /** whether a drawing or a model belongs to it */
  drawn: boolean;
}

export interface PersonFacts {
  name: string;
  role: string;
  country: string;
  weeklyHours: number;
  /** whether they can still be asked: with an account that is not closed */
  active: boolean;
}

/** A run of days, both of them in it. */
export interface DayRange {
  fromOn: Day;
  untilOn: Day;
}

/** Days on which the build does not work. */
export interface Closure extends DayRange {
  id: number;
  name: string;
}

/** Days on which people meet at the machine. */
export interface GatheringFacts extends DayRange {
  title: string;
  places: number;
  /** hours of work in a day there */
  dayHours: number;
  /** what those who come said of their days, by person */
  comers: ReadonlyMap<number, DaysThere>;
}

/** A parcel's way, for how long the post takes. Moments as ISO text. */
export interface PostFacts {
  personId: number;
  sentAt: string;
  arrivedAt: string | null;
}

/** A maker's question nobody has answered. */
export interface OpenQuery {
  id: number;
  jobId: number;
  askedById: number;
  askedAt: string;
}

/** A decision nobody has taken, and the job, or all the work on a part, that waits for it. */
export interface OpenDecision {
  id: number;
  jobId: number | null;
  partId: number | null;
  question: string;
  gatheringId: number | null;
}

/** The days a maker promised, from the claim on. */
export interface PromisedDays {
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
}

/** A link by hand between two jobs. */
export interface JobLinkFacts {
  fromId: number;
  toId: number;
  type: LinkType;
  /** working days, may be negative */
  lag: number;
}

/** All that the schedule is derived from, as it is at one moment. Quantities in thousandths of the part's unit. */
export interface BuildFacts {
  today: Day;
  /** ISO weekday numbers on which the build works */
  weekdays: readonly number[];
  timeZone: string;
  country: string;
  leadWeeklyHours: number;
  /** in the order of their first days */
  closures: readonly Closure[];
  /** by person, in the order of their first days */
  away: ReadonlyMap<number, readonly DayRange[]>;
  parts: ReadonlyMap<number, PartRow>;
  uses: readonly UseRow[];
  structure: Structure;
  /** parts that go into nothing and are wanted for themselves */
  tops: readonly number[];
  /** how much of each part one of every top needs */
  required: ReadonlyMap<number, number>;
  /** by part, in the order of their letters */
  revisions: ReadonlyMap<number, readonly RevisionFacts[]>;
  /** who has a tool for it, by process */
  toolsFor: ReadonlyMap<number, readonly number[]>;
  /** names of processes */
  processes: ReadonlyMap<number, string>;
  /** units once accepted, of a superseded revision, that are to be scrapped or reworked; by part */
  undoneMilli: ReadonlyMap<number, number>;
  jobs: readonly JobFacts[];
  links: readonly JobLinkFacts[];
  people: ReadonlyMap<number, PersonFacts>;
  /** every gathering that was not called off, those that are over too */
  gatherings: ReadonlyMap<number, GatheringFacts>;
  posts: readonly PostFacts[];
  /** what was promised first, by claim, where the promise was renewed since */
  firstPromises: ReadonlyMap<number, PromisedDays>;
  queries: readonly OpenQuery[];
  decisions: readonly OpenDecision[];
}
