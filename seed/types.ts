import type { Disposition } from '../src/receiving/index.ts';
import type { people } from './people.ts';
import type { ModelShape } from './step-model.ts';

// The example is told in days: 0 is the day on which it is loaded, -30 is thirty days before it.

export type PersonKey = (typeof people)[number]['key'];

export type Promised = readonly [soonest: number, likely: number, latest: number];

export interface PartStory {
  number: string;
  name: string;
  kind: 'assembly' | 'made' | 'bought' | 'stock';
  unit?: 'piece' | 'm' | 'l' | 'kg';
  /** keys of the libraries */
  material?: string;
  process?: string;
  grams?: number;
  drawHours?: number;
  makeDays?: number;
  supplier?: string;
  cents?: number;
  leadDays?: number;
  /** counted on the shelf when the part is written down */
  shelf?: number;
  /** what goes into it: number of the part, and how much in its unit */
  holds?: Readonly<Record<string, number>>;
}

/** One revision of a part. The first is A; each that follows begins as a copy of the one before. */
export interface DrawingStory {
  part: string;
  started: number;
  /** left out: still a draft */
  released?: number;
  tolerance?: 'f' | 'm' | 'c';
  /** `label: text`, with a star before the label of a key one; one with a label that is there replaces that one */
  sizes?: readonly string[];
  finish?: string;
  stock?: string;
  change?: string;
  /** files beside the drawing: a model, and the letter in its name where that is another; a flat pattern by its sides */
  model?: ModelShape;
  modelLetter?: string;
  flat?: readonly [width: number, height: number];
  /** a draft whose drawing is not made yet */
  undrawn?: boolean;
  /** by a redesign, which starts and releases it */
  redesign?: boolean;
}

export interface CheckStory {
  on: number;
  pieces: number;
  /** accepted as drawn, where nothing is said */
  as?: Disposition;
  reason?: string;
  gauge?: string;
  /** by label, where it is not a value well inside the limits */
  values?: Readonly<Record<string, number>>;
  /** a name for the job that follows */
  follow?: string;
}

export interface ParcelStory {
  sent: number;
  pieces: number;
  carrier: string;
  tracking?: string;
  note?: string;
  arrived?: number;
  /** fewer than were posted: short */
  counted?: number;
  arrivalNote?: string;
  checks?: readonly CheckStory[];
}

export interface ReportStory {
  on: number;
  finished: number;
  words: string;
  hours?: number;
  /** what the picture shows */
  photo?: 'gear' | 'ring' | 'casting' | 'panel' | 'globe';
}

export interface ClaimStory {
  who: PersonKey;
  on: number;
  pieces: number;
  promise: Promised;
  note?: string;
  begun?: number;
  reports?: readonly ReportStory[];
  renewed?: readonly { on: number; promise: Promised }[];
  back?: { on: number; pieces: number; words: string };
  parcels?: readonly ParcelStory[];
  /** a new revision that came while it was open */
  notice?: { on: number; as: 'taken up' | 'finish the old' };
}

export interface QueryStory {
  who: PersonKey;
  on: number;
  question: string;
  answered?: { on: number; by: PersonKey; answer: string };
}

interface AnyJob {
  /** what the rest of the story calls it */
  key: string;
  created: number;
  title?: string;
  note?: string;
  /** a day that is wanted */
  wanted?: number;
  held?: { on: number; reason: string };
  dropped?: { on: number; reason: string };
  /** the gathering it is kept for */
  gathering?: string;
}

export interface FabricateStory extends AnyJob {
  kind: 'fabricate';
  part: string;
  pieces: number;
  firstPiece?: boolean;
  /** the lead approves the first piece from a report, and by what */
  firstApproved?: { on: number; words: string };
  offered?: number;
  /** shown on the public page; yes where nothing is said */
  strangers?: boolean;
  claims?: readonly ClaimStory[];
  queries?: readonly QueryStory[];
  /** made by an inspection, or by a decision on old units: `created` is the day it is taken up */
  follows?: boolean;
}

export interface PurchaseStory extends AnyJob {
  kind: 'purchase';
  part: string;
  quantity: number;
  ordered?: { on: number; of: string; promised?: number };
  arrivals?: readonly { on: number; quantity: number; noMore?: boolean }[];
}

export interface WordedStory extends AnyJob {
  kind: 'design' | 'fit-up' | 'trial' | 'other';
  part?: string;
  pieces?: number;
  who?: PersonKey;
  /** where at the machine, where that is not at its own part */
  spot?: string;
  hours?: number;
  days?: number;
  begun?: number;
  finished?: { on: number; result: string };
}

export type JobStory = FabricateStory | PurchaseStory | WordedStory;
