import {
  type CharacteristicLimits,
  type GeneralClass,
  type LengthUnit,
  limitsOf,
  MM_PER_INCH,
  parseCharacteristic,
  plainNumber,
  withoutDust,
} from '../specs/index.ts';
import type { Disposition } from './check-rules.ts';

/** A dimension of the drawing as a measured value is held against it. */
export interface Gauged {
  id: number;
  label: string;
  /** as it stands on the drawing */
  text: string;
  /** matters for fit or function: no unit is accepted as drawn without it */
  isKey: boolean;
  nominal: number;
  /** of the drawing, in which values are kept */
  unit: LengthUnit | 'deg';
  /** null where the drawing names none */
  limits: CharacteristicLimits | null;
}

/**
 * A characteristic as something to measure; null for a requirement, which holds or does not.
 *
 * @param generalClass  ISO 2768-1 class of the revision, null where it names none
 */
export function gauged(
  { id, label, text, isKey }: { id: number; label: string; text: string; isKey: boolean },
  generalClass: GeneralClass | null,
): Gauged | null {
  const reading = parseCharacteristic(text);
  if (!reading.ok || reading.characteristic.kind === 'requirement') return null;
  const { nominal, unit } = reading.characteristic;
  const limits = limitsOf(reading.characteristic, generalClass);
  return { id, label, text, isKey, nominal, unit, limits: 'refusal' in limits ? null : limits };
}

const LARGEST = 1_000_000;
const TYPED = /^(?<figures>[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(?<mark>mm|in|inch|inches|"|°|deg)?$/i;

/**
 * A measured value as it was typed, in the drawing's unit.
 *
 * @param shown  the unit the page asks for lengths in; a unit behind the figures goes before it
 *
 * Example: `0,9843` asked in inches for a drawing in mm -> 25.00122; `25.01 mm` asked in inches -> 25.01
 */
export function readMeasured(
  text: string,
  unit: Gauged['unit'],
  shown: LengthUnit,
): { value: number } | { sentence: string } {
  const match = TYPED.exec(text.trim());
  if (!match?.groups) {
    return { sentence: `"${text.trim().slice(0, 30)}" is not a measured value: type figures, like 24.98.` };
  }
  const figures = (match.groups.figures ?? '').replace(',', '.');
  if ((figures.split('.')[1] ?? '').length > 9) return { sentence: 'At most nine digits after the point.' };
  const typed = Number(figures);
  if (Math.abs(typed) > LARGEST) return { sentence: `At most ${LARGEST}; this is ${plainNumber(typed)}.` };
  const mark = (match.groups.mark ?? '').toLowerCase();
  const isAngle = mark === '°' || mark === 'deg';
  if (unit === 'deg') {
    return mark === '' || isAngle ? { value: typed } : { sentence: 'This is an angle: type it in degrees.' };
  }
  if (isAngle) return { sentence: 'This is a length, not an angle.' };
  const given: LengthUnit = mark === '' ? shown : mark === 'mm' ? 'mm' : 'in';
  if (given === unit) return { value: typed };
  return { value: withoutDust(given === 'in' ? typed * MM_PER_INCH : typed / MM_PER_INCH) };
}

/** How a value stands to the limits. */
export type Verdict =
  | { is: 'inside' }
  | { is: 'no limits' }
  /** by how much, in the drawing's unit, above zero */
  | { is: 'above' | 'below'; by: number };

/**
 * Holds a value against the limits; a value on a limit is inside.
 *
 * Source: common practice. The gauge's own uncertainty is left to whoever measures (ISO 14253-1 treats it; from memory).
 */
export function verdictOf(value: number, limits: CharacteristicLimits | null): Verdict {
  if (!limits) return { is: 'no limits' };
  const { lowerLimit, upperLimit } = limits;
  if (value > upperLimit) return { is: 'above', by: withoutDust(value - upperLimit) };
  if (value < lowerLimit) return { is: 'below', by: withoutDust(lowerLimit - value) };
  return { is: 'inside' };
}

/**
 * What a value outside its limits may really be: one in the other unit of length, or with the point in the wrong
 * place. It counts as that when, put right, it lies no further outside the limits than they are apart (or a hundredth
 * of the nominal, where they are closer). Without limits a twentieth of the nominal to either side stands for them.
 *
 * @returns  the question to ask; null when the value looks like what it says
 */
export function suspicionOf(value: number, { nominal, unit, limits }: Gauged): string | null {
  if (value <= 0 || nominal <= 0) return null;
  const { lowerLimit, upperLimit } = limits ?? { lowerLimit: 0.95 * nominal, upperLimit: 1.05 * nominal };
  if (value >= lowerLimit && value <= upperLimit) return null;
  const room = Math.max(upperLimit - lowerLimit, nominal / 100);
  const fits = (put: number) => put >= lowerLimit - room && put <= upperLimit + room;
  if (unit !== 'deg') {
    if (fits(value * MM_PER_INCH)) return 'A 25.4th of what the drawing says: is it in inches?';
    if (fits(value / MM_PER_INCH)) {
      return '25.4 times what the drawing says: is it in mm, or turned from inches twice?';
    }
  }
  if (fits(value * 10) || fits(value / 10)) {
    return 'Ten times off what the drawing says: is the point in its place?';
  }
  return null;
}

/** The verdict in words: the amount in the drawing's unit, and in brackets in the one the page shows, where it is another. */
export function verdictWords(verdict: Verdict, unit: Gauged['unit'], shown: LengthUnit): string {
  switch (verdict.is) {
    case 'inside':
      return 'inside the limits';
    case 'no limits':
      return 'noted; the drawing names no limits';
    default: {
      const amount = unit === 'deg' ? `${plainNumber(verdict.by)}°` : `${plainNumber(verdict.by)} ${unit}`;
      const also = unit === 'deg' || unit === shown ? '' : ` (${shownLength(verdict.by, unit, shown)})`;
      return `${amount} ${verdict.is} the ${verdict.is === 'above' ? 'upper' : 'lower'} limit${also}`;
    }
  }
}

/** A value in the drawing's unit as the page shows it, with its unit. */
export function shownLength(value: number, unit: Gauged['unit'], shown: LengthUnit): string {
  if (unit === 'deg') return `${plainNumber(value)}°`;
  if (unit === shown) return `${plainNumber(value)} ${unit}`;
  const converted = shown === 'in' ? value / MM_PER_INCH : value * MM_PER_INCH;
  // Three digits at least of what is small, six places of what is not: an amount is never shown as nothing.
  const places = Math.max(6, 2 - Math.floor(Math.log10(Math.abs(converted) || 1)));
  return `${plainNumber(Number(converted.toFixed(Math.min(places, 9))))} ${shown}`;
}

/** A value kept with a check, in the drawing's unit. */
export interface Measured {
  characteristicId: number;
  value: number;
}

const nameOf = ({ label, text }: Gauged) => [label, text].filter(Boolean).join(', ');

/** What a form's typed values come to. */
export interface Judged {
  values: Measured[];
  /** a sentence for each dimension whose value does not fit, by its id, in the order of the drawing */
  errors: Map<number, string>;
  /** what is asked about a value before it is taken, by the dimension's id */
  questions: Map<number, string>;
}

/**
 * Reads and judges the values of one unit, all at once.
 *
 * A unit is accepted as drawn only when each key dimension is measured and every value given lies inside its limits; a
 * value that looks like another unit or a slipped point is asked about whatever becomes of the unit.
 *
 * @param typed  by characteristic id; nothing typed is nothing measured
 * @param sure   dimensions whose figure the person has confirmed, by id
 * @param need   which dimensions an accepted piece must have measured
 */
export function judge(
  typed: ReadonlyMap<number, string>,
  dimensions: readonly Gauged[],
  disposition: Disposition,
  shown: LengthUnit,
  sure: ReadonlySet<number>,
  need: 'every' | 'key' = 'key',
): Judged {
  const values: Measured[] = [];
  const errors = new Map<number, string>();
  const questions = new Map<number, string>();
  for (const dimension of dimensions) {
    const text = typed.get(dimension.id)?.trim() ?? '';
    if (text === '') continue;
    const reading = readMeasured(text, dimension.unit, shown);
    if ('sentence' in reading) {
      errors.set(dimension.id, `${nameOf(dimension)}: ${reading.sentence}`);
      continue;
    }
    if (reading.value <= 0 && (dimension.limits?.lowerLimit ?? dimension.nominal) > 0) {
      errors.set(dimension.id, `${nameOf(dimension)}: a size is above zero; type what the gauge shows.`);
      continue;
    }
    values.push({ characteristicId: dimension.id, value: reading.value });
    const question = sure.has(dimension.id) ? null : suspicionOf(reading.value, dimension);
    if (question) {
      questions.set(dimension.id, question);
      errors.set(
        dimension.id,
        `${nameOf(dimension)}: ${question} Type it anew, or tick that it is really so.`,
      );
    }
  }
  const bars =
    disposition === 'accept' ? barsToAccept(values, dimensions, shown, need) : new Map<number, string>();
  const told = dimensions.flatMap(({ id }): [number, string][] => {
    const sentence = errors.get(id) ?? bars.get(id);
    return sentence ? [[id, sentence]] : [];
  });
  return { values, errors: new Map(told), questions };
}

/** Whether each dimension that has limits was measured. */
export function isMeasuredWhole(values: readonly Measured[], dimensions: readonly Gauged[]): boolean {
  const measured = new Set(values.map(({ characteristicId }) => characteristicId));
  return dimensions.every(({ id, limits }) => limits === null || measured.has(id));
}

/** Why these values keep a unit from being accepted as drawn, by characteristic id; empty when nothing does. */
export function barsToAccept(
  values: readonly Measured[],
  dimensions: readonly Gauged[],
  shown: LengthUnit,
  need: 'every' | 'key' = 'key',
): Map<number, string> {
  const bars = new Map<number, string>();
  const measured = new Map(values.map(({ characteristicId, value }) => [characteristicId, value]));
  for (const dimension of dimensions) {
    const { id, isKey, unit, limits } = dimension;
    const value = measured.get(id);
    if (value === undefined) {
      if (isKey) {
        bars.set(
          id,
          `${nameOf(dimension)} is a key dimension: measure it. Where that cannot be done, use a concession and say why.`,
        );
      } else if (need === 'every' && limits) {
        bars.set(
          id,
          `${nameOf(dimension)}: each dimension of this piece is measured, because of the sample.`,
        );
      }
      continue;
    }
    const verdict = verdictOf(value, limits);
    if (verdict.is === 'above' || verdict.is === 'below') {
      bars.set(
        id,
        `${nameOf(dimension)}: ${verdictWords(verdict, unit, shown)}, so not as drawn. Choose what becomes of the unit, or measure again.`,
      );
    }
  }
  return bars;
}
