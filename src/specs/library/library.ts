import materials from './materials.json' with { type: 'json' };
import processes from './processes.json' with { type: 'json' };

/** Seen at the source named beside the value, or general knowledge that the user should check. */
export type Confidence = 'published' | 'memory';

/** A property at room temperature: the typical value, and the range that real stock falls in where one is known. */
export interface Property {
  typical: number;
  low?: number;
  high?: number;
  /** The direction the value holds for, where the material has a grain. */
  direction?: string;
  /** The typical value across that direction. */
  across?: number;
  /** The temperatures between which an expansion was measured. */
  between?: string;
  source: string;
  confidence: Confidence;
}

/** A material as the library knows it. Density in kg/m3, expansion in 1e-6 per K near 20 °C, stiffness in GPa. */
export interface LibraryMaterial {
  id: string;
  name: string;
  family: 'metal' | 'plastic' | 'wood' | 'rubber' | 'composite' | 'glass';
  density: Property;
  expansion: Property;
  stiffness: Property;
  /** Per cent by which it is longer in damp air (80 % humidity) than in dry (30 %), where it moves most. */
  swelling: Property;
  /** What water and damp air do to its size. */
  water: { note: string; source: string; confidence: Confidence };
  /** Sizes that dealers usually have, a line for each form. */
  stock: { sizes: string[]; source: string; confidence: Confidence };
  cautions: string[];
  cautionsSource: string;
  source: string;
  confidence: Confidence;
}

/** What a process usually holds: a guide for asking, never a promise. */
export interface LibraryProcess {
  id: string;
  name: string;
  /** ISO 286 grades. */
  grade: { best: number; usual: number; coarsest: number };
  /** Everyday tolerance either way on parts of about 100 mm, in mm. */
  plusMinus: { typical?: number; low?: number; high?: number } | null;
  /** Width of the cut in mm. */
  kerf?: { low: number; high: number };
  /** Everyday tolerance of an angle, in degrees. */
  angle?: { low: number; high: number };
  /** Smallest feature in mm: with care, and usually. */
  smallest: { low: number; high: number; what?: string };
  /** Largest piece in mm that a usual machine takes. */
  envelope: { x: number; y: number; z?: number; what?: string };
  note?: string;
  cautions: string[];
  /** Of the single figures and the cautions, where they have one of their own. */
  sources: { kerf?: string; smallest: string; envelope: string; cautions: string };
  source: string;
  confidence: Confidence;
}

/**
 * Materials often used in volunteer builds, with the source of each value. Typical values, not design values: the
 * maker's data sheet comes first.
 */
export const materialLibrary: readonly LibraryMaterial[] = materials as LibraryMaterial[];

/** Processes often offered by makers, with the grades and tolerances they usually hold. */
export const processLibrary: readonly LibraryProcess[] = processes as LibraryProcess[];
