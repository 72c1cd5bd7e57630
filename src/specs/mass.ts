/** What is known of one piece that gives its mass. */
export interface MassKnown {
  /** weighed, or from a data sheet */
  typedGrams: number | null;
  /** of its model, in mm3 */
  volumeMm3: number | null;
  /** of its material, in kg/m3 */
  density: number | null;
}

/** Masses in grams; null where what it takes is not known. */
export interface MassOf {
  typed: number | null;
  /** volume of the model times density of the material */
  model: number | null;
  /** both are known, and one is more than half as much again as the other: a slip in one of them */
  farApart: boolean;
}

/** Common practice, no source: hollows left out of a model and the spread of densities stay well below it. */
const FAR_APART = 1.5;

/**
 * The mass of one piece as it was typed, and as its model and material give it.
 *
 * Example: 50 000 mm3 of steel (7850) -> 392.5 g
 */
export function massOf({ typedGrams, volumeMm3, density }: MassKnown): MassOf {
  // a kg/m3 is a millionth of a gram per mm3
  const model = volumeMm3 === null || density === null ? null : volumeMm3 * density * 1e-6;
  const ratio = model === null || typedGrams === null ? 1 : model / typedGrams;
  return { typed: typedGrams, model, farApart: !(ratio <= FAR_APART && ratio >= 1 / FAR_APART) };
}
