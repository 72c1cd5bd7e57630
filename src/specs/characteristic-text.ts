import { NotComputable } from '../platform/not-computable.ts';
import {
  type Characteristic,
  characteristicText,
  plainNumber,
  type Tolerance,
} from './characteristic-text-written.ts';
import { type LengthUnit, toMm } from './inch.ts';
import { zoneDeviations, zoneOf } from './iso286.ts';
import { LARGEST_SIZE_MM } from './iso2768.ts';

/** The characteristic and its text in the one form it is kept in, or the sentence that says what is wrong with it. */
export type ParsedCharacteristic =
  | { ok: true; characteristic: Characteristic; text: string }
  | { ok: false; message: string };

/** Why a text does not fit; caught at the door of this file. */
class Misfit extends Error {}

const LONGEST_TEXT = 200;

const NUMBER = String.raw`(?:\d+(?:[.,]\d+)?|[.,]\d+)`;
const FRACTION = String.raw`(?:\d+(?:\s+|-))?\d+\/\d+`;
const LENGTH_UNIT = String.raw`(?:mm|millimet(?:re|er)s?|in(?:ch(?:es)?)?\b|")`;
const DEGREES = String.raw`(?:\s*°(?:\s*\d+(?:[.,]\d+)?\s*')?|\s*deg(?:rees?)?\b)`;
const MARK = String.raw`(?:\s*${LENGTH_UNIT}|${DEGREES}|\s*')?`;

const NOMINAL = new RegExp(
  String.raw`^(?<symbol>[ØR])?\s*(?<value>${FRACTION}|${NUMBER})(?<mark>\s*${LENGTH_UNIT}|${DEGREES})?(?<rest>.*)$`,
  'i',
);
const PLUS_MINUS = new RegExp(String.raw`^±\s*(?<value>${NUMBER})(?<mark>${MARK})$`, 'i');
const TWO_DEVIATIONS = new RegExp(
  String.raw`^(?<sign1>[+-]?)\s*(?<value1>${NUMBER})(?<mark1>${MARK})(?:\s*[/;]\s*|\s+|(?=[+-]))(?<sign2>[+-]?)\s*(?<value2>${NUMBER})(?<mark2>${MARK})$`,
  'i',
);
const ZONE = /^(?<zone>[A-Za-z]{1,2}\s?\d{1,2})$/;
const SIDE = new RegExp(String.raw`^side\s*(?<value>${NUMBER})(?<mark>\s*mm)?$`, 'i');
const OTHER_UNIT = /^(cm|dm|m|km|µm|um|nm|ft|feet|foot|thou|mils?|')(?![A-Za-z0-9])/i;
const SHAPE_WORD =
  /^(deep|depth|long|length|wide|width|thick|thickness|high|height|dia|diameter|radius|apart)$/i;

/** One form for the marks that keyboards write in several ways. */
function tidy(text: string): string {
  return text
    .normalize('NFC')
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/[−–—]/g, '-')
    .replace(/\+\s*\/?\s*-(?=\s*[\d.,])/g, '±')
    .replace(/[⌀∅ø]/g, 'Ø')
    .replace(/º/g, '°')
    .replace(/''|[″”“]/g, '"')
    .replace(/[′’]/g, "'");
}

function numberOf(text: string): number {
  const [, decimals = ''] = text.split(/[.,]/);
  if (decimals.length > 9) throw new Misfit(`${text}: no more than nine digits after the point`);
  return Number(text.replace(',', '.'));
}

/** A nominal that may be a fraction of an inch. */
function nominalOf(text: string, mark: string): number {
  if (!text.includes('/')) return numberOf(text);
  if (unitOf(mark) !== 'in') throw new Misfit(`${text}: a fraction is in inches; write ${text} in`);
  const [, whole = '0', top = '', bottom = ''] = /^(?:(\d+)(?:\s+|-))?(\d+)\/(\d+)$/.exec(text) ?? [];
  const parts = Number(bottom);
  // halves of halves are exact decimals, so nothing is lost in keeping 0.375
  if (![2, 4, 8, 16, 32, 64, 128].includes(parts)) {
    throw new Misfit(`${text}: fractions of an inch go by 2, 4, 8, 16, 32, 64 or 128`);
  }
  return Number(whole) + Number(top) / parts;
}

/** What a unit mark says, or null where there is none. */
function unitOf(mark: string | undefined): LengthUnit | 'deg' | null {
  const written = (mark ?? '').trim().toLowerCase();
  if (written === '') return null;
  if (written.startsWith('mm') || written.startsWith('milli')) return 'mm';
  return written === "'" || written.startsWith('°') || written.startsWith('deg') ? 'deg' : 'in';
}

/** Degrees of a value with its mark: 45 and ° 30' is 45.5, and a lone ' makes the value minutes. */
function degreesOf(value: number, mark: string | undefined): number {
  const written = (mark ?? '').trim();
  if (written === "'") return value / 60;
  const minutes = /°\s*([\d.,]+)\s*'/.exec(written)?.[1];
  return minutes === undefined ? value : value + numberOf(minutes) / 60;
}

interface WrittenTolerance {
  tolerance: Tolerance;
  marks: (string | undefined)[];
  shorterSide?: number;
}

function signedValue(sign: string | undefined, value: string, whole: string): number {
  const size = numberOf(value);
  if (sign === '' && size !== 0) {
    throw new Misfit(`${whole}: write + or - before each deviation, as in 12.5 +0.1 -0.2`);
  }
  return sign === '-' ? -size : size;
}

function toleranceOf(rest: string, whole: string): WrittenTolerance {
  if (rest === '') return { tolerance: { by: 'general' }, marks: [] };

  const plusMinus = PLUS_MINUS.exec(rest)?.groups;
  if (plusMinus) {
    const size = numberOf(plusMinus.value ?? '');
    if (size === 0)
      throw new Misfit(`${whole}: ±0 leaves no room; leave the tolerance away for the general class`);
    return { tolerance: { by: 'deviation', upper: size, lower: -size }, marks: [plusMinus.mark] };
  }

  const two = TWO_DEVIATIONS.exec(rest)?.groups;
  if (two && (two.sign1 || two.sign2)) {
    const upper = signedValue(two.sign1, two.value1 ?? '', whole);
    const lower = signedValue(two.sign2, two.value2 ?? '', whole);
    return {
      tolerance: { by: 'deviation', upper: upper + 0, lower: lower + 0 },
      marks: [two.mark1, two.mark2],
    };
  }

  const zone = ZONE.exec(rest)?.groups?.zone;
  if (zone) return { tolerance: { by: 'zone', zone: zoneOf(zone.replace(/\s/, '')).name }, marks: [] };
  if (/^[A-Z]{1,2}\d{1,2}\s*\/\s*[a-z]{1,2}\d{1,2}$/.test(rest)) {
    throw new Misfit(
      `${whole}: ${rest} is a fit; write the hole's zone here and the shaft's at the other part`,
    );
  }

  const side = SIDE.exec(rest)?.groups?.value;
  if (side) return { tolerance: { by: 'general' }, marks: [], shorterSide: numberOf(side) };

  const unit = OTHER_UNIT.exec(rest)?.[1];
  if (unit) throw new Misfit(`${whole}: lengths are in mm or in inches, not in ${unit}; write 25 or 1 in`);
  if (new RegExp(String.raw`^[+-]\s*${NUMBER}${MARK}$`, 'i').test(rest)) {
    throw new Misfit(`${whole}: write both deviations, as in 12.5 +0.1 0, or ± for both ways`);
  }
  throw new Misfit(
    `${whole}: after the size stands nothing, a zone (25 H7), ± (40 ±0.2) or two deviations (12.5 +0.1 -0.2); ` +
      'a note is a line of its own and begins with a word',
  );
}

function checkDeviations(tolerance: Tolerance, nominal: number, unitName: string, whole: string): void {
  if (tolerance.by !== 'deviation') return;
  const { upper, lower } = tolerance;
  if (upper === lower) throw new Misfit(`${whole}: upper and lower deviation are both ${plainNumber(upper)}`);
  if (upper < lower) {
    throw new Misfit(
      `${whole}: the limits are the wrong way round, ${plainNumber(upper)} lies below ${plainNumber(lower)}; ` +
        'write the upper one first',
    );
  }
  if (nominal + lower <= 0) {
    throw new Misfit(
      `${whole}: the lower limit ${plainNumber(nominal + lower)} ${unitName} is not above zero`,
    );
  }
}

function angleOf(
  value: number,
  mark: string | undefined,
  written: WrittenTolerance,
  whole: string,
): Characteristic {
  const nominal = degreesOf(value, mark);
  if (!(nominal > 0) || nominal > 360) throw new Misfit(`${whole}: an angle is over 0° and up to 360°`);
  const { tolerance } = written;
  if (tolerance.by === 'zone')
    throw new Misfit(`${whole}: ${tolerance.zone} is for lengths, an angle has no zone`);
  if (tolerance.by === 'general') {
    const side = written.shorterSide;
    if (side === 0) throw new Misfit(`${whole}: the shorter side has a length over 0 mm`);
    return {
      kind: 'angle',
      nominal,
      unit: 'deg',
      tolerance,
      ...(side === undefined ? {} : { shorterSide: side }),
    };
  }
  const [upperMark, lowerMark = upperMark] = written.marks;
  const inDegrees: Tolerance = {
    by: 'deviation',
    upper: degreesOf(tolerance.upper, upperMark),
    lower: degreesOf(tolerance.lower, lowerMark),
  };
  checkDeviations(inDegrees, nominal, 'degrees', whole);
  return { kind: 'angle', nominal, unit: 'deg', tolerance: inDegrees };
}

/** A size or an angle, from a text that begins with a number. */
function measured(text: string): Characteristic {
  const groups = NOMINAL.exec(text)?.groups;
  if (!groups) throw new Misfit(`${text}: begin with the size, as in 25 H7 or 12.5 +0.1 -0.2`);
  const value = nominalOf(
    groups.value ?? '',
    `${groups.mark ?? ''}${/in(ch(es)?)?$|"$/i.test(text) ? 'in' : ''}`,
  );
  const written = toleranceOf((groups.rest ?? '').trim(), text);
  const units = new Set([groups.mark, ...written.marks].map(unitOf).filter((unit) => unit !== null));
  if (units.size > 1) {
    throw new Misfit(
      `${text}: two units in one size; write all of it in mm, or all of it in inches, or in degrees`,
    );
  }
  const symbol = groups.symbol?.toUpperCase() as 'Ø' | 'R' | undefined;
  const unit = [...units][0] ?? 'mm';
  if (unit === 'deg') {
    if (symbol) throw new Misfit(`${text}: ${symbol} stands before a length, not before an angle`);
    return angleOf(value, groups.mark, written, text);
  }
  if (written.shorterSide !== undefined)
    throw new Misfit(`${text}: a shorter side belongs to an angle; write 90° side 40`);
  const nominalMm = toMm(value, unit);
  if (!(nominalMm > 0)) throw new Misfit(`${text}: a size is over 0`);
  if (nominalMm > LARGEST_SIZE_MM)
    throw new Misfit(
      `${text}: ${plainNumber(nominalMm)} mm is above ${LARGEST_SIZE_MM} mm, the largest size that the standards have limits for`,
    );
  const { tolerance } = written;
  checkDeviations(tolerance, value, unit, text);
  if (tolerance.by === 'zone') {
    if (symbol === 'R') throw new Misfit(`${text}: a radius has no zone; write ± or two deviations`);
    zoneDeviations(nominalMm, tolerance.zone);
  }
  return { kind: 'size', nominal: value, unit, tolerance, ...(symbol ? { symbol } : {}) };
}

/** Whether a text that begins with a number is a sentence all the same: "2 holes deburred", "2 × 45°", "4x M6". */
function isSentence(text: string): boolean {
  if (/^\d+(?:[.,]\d+)?\s*[x×]\s*\d+(?:[.,]\d+)?\s*°/i.test(text)) return true;
  const [, words = ''] = /^\d+\s*(?:[x×]\s*)?(.*)$/i.exec(text) ?? [];
  if (/^M\d/.test(words)) return /^\d+\s*[x×]/i.test(text);
  if (OTHER_UNIT.test(words) || SHAPE_WORD.test(words)) return false;
  return (
    /^\p{L}{3,}(?:[ ,.:;-]|$)/u.test(words) && !new RegExp(`^(?:${LENGTH_UNIT}|deg|side)`, 'i').test(words)
  );
}

function characteristicOf(text: string): Characteristic {
  if (text === '') throw new Misfit('write a size such as 25 H7, or a requirement such as deburr all edges');
  if (text.length > LONGEST_TEXT)
    throw new Misfit(`a characteristic is one line of up to ${LONGEST_TEXT} characters`);
  if (/^[±+-]/.test(text)) throw new Misfit(`${text}: begin with the size, as in 40 ±0.2`);
  // R before a digit is a radius, anything else that begins with a letter is a thread note or a sentence
  if (!/^(?:Ø|R\s*(?=[\d.,])|[\d.,])/i.test(text)) {
    const zone = /^(?!M\d)[A-Za-z]{1,2}\d{1,2}$/.test(text);
    if (zone) {
      const chamfer = /^C\d/i.test(text) ? '; a chamfer is 2 × 45°' : '';
      throw new Misfit(`${text}: write the size before the zone, as in 25 ${text}${chamfer}`);
    }
    if (!/\p{L}/u.test(text))
      throw new Misfit(`${text}: write a size such as 25 H7, or a requirement in words`);
    return { kind: 'requirement', text };
  }
  if (isSentence(text)) return { kind: 'requirement', text };
  const repeated = /^(\d+)\s*[x×]\s*(?=[ØR\d])(.*)$/i.exec(text);
  if (repeated) {
    throw new Misfit(
      `${text}: one line is one size; write ${repeated[2]}, and how often it occurs in its label`,
    );
  }
  const [, number, word] = /^[ØR]?\s*([\d.,]+)\s*(\p{L}+)$/iu.exec(text) ?? [];
  if (word && SHAPE_WORD.test(word))
    throw new Misfit(`${text}: write ${number} alone, and "${word}" in its label`);
  return measured(text);
}

/**
 * Reads what a person types for one characteristic of a drawing.
 *
 * Sizes: `25`, `25 H7`, `Ø8 h6`, `R3`, `12.5 +0.1 -0`, `12,5 +0,1/-0`, `40 ±0.2`, `40 +-0.2`, `3/8 in`,
 * `1.250 ±0.005 in`. Angles: `90°`, `45° ±30'`, `90° side 40` (the shorter side that ISO 2768-1 goes by). A thread note
 * (`M6`, `M8x1`) or a sentence is a requirement. A comma is a decimal point, never a thousands mark. A size without a
 * unit is in mm; inches are kept as inches, exactly 25.4 mm each, and one size never mixes units.
 *
 * @returns  the characteristic with its canonical text, or a sentence that names the text and what was expected
 *
 * Source: notation of ISO 129-1 (deviations, ±) and ISO 286-1 (zones); the shorthand is common practice, no source.
 */
export function parseCharacteristic(typed: string): ParsedCharacteristic {
  try {
    const characteristic = characteristicOf(tidy(typed));
    return { ok: true, characteristic, text: characteristicText(characteristic) };
  } catch (error) {
    if (error instanceof Misfit || error instanceof NotComputable)
      return { ok: false, message: error.message };
    throw error;
  }
}
