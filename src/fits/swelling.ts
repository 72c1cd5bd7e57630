/** Relative humidity that a machine stands in, in per cent. */
export interface HumidityRange {
  low: number;
  high: number;
}

/** The air that a material's swelling is told for, from dry to damp, and the air that sizes are drawn for. */
export const LIBRARY_AIR: HumidityRange = { low: 30, high: 80 };
export const DRAWN_AIR = 50;

/**
 * How much longer a length is at the driest and at the dampest than as drawn, in per cent.
 *
 * A material takes up water evenly between dry and damp air, and has had time to: a day for a thin plastic, weeks for a
 * board. Sizes are taken to hold at 50 % of relative humidity, as a workshop mostly has it.
 *
 * @param swelling  per cent from air of 30 % to air of 80 %, as the list of materials has it
 * @returns         dry is below 0 where the air is drier than 50 %
 *
 * Source: 50 % is the air of the standard atmosphere 23/50 of ISO 291 (from memory); that it goes evenly is common
 * practice, no source.
 * Example: beech across the grain, 4.3 %, in air of 40 to 65 % -> { dry: -0.86, damp: 1.29 }
 */
export function swellingIn(swelling: number, { low, high }: HumidityRange): { dry: number; damp: number } {
  const perPercent = swelling / (LIBRARY_AIR.high - LIBRARY_AIR.low);
  const at = (humidity: number) => Number((perPercent * (humidity - DRAWN_AIR)).toFixed(9)) + 0;
  return { dry: at(low), damp: at(high) };
}
