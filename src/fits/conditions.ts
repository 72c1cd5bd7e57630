import { expansionFactor, REFERENCE_CELSIUS } from '../specs/index.ts';

/** How a part's lengths move: with temperature in 1e-6 per K, and with the air in per cent of what is drawn. */
export interface Movement {
  /** null where the material is not known */
  expansion: number | null;
  /** longer by so many per cent at the driest: mostly below 0 */
  dry: number;
  /** and at the dampest */
  damp: number;
}

export type Air = 'as drawn' | 'driest' | 'dampest';

/** What the whole machine stands in at one moment. */
export interface Condition {
  celsius: number;
  air: Air;
}

export interface TemperatureRange {
  low: number;
  high: number;
}

/** The condition that drawings hold at (ISO 1). */
export const REFERENCE: Condition = { celsius: REFERENCE_CELSIUS, air: 'as drawn' };

/**
 * The conditions to look at: 20 °C, and every corner of the ranges. Lengths go evenly with temperature and with the
 * air's growth, so that the widest and narrowest gap are found at corners. The air's are left out where nothing grows.
 */
export function conditionsFor({ low, high }: TemperatureRange, movements: readonly Movement[]): Condition[] {
  const airs: Air[] = ['as drawn'];
  if (movements.some(({ dry }) => dry !== 0)) airs.push('driest');
  if (movements.some(({ damp }) => damp !== 0)) airs.push('dampest');
  const temperatures = [...new Set([REFERENCE_CELSIUS, low, high])];
  return airs.flatMap((air) => temperatures.map((celsius) => ({ celsius, air })));
}

/**
 * By what a part's lengths are multiplied in a condition; null where that needs an expansion that is not known.
 *
 * The whole part has the temperature, and is free to grow.
 */
export function growth({ expansion, dry, damp }: Movement, { celsius, air }: Condition): number | null {
  const percent = air === 'driest' ? dry : air === 'dampest' ? damp : 0;
  if (expansion === null && celsius !== REFERENCE_CELSIUS) return null;
  return expansionFactor(expansion ?? 0, celsius) * (1 + percent / 100);
}

/** A condition in words. */
export function conditionWords({ celsius, air }: Condition): string {
  return `${celsius} °C${air === 'as drawn' ? '' : `, ${air}`}`.replace('-', '−');
}
