import type { JobFacts } from '../jobs/index.ts';
import type { PartRow, Structure, UseRow } from '../parts/index.ts';
import type { Day } from '../platform/day.ts';
import type { LinkType } from './network-graph.ts';

/** What the drawings of a part have come to. */
export interface RevisionFacts {
  id: number;
  partId: number;
  letter: string;
  state: 'draft' | 'released' | 'superseded' | 'withdrawn';
  /** whether a drawing or a model belongs to it */
  drawn: boolean;
}

export interface PersonFacts {
  name: string;
  role: string;
  country: string;
  weeklyHours: number;
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
  parts: ReadonlyMap<number, PartRow>;
  uses: readonly UseRow[];
  structure: Structure;
  /** parts that go into nothing and are wanted for themselves */
  tops: readonly number[];
  /** how much of each part one of every top needs */
  required: ReadonlyMap<number, number>;
  /** by part, in the order of their letters */
  revisions: ReadonlyMap<number, readonly RevisionFacts[]>;
  /** units once accepted, of a superseded revision, that are to be scrapped or reworked; by part */
  undoneMilli: ReadonlyMap<number, number>;
  jobs: readonly JobFacts[];
  links: readonly JobLinkFacts[];
  people: ReadonlyMap<number, PersonFacts>;
  /** the first day of each gathering still ahead that was not called off */
  gatherings: ReadonlyMap<number, Day>;
}
