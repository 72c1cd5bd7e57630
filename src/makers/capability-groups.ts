import type { MeasuredAt } from '../receiving/index.ts';
import { type Capability, capability, gradeOfLimits, placeWithin } from '../specs/index.ts';

/** What one maker's measured values of one process come to. */
export interface CapabilityGroup {
  personId: number;
  /** null: neither the drawing nor the part names one */
  processId: number | null;
  /** values that count, each held against its own limits */
  count: number;
  outside: number;
  /** values left out because they look like another unit or a slipped point */
  suspect: number;
  /** of every value's place between its own limits, -1 to 1; null under eight values */
  places: Capability | null;
  /** each dimension apart, in its own unit, those with most values first */
  dimensions: DimensionCapability[];
}

/** The values of one dimension of a drawing. */
export interface DimensionCapability {
  partNumber: string;
  letter: string;
  label: string;
  text: string;
  unit: string;
  count: number;
  outside: number;
  /** null under eight values */
  capability: Capability | null;
}

type Limited = MeasuredAt & { dimension: { limits: NonNullable<MeasuredAt['dimension']['limits']> } };

const hasLimits = (one: MeasuredAt): one is Limited => one.dimension.limits !== null;

const isOutside = ({ value, dimension: { limits } }: Limited) =>
  value < limits.lowerLimit || value > limits.upperLimit;

/**
 * Measured values by maker and process.
 *
 * Dimensions with different limits are taken together by each value's place between its own limits, so that a group tells
 * how much of the tolerance given a maker uses up, and to which side. Values without limits, and those that look like a
 * slip of the pen, are left out; the latter are counted.
 *
 * Source: scaling values by their own limits to pool short runs of different parts is common practice, no source.
 */
export function capabilityGroups(values: readonly MeasuredAt[]): CapabilityGroup[] {
  const groups = new Map<string, Limited[]>();
  for (const one of values) {
    if (!hasLimits(one)) continue;
    const key = `${one.personId} ${one.processId}`;
    const group = groups.get(key);
    if (group) group.push(one);
    else groups.set(key, [one]);
  }
  return [...groups.values()].map((group) => {
    const sound = group.filter(({ suspicion }) => suspicion === null);
    const [{ personId, processId }] = group as [Limited, ...Limited[]];
    return {
      personId,
      processId,
      count: sound.length,
      outside: sound.filter(isOutside).length,
      suspect: group.length - sound.length,
      places: placesOf(sound),
      dimensions: dimensionsOf(sound),
    };
  });
}

function placesOf(values: readonly Limited[]): Capability | null {
  const places = values.map(({ value, dimension }) => placeWithin(value, dimension.limits));
  const answer = capability({ values: places, lower: -1, upper: 1 });
  // Counted by the limits themselves: a place may miss 1 by binary dust.
  return answer && { ...answer, outside: values.filter(isOutside).length };
}

function dimensionsOf(values: readonly Limited[]): DimensionCapability[] {
  const byDimension = new Map<number, Limited[]>();
  for (const one of values) {
    const list = byDimension.get(one.dimension.id);
    if (list) list.push(one);
    else byDimension.set(one.dimension.id, [one]);
  }
  return [...byDimension.values()]
    .map((list) => {
      const [{ dimension, partNumber, letter }] = list as [Limited, ...Limited[]];
      const { lowerLimit: lower, upperLimit: upper } = dimension.limits;
      return {
        partNumber,
        letter,
        label: dimension.label,
        text: dimension.text,
        unit: dimension.unit === 'deg' ? '°' : dimension.unit,
        count: list.length,
        outside: list.filter(isOutside).length,
        capability: capability({ values: list.map(({ value }) => value), lower, upper }),
      };
    })
    .sort((a, b) => b.count - a.count || a.partNumber.localeCompare(b.partNumber));
}

/** How many of a maker's values at a grade or finer lie inside their limits. */
export interface HeldGrade {
  count: number;
  inside: number;
}

/**
 * What a maker has held of a grade: measured values of a process on dimensions that ask for this grade or a finer one.
 *
 * @param values  of one maker
 */
export function heldGrade(values: readonly MeasuredAt[], processId: number, grade: number): HeldGrade {
  const asked = values.filter((one): one is Limited => {
    if (one.processId !== processId || one.suspicion !== null || !hasLimits(one)) return false;
    const asks = gradeOfLimits(one.dimension.nominal, one.dimension.limits);
    return asks !== null && asks <= grade;
  });
  return { count: asked.length, inside: asked.filter((one) => !isOutside(one)).length };
}
