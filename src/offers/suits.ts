import { boxWords, type ModelBox } from '../drawings/index.ts';
import type { CapabilityGroup, HeldGrade } from '../makers/index.ts';
import { addDays, type Day, daysBetween, dayWords } from '../platform/day.ts';
import { FEWEST_VALUES, gradeWords, plainNumber } from '../specs/index.ts';
import type { DrawingFacts } from './drawing-facts.ts';
import { worksIn } from './works-in.ts';

/** Days in the post, as the history of parcels tells them. */
export interface PostDays {
  days: number;
  /** parcels on this way that have arrived */
  parcels: number;
}

/** A tool as its owner describes it. */
export interface ToolFacts {
  name: string;
  processId: number | null;
  /** sides of the largest piece it takes, in mm, the longest first; as many as are named */
  sidesMm: readonly number[];
  /** words: what it works in */
  materials: string;
}

/** What is known of a maker before an offer. */
export interface MakerFacts {
  personId: number;
  name: string;
  country: string;
  weeklyHours: number;
  tools: readonly ToolFacts[];
  away: readonly { fromOn: Day; untilOn: Day }[];
  /** hours that claims in hand still take, where their jobs name any */
  promisedHours: number;
  /** claims in hand whose jobs name no hours */
  claimsWithoutHours: number;
  record: { finished: number; onTime: number; lateNow: number };
  /** claims posted whole, by the process of their drawing */
  finishedBy: ReadonlyMap<number, number>;
  /** null where the country is not named or nothing can be said */
  post: PostDays | null;
}

/** What an offer asks of whoever makes it. */
export interface OfferFacts extends DrawingFacts {
  processId: number | null;
  process: string;
  /** ISO 286 grades the process usually holds, and at its best */
  grades: { usual: number | null; best: number | null };
  material: { name: string; family: string } | null;
  /** the part's box by its model; null where it has none: then the greatest length named on the drawing counts */
  box: ModelBox | null;
  /** hours that all that is open of it takes; null where the job names none */
  hours: number | null;
  /** the day it must be posted by, from a maker not yet found */
  needByOn: Day | null;
  /** days in the post that day reckons with */
  reckonedPostDays: number | null;
}

/** What was measured of a maker's work by the offer's process. */
export interface MeasuredFacts {
  /** values at the tightest grade the offer asks for, or finer */
  held: HeldGrade;
  capability: CapabilityGroup | null;
}

export type Holds = 'yes' | 'no' | 'unknown';

export interface Reason {
  what: 'process' | 'size' | 'material' | 'tolerance' | 'hours' | 'post' | 'record';
  holds: Holds;
  /** short, about the maker: it reads the same to the lead and to the maker */
  sentence: string;
}

export interface Suitability {
  word: 'suits' | 'may suit' | 'does not suit';
  reasons: Reason[];
  /** what does not hold, in the order of the reasons */
  misfits: Reason[];
}

/** Whether and why an offer suits a maker. Nothing is hidden: what does not hold and what is not known stand among the reasons. */
export function suits(
  maker: MakerFacts,
  offer: OfferFacts,
  measured: MeasuredFacts,
  today: Day,
): Suitability {
  const reasons: Reason[] = [
    ...toolReasons(maker, offer),
    toleranceReason(offer, measured.held),
    ...timeReasons(maker, offer, today),
    recordReason(maker, offer, measured.capability),
  ];
  const misfits = reasons.filter(({ holds }) => holds === 'no');
  const doesProcess = reasons.some(({ what, holds }) => what === 'process' && holds === 'yes');
  const word = misfits.length > 0 ? 'does not suit' : doesProcess ? 'suits' : 'may suit';
  return { word, reasons, misfits };
}

const reason = (what: Reason['what'], holds: Holds, sentence: string): Reason => ({ what, holds, sentence });

/** Process, size and material, by the tool that meets most of them. */
function toolReasons({ tools }: MakerFacts, offer: OfferFacts): Reason[] {
  const { processId, process } = offer;
  if (tools.length === 0) {
    return [
      reason('process', 'unknown', 'no tool is named'),
      reason('size', 'unknown', 'no tool is named'),
      reason('material', 'unknown', 'no tool is named'),
    ];
  }
  if (processId === null) {
    const best = bestTool(tools, offer);
    return [reason('process', 'unknown', 'the drawing names no process'), ...best];
  }
  const fitting = tools.filter((tool) => tool.processId === processId);
  if (fitting.length > 0) {
    const names = fitting.map(({ name }) => name).join(', ');
    return [reason('process', 'yes', `${process}: ${names}`), ...bestTool(fitting, offer)];
  }
  const unnamed = tools.filter((tool) => tool.processId === null);
  if (unnamed.length > 0) {
    const names = unnamed.map(({ name }) => name).join(', ');
    return [
      reason('process', 'unknown', `no tool named for ${process}; of ${names} the process is not named`),
      ...bestTool(unnamed, offer),
    ];
  }
  const none = `no tool for ${process} to go by`;
  return [
    reason('process', 'no', `no tool named for ${process}`),
    reason('size', 'unknown', none),
    reason('material', 'unknown', none),
  ];
}

function bestTool(tools: readonly ToolFacts[], offer: OfferFacts): Reason[] {
  const worth = { yes: 1, unknown: 0, no: -2 };
  const value = (reasons: readonly Reason[]) => reasons.reduce((sum, { holds }) => sum + worth[holds], 0);
  const [first, ...rest] = tools.map((tool) => [sizeReason(tool, offer), materialReason(tool, offer)]);
  return rest.reduce((best, one) => (value(one) > value(best) ? one : best), first ?? []);
}

const millimetres = (mm: number) => `${plainNumber(Number(mm.toFixed(1)))} mm`;

/** The model's box where there is one, against all sides that are named of the tool; else the greatest length named. */
function sizeReason(tool: ToolFacts, { box, greatest }: OfferFacts): Reason {
  if (box) return boxReason(tool, box);
  const { name, sidesMm } = tool;
  const [longest] = sidesMm;
  if (greatest === null)
    return reason('size', 'unknown', 'no model, and the drawing names no length to go by');
  const least = `the part is at least ${millimetres(greatest.mm)} (${greatest.text})`;
  if (longest === undefined) return reason('size', 'unknown', `of ${name} no side is named; ${least}`);
  if (greatest.mm > longest) {
    return reason('size', 'no', `${name} takes ${millimetres(longest)}; ${least}`);
  }
  return reason(
    'size',
    'yes',
    `${name} takes ${millimetres(longest)}; ${least}, look at the drawing for more`,
  );
}

/**
 * A box goes into another, however it is laid along its sides, when each of its sides is no longer than the other's of the
 * same rank. Where not all are
 * named of the tool, its longest counts for the part's longest, and the rest is not known.
 */
function boxReason({ name, sidesMm }: ToolFacts, { name: file, sides }: ModelBox): Reason {
  const is = `the part is ${boxWords(sides)} by its model ${file}`;
  if (sidesMm.length === 0) return reason('size', 'unknown', `of ${name} no side is named; ${is}`);
  const takes = `${name} takes ${boxWords(sidesMm)}`;
  const fits = (at: number) => sides[at]! <= sidesMm[at]!;
  if (sidesMm.length >= 3) {
    return [0, 1, 2].every(fits)
      ? reason('size', 'yes', `${takes}; ${is}`)
      : reason('size', 'no', `${takes}; ${is}, which goes in no way round`);
  }
  const named = sidesMm.length === 1 ? 'of its other sides nothing is named' : 'its third side is not named';
  if (sidesMm.every((_, at) => fits(at))) return reason('size', 'yes', `${takes}, ${named}; ${is}`);
  return reason('size', fits(0) ? 'unknown' : 'no', `${takes}, ${named}; ${is}`);
}

function materialReason({ name, materials }: ToolFacts, { material }: OfferFacts): Reason {
  if (material === null) return reason('material', 'unknown', 'the drawing names no material');
  if (materials.trim() === '') return reason('material', 'unknown', `of ${name} no material is named`);
  const holds = worksIn(materials, material);
  const said = `${name} works in “${materials.trim()}”`;
  if (holds === 'yes') return reason('material', holds, `${said}: ${material.name}`);
  if (holds === 'no') return reason('material', holds, `${said}; ${material.name} is not among it`);
  return reason('material', holds, `${said}: read it against ${material.name}`);
}

/** The grade the drawing asks for, against what the process holds and what of this maker's was measured. */
function toleranceReason({ tightest, grades, process, processId }: OfferFacts, held: HeldGrade): Reason {
  if (tightest === null)
    return reason('tolerance', 'unknown', 'no dimension with limits that a grade goes with');
  const asked = `${tightest.text} asks for ${gradeWords(tightest.grade)}`;
  if (held.count >= FEWEST_VALUES) {
    const seen = `${held.inside} of ${held.count} values measured at that grade or finer were inside`;
    // Who has held it tells more than what the process usually holds.
    const holds = held.inside === held.count ? 'yes' : 2 * held.inside < held.count ? 'no' : 'unknown';
    return reason('tolerance', holds, `${asked}; ${seen}`);
  }
  const { usual, best } = grades;
  if (processId === null) return reason('tolerance', 'unknown', `${asked}; the drawing names no process`);
  if (usual === null && best === null) {
    return reason('tolerance', 'unknown', `${asked}; no grade is known for ${process}`);
  }
  const finest = best ?? usual!;
  const everyday = usual ?? best!;
  if (tightest.grade < finest) {
    return reason('tolerance', 'no', `${asked}; ${process} holds ${gradeWords(finest)} at its best`);
  }
  if (tightest.grade < everyday) {
    const range = `${process} usually holds ${gradeWords(everyday)}, ${gradeWords(finest)} at its best`;
    return reason('tolerance', 'unknown', `${asked}; ${range}: ask`);
  }
  return reason('tolerance', 'yes', `${asked}; ${process} usually holds ${gradeWords(everyday)}`);
}

const count = (number: number, word: string) => `${number} ${number === 1 ? word : `${word}s`}`;

/** Days from one day up to another on which a maker is not away. */
function daysAt(from: Day, until: Day, away: MakerFacts['away']): number {
  let days = 0;
  for (let day = from; day < until; day = addDays(day, 1)) {
    if (!away.some(({ fromOn, untilOn }) => fromOn <= day && day <= untilOn)) days += 1;
  }
  return days;
}

/** Beyond this many days it is of no matter how many hours are free. */
const LONGEST_DAYS = 730;

/** Hours free before the day it must be posted by, and whether the post from this maker leaves any. */
function timeReasons(maker: MakerFacts, offer: OfferFacts, today: Day): Reason[] {
  const { post, country, weeklyHours } = maker;
  const { needByOn, reckonedPostDays } = offer;
  const parcels = post?.parcels ? `${count(post.parcels, 'parcel')} so far` : 'no parcel so far';
  const way = post && `from ${country} ${count(post.days, 'day')} in the post, ${parcels}`;
  if (needByOn === null) {
    return [
      reason(
        'hours',
        'unknown',
        `${plainNumber(weeklyHours)} h a week; no day follows yet by which it is needed`,
      ),
      reason(
        'post',
        'unknown',
        way ?? (country ? `nothing is known of the post from ${country}` : 'no country is named'),
      ),
    ];
  }
  const longer = post && reckonedPostDays !== null ? Math.max(0, post.days - reckonedPostDays) : 0;
  const sendBy = addDays(needByOn, -longer);
  const by = dayWords(sendBy, today);
  const postReason = !way
    ? reason(
        'post',
        'unknown',
        country ? `nothing is known of the post from ${country}` : 'no country is named',
      )
    : sendBy < today
      ? reason('post', 'no', `${way}: too late to send it, ${by} was the last day`)
      : reason('post', 'yes', `${way}: to be sent by ${by}`);
  return [hoursReason(maker, offer, today, sendBy), postReason];
}

function hoursReason(maker: MakerFacts, { hours }: OfferFacts, today: Day, sendBy: Day): Reason {
  const { weeklyHours, away, promisedHours, claimsWithoutHours } = maker;
  const by = dayWords(sendBy, today);
  if (weeklyHours <= 0) return reason('hours', 'no', 'gives no hours a week');
  if (sendBy <= today) return reason('hours', 'no', `no day left: it is to be sent by ${by}`);
  const all = daysBetween(today, sendBy);
  if (all > LONGEST_DAYS) {
    return reason('hours', 'yes', `${plainNumber(weeklyHours)} h a week, and more than two years to ${by}`);
  }
  const days = daysAt(today, sendBy, away);
  const free = Math.max(0, (weeklyHours * days) / 7 - promisedHours);
  const details = [
    `${plainNumber(weeklyHours)} h a week`,
    days < all ? `${count(all - days, 'day')} away` : '',
    promisedHours > 0 ? `${Math.round(promisedHours)} h promised already` : '',
    claimsWithoutHours > 0 ? `${count(claimsWithoutHours, 'claim')} in hand without hours named` : '',
  ].filter(Boolean);
  const said = `about ${Math.round(free)} h free to ${by} (${details.join(', ')})`;
  if (hours === null) {
    return reason('hours', free < 0.5 ? 'no' : 'unknown', `${said}; the job names no hours`);
  }
  const wanted = `what is open takes ${plainNumber(Number(hours.toFixed(1)))} h`;
  if (free < hours) return reason('hours', 'no', `${said}; ${wanted}: some of it may fit`);
  return reason('hours', claimsWithoutHours > 0 ? 'unknown' : 'yes', `${said}; ${wanted}`);
}

function recordReason(
  { record, finishedBy }: MakerFacts,
  offer: OfferFacts,
  measured: CapabilityGroup | null,
): Reason {
  const { finished, onTime, lateNow } = record;
  const places = measured?.places;
  const same = offer.processId === null ? 0 : (finishedBy.get(offer.processId) ?? 0);
  const interval = places?.interval;
  const words = [
    finished === 0 ? 'nothing posted whole yet' : `${onTime} of ${count(finished, 'promise')} on time`,
    lateNow > 0 ? `${lateNow} late now` : '',
    same > 0 ? `${count(same, 'claim')} by ${offer.process} before` : '',
    places && places.cpk !== null && interval
      ? `Cpk ${places.cpk.toFixed(2)} (${interval.low.toFixed(2)} to ${interval.high.toFixed(2)}) of ${places.count} measured values`
      : '',
  ].filter(Boolean);
  const holds = lateNow > 0 ? 'no' : finished === 0 ? 'unknown' : 2 * onTime >= finished ? 'yes' : 'no';
  return reason('record', holds, words.join('; '));
}

/** Reasons that no goodwill changes: without the tool, the size, the material or the grade it can't be made. */
const HARD = new Set<Reason['what']>(['process', 'size', 'material', 'tolerance']);

/**
 * The order of makers for an offer: fewest things that can't be changed against it, then fewest against it at all, then
 * most that hold, then the better share of promises on time, then the shorter post, then the name.
 */
export function bySuitability(
  a: { maker: MakerFacts; suitability: Suitability },
  b: { maker: MakerFacts; suitability: Suitability },
): number {
  const keys = ({ maker, suitability: { reasons, misfits } }: typeof a) => [
    misfits.filter(({ what }) => HARD.has(what)).length,
    misfits.length,
    -reasons.filter(({ holds }) => holds === 'yes').length,
    maker.record.finished ? -maker.record.onTime / maker.record.finished : -0.5,
    maker.post?.days ?? 999,
  ];
  const [one, other] = [keys(a), keys(b)];
  for (const [place, key] of one.entries()) {
    if (key !== other[place]) return key - other[place]!;
  }
  return a.maker.name.localeCompare(b.maker.name) || a.maker.personId - b.maker.personId;
}
