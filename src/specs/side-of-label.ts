import { parseCharacteristic } from './characteristic-text.ts';
import { zoneOf } from './iso286.ts';

const word = (...words: string[]) => new RegExp(String.raw`\b(?:${words.join('|')})\b`, 'i');

/** Words for what is looked into, and for what goes into it. */
const HOLE = word(
  'bore',
  'bored',
  'holes?',
  'counterbore',
  'sockets?',
  'slots?',
  'keyways?',
  'grooves?',
  'recess',
  'pockets?',
  'inside',
  'internal',
);
const SHAFT = word(
  'shafts?',
  'journals?',
  'spigots?',
  'pins?',
  'pegs?',
  'tenons?',
  'dowels?',
  'shanks?',
  'spindle',
  'arbor',
  'axle',
  'trunnions?',
  'outside',
  'external',
);

/**
 * Which side of a fit the words beside a size say it is on.
 *
 * @returns  null where they say nothing, or name both ("keyway in the shaft")
 *
 * Source: trade words; common practice, no source.
 * Example: "bore of the hub" -> 'hole'; "journal, left" -> 'shaft'; "length" -> null
 */
export function sideOfLabel(label: string): 'hole' | 'shaft' | null {
  const [hole, shaft] = [HOLE.test(label), SHAFT.test(label)];
  if (hole === shaft) return null;
  return hole ? 'hole' : 'shaft';
}

/**
 * What is wrong with a zone for the side that the label names: h6 on a bore, H7 on a journal.
 *
 * @param text  of a characteristic, in any form that parseCharacteristic reads
 * @returns     a sentence without its full stop; null where nothing speaks against it
 */
export function zoneOnWrongSide(text: string, label: string): string | null {
  const reading = parseCharacteristic(text);
  if (!reading.ok || reading.characteristic.kind !== 'size') return null;
  const { tolerance } = reading.characteristic;
  const side = sideOfLabel(label);
  if (tolerance.by !== 'zone' || side === null) return null;
  const { feature, name } = zoneOf(tolerance.zone);
  if (feature === side) return null;
  const [own, other] = side === 'hole' ? ['a hole', 'capital'] : ['a shaft', 'small'];
  return (
    `${reading.text}: ${name} is a zone of a ${feature}, and "${label}" is ${own}; ` +
    `zones of ${own} have ${other} letters. If the words mean something else, write the place differently`
  );
}
