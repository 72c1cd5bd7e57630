import type { Actor } from '../platform/acts.ts';
import { type Day, daysBetween } from '../platform/day.ts';
import type { Refusal } from '../platform/refusal.ts';

// What may be done with a gathering: each rule answers null, or why not. Pure; the acts ask them in their transaction.

export const LONGEST_GATHERING_DAYS = 60;
export const MOST_PLACES = 500;

export interface GatheringFacts {
  title: string;
  fromOn: Day;
  untilOn: Day;
  places: number;
  droppedAt: Date | null;
}

/** Whether its last day is past. */
export function gatheringOver({ untilOn }: Pick<GatheringFacts, 'untilOn'>, today: Day): boolean {
  return untilOn < today;
}

export function calledOff(gathering: GatheringFacts): Refusal | null {
  return gathering.droppedAt ? { code: 'called-off', sentence: `${gathering.title} is called off.` } : null;
}

/** What is wrong with its days, and at which field; null when they fit. */
export function daysFit(
  fromOn: Day,
  untilOn: Day,
  today: Day,
): { field: 'fromOn' | 'untilOn'; sentence: string } | null {
  const days = daysBetween(fromOn, untilOn) + 1;
  if (days < 1) return { field: 'untilOn', sentence: `The last day comes before the first, ${fromOn}.` };
  if (days > LONGEST_GATHERING_DAYS) {
    return { field: 'untilOn', sentence: `At most ${LONGEST_GATHERING_DAYS} days; these are ${days}.` };
  }
  return untilOn < today ? { field: 'untilOn', sentence: `This day is past: today is ${today}.` } : null;
}

/** A person says for themselves that they come or don't; the lead may say it for anybody. */
export function maySpeakFor(actor: Actor, personId: number): Refusal | null {
  return actor.role === 'lead' || actor.personId === personId
    ? null
    : { code: 'not-you', sentence: 'You can say this for yourself only; the lead can for others.' };
}

/** Whether one more may come. @param taken  how many come already, without this person */
export function mayCome(gathering: GatheringFacts, taken: number, today: Day): Refusal | null {
  const barred = calledOff(gathering);
  if (barred) return barred;
  if (gatheringOver(gathering, today)) {
    return { code: 'gathering-over', sentence: `${gathering.title} is over.` };
  }
  return taken < gathering.places
    ? null
    : {
        code: 'no-place-left',
        sentence: `All ${gathering.places} places of ${gathering.title} are taken.`,
      };
}

/** Its place is told to those who come, and to the shop that prepares it. */
export function seesPlace(actor: Actor, comes: boolean): boolean {
  return actor.role === 'lead' || actor.role === 'crew' || (actor.role === 'maker' && comes);
}

/**
 * Whether somebody may say something of a line of the packing list: lead and crew of each, a maker who comes of what they
 * bring and of what nobody brings.
 *
 * @param comes      whether they come themselves
 * @param bringerId  who brings it; null for nobody as yet
 */
export function mayPack(actor: Actor, comes: boolean, bringerId: number | null): Refusal | null {
  if (actor.role === 'lead' || actor.role === 'crew') return null;
  if (!comes) return { code: 'not-coming', sentence: 'Only who comes packs for it.' };
  return bringerId === null || bringerId === actor.personId
    ? null
    : { code: 'not-yours', sentence: 'Somebody else brings this: lead and crew can change that.' };
}
