import type { ClaimStory, PersonKey, Promised, PurchaseStory } from './types.ts';

/**
 * A claim that goes its way: begun, all of it finished, posted at once, arrived, and accepted as drawn.
 *
 * @param days  begun, finished, sent, arrived, inspected
 */
export function wholeClaim(
  who: PersonKey,
  on: number,
  pieces: number,
  promise: Promised,
  days: readonly [begun: number, finished: number, sent: number, arrived: number, inspected: number],
  words: string,
  carrier = 'parcel post',
): ClaimStory {
  const [begun, finished, sent, arrived, inspected] = days;
  return {
    who,
    on,
    pieces,
    promise,
    begun,
    reports: [{ on: finished, finished: pieces, words }],
    parcels: [{ sent, pieces, carrier, arrived, checks: [{ on: inspected, pieces }] }],
  };
}

/** A purchase that came at once and whole. */
export function boughtWhole(
  key: string,
  part: string,
  quantity: number,
  of: string,
  [created, ordered, promised, arrived]: readonly [number, number, number, number],
): PurchaseStory {
  return {
    kind: 'purchase',
    key,
    part,
    quantity,
    created,
    ordered: { on: ordered, of, promised },
    arrivals: [{ on: arrived, quantity }],
  };
}
