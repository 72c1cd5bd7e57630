import type { FileFacts } from '../models/index.ts';
import { plainNumber } from '../specs/index.ts';

/** Sides of what a file holds, the longest first, in mm: three of a model, two of a flat pattern; none where it says nothing. */
export function sidesOf(facts: FileFacts | null): number[] {
  if (!facts?.size) return [];
  const { x, y, z } = facts.size;
  return (facts.format === 'DXF' ? [x, y] : [x, y, z]).sort((a, b) => b - a);
}

/**
 * How far a side may be off without meaning anything, in mm: a curve cut into facets falls short of itself, those of an
 * STL as coarse as somebody chose.
 */
export function slackOf(facts: FileFacts, mm: number): number {
  return 0.01 + mm * (facts.format === 'STL' ? 0.01 : 0.001);
}

/**
 * Whether a model is one flat plate: its least side is little above what volume and surface give as its thickness. A bent
 * sheet, a box with walls and a plate with a boss are none.
 */
export function isPlate({ format, size, volume, area }: FileFacts): boolean {
  if (format === 'DXF' || !size || !volume || !area) return false;
  const [, middle = 0, least = 0] = [size.x, size.y, size.z].sort((a, b) => b - a);
  return least <= (1.35 * 2 * volume) / area && least <= middle / 3;
}

/** Factors by which units are mistaken for one another. */
const FACTORS = [25.4, 10] as const;
const NEAR = 0.02;

/** 25.4 or 10, or the inverse of one, where one length is about so many times another; else null. */
export function unitFactor(mm: number, of: number): number | null {
  const ratio = mm / of;
  return (
    FACTORS.flatMap((factor) => [factor, 1 / factor]).find((one) => Math.abs(ratio / one - 1) <= NEAR) ?? null
  );
}

/** "25.4 times", "a tenth of": how a factor is said. */
export function timesWords(factor: number): string {
  if (factor > 1) return `${plainNumber(factor)} times`;
  return factor > 0.05 ? 'a tenth of' : 'one part in 25.4 of';
}

/** A length in mm with as many places as are worth reading. */
export function inMm(mm: number): string {
  return `${plainNumber(Number(mm.toFixed(mm >= 1000 ? 0 : mm >= 10 ? 1 : 2)))} mm`;
}

/** "160 × 60 × 4 mm" */
export function boxWords(sides: readonly number[]): string {
  return `${sides.map((side) => inMm(side).slice(0, -3)).join(' × ')} mm`;
}
