import { expansionFactor, REFERENCE_CELSIUS } from '../specs/index.ts';
import type { HumidityRange } from './swelling.ts';

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

/** All that a machine stands in: temperatures, and the air where its humidity is given. */
export interface Surroundings extends TemperatureRange {
  humidity: HumidityRange | null;
}

/** Ends that a fit or a chain has of its own; the others are the machine's. */
export interface OwnSurroundings {
  lowCelsius: number | null;
  highCelsius: number | null;
  lowHumidity: number | null;
  highHumidity: number | null;
}

/** What a fit or chain stands in. Air without both of its ends is air that is not told. */
export function surroundingsOf(own: OwnSurroundings, machine: Surroundings): Surroundings {
  const low = own.lowHumidity ?? machine.humidity?.low ?? null;
  const high = own.highHumidity ?? machine.humidity?.high ?? null;
  return {
    low: own.lowCelsius ?? machine.low,
    high: own.highCelsius ?? machine.high,
    humidity: low === null || high === null ? null : { low, high },
  };
}

/** Whether any end is its own. */
export const isOwn = (own: OwnSurroundings) =>
  [own.lowCelsius, own.highCelsius, own.lowHumidity, own.highHumidity].some((end) => end !== null);

export const sameSurroundings = (a: Surroundings, b: Surroundings) =>
  a.low === b.low &&
  a.high === b.high &&
  a.humidity?.low === b.humidity?.low &&
  a.humidity?.high === b.humidity?.high;

/** Surroundings in words: 5 to 35 °C, air of 40 to 65 %. */
export function surroundingsWords({ low, high, humidity }: Surroundings): string {
  const air = humidity ? `, in air of ${humidity.low} to ${humidity.high} % relative humidity` : '';
  return `${low} to ${high} °C`.replaceAll('-', '−') + air;
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
