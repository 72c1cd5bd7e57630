import {
  fromMm,
  growth,
  type LengthUnit,
  type MaterialEntry,
  parseCharacteristic,
  plainNumber,
  toMm,
} from '../specs/index.ts';
import type { KeptCharacteristic } from './limits-shown.ts';

/** By how much one size grows when it warms by WARMER_BY. Figures are text with their unit. */
export interface GrowthLine {
  /** what grows: a place on the drawing, or nothing for a length of any part */
  label: string;
  size: string;
  amount: string;
}

/** Kelvin that the lines are for. */
export const WARMER_BY = 10;
/** A length to judge any size by, in each unit. */
const YARDSTICK: Readonly<Record<LengthUnit, number>> = { mm: 100, in: 10 };
const FIGURES = 3;

const figures = (value: number, unit: string) =>
  `${plainNumber(Number(value.toPrecision(FIGURES)))} ${unit}`.replace('-', '−');

/**
 * What warming by 10 K does to the key sizes of a part, and to a length to judge the others by.
 *
 * @param material  null where its expansion is not known: no lines
 * @param longestMm the longest side of its model; null where there is none
 * @param unit      in which the person reads; a size drawn in the other unit is converted exactly
 */
export function growthLines(
  material: Pick<MaterialEntry, 'properties'> | null,
  characteristics: readonly Pick<KeptCharacteristic, 'label' | 'text' | 'isKey'>[],
  longestMm: number | null,
  unit: LengthUnit,
): GrowthLine[] {
  const expansion = material?.properties.expansion?.typical;
  if (expansion === undefined) return [];
  const line = (label: string, sizeMm: number): GrowthLine => ({
    label,
    size: `${plainNumber(Number(fromMm(sizeMm, unit).toFixed(5)))} ${unit}`,
    amount: figures(fromMm(growth(sizeMm, expansion, WARMER_BY), unit), unit),
  });
  const keys = characteristics.flatMap(({ label, text, isKey }) => {
    const reading = parseCharacteristic(text);
    if (!isKey || !reading.ok || reading.characteristic.kind !== 'size') return [];
    const { nominal, unit: drawn } = reading.characteristic;
    return [line(label || reading.text, toMm(nominal, drawn))];
  });
  const longest = longestMm === null ? [] : [line('longest side of the model', longestMm)];
  return [...keys, ...longest, line('', toMm(YARDSTICK[unit], unit))];
}

/**
 * What damp air does to a length of the material: `0.85 mm on 100 mm`; empty where it is not known.
 *
 * @param material  its swelling is in per cent from dry air to damp
 */
export function swellingText(material: Pick<MaterialEntry, 'properties'> | null, unit: LengthUnit): string {
  const swelling = material?.properties.swelling?.typical;
  if (swelling === undefined) return '';
  if (swelling === 0) return 'next to nothing';
  return `${figures((YARDSTICK[unit] * swelling) / 100, unit)} on ${YARDSTICK[unit]} ${unit}`;
}
