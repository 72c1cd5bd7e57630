import type { PartRow, PartsGraph } from '../parts/index.ts';
import type { AcceptedUnits } from './accepted.ts';
import { type HoursGiven, type HoursReport, NO_HOURS, withReport } from './hours.ts';

/** A main assembly of the machine, and how much of each part goes into it. */
export interface MainAssembly {
  part: PartRow;
  /** thousandths of each part that it takes in all, by part */
  takes: ReadonlyMap<number, number>;
}

type Graph = Pick<PartsGraph, 'parts' | 'structure' | 'tops' | 'required'>;

/**
 * The main assemblies of a machine: what goes into its one top and holds parts itself; where there are several tops, those.
 * What goes into the top without an assembly between is the top's own.
 */
export function mainAssemblies({ parts, structure, tops, required }: Graph): MainAssembly[] {
  const { ids, places, order, firstChild, childTargets, childMilli } = structure;
  const all = required();
  const childrenOf = (place: number) =>
    Array.from(childTargets.subarray(firstChild[place]!, firstChild[place + 1]!));
  const holds = (place: number) => firstChild[place + 1]! > firstChild[place]!;
  const takesOf = (roots: readonly [number, number][]): Map<number, number> => {
    const amounts = new Float64Array(ids.length);
    for (const [place, milli] of roots) amounts[place]! += milli;
    const takes = new Map<number, number>();
    for (const place of order) {
      const own = amounts[place]!;
      if (own === 0) continue;
      takes.set(ids[place]!, own);
      for (let use = firstChild[place]!; use < firstChild[place + 1]!; use++) {
        amounts[childTargets[use]!]! += (own * childMilli[use]!) / 1000;
      }
    }
    return takes;
  };
  const top = tops.length === 1 ? places.get(tops[0]!) : undefined;
  if (top === undefined) {
    return tops.map((id) => ({ part: parts.get(id)!, takes: takesOf([[places.get(id)!, 1000]]) }));
  }
  const found: MainAssembly[] = [];
  const loose: [number, number][] = [];
  const perTop = new Map<number, number>();
  for (let use = firstChild[top]!; use < firstChild[top + 1]!; use++) {
    const child = childTargets[use]!;
    perTop.set(child, (perTop.get(child) ?? 0) + childMilli[use]!);
  }
  for (const place of new Set(childrenOf(top))) {
    const milli = perTop.get(place)!;
    if (holds(place)) found.push({ part: parts.get(ids[place]!)!, takes: takesOf([[place, milli]]) });
    else loose.push([place, milli]);
  }
  const own = takesOf(loose);
  // The top itself is nobody's part of another.
  if (all.has(ids[top]!)) own.set(ids[top]!, all.get(ids[top]!)!);
  if (loose.length > 0 || found.length === 0) found.push({ part: parts.get(ids[top]!)!, takes: own });
  return found;
}

export interface AssemblyYear extends HoursGiven {
  part: PartRow;
  /** whole pieces */
  needed: number;
  accepted: number;
  /** of them in the span */
  inSpan: number;
  /** who told hours for it, for what may be told of them */
  givers: ReadonlySet<number>;
}

/**
 * What each main assembly needs and has. A part that goes into several is shared out by how much of it each takes.
 *
 * @param required  thousandths needed of each part that counts
 * @param accepted  thousandths accepted of them, no more than needed
 * @param units     accepted in the span
 * @param reports   of the span
 * @returns         those that need most first; the ones that need no part that counts and got no hours are left out
 */
export function byAssembly(
  assemblies: readonly MainAssembly[],
  required: ReadonlyMap<number, number>,
  accepted: ReadonlyMap<number, number>,
  units: readonly AcceptedUnits[],
  reports: readonly HoursReport[],
): AssemblyYear[] {
  const totals = new Map<number, number>();
  for (const { takes } of assemblies) {
    for (const [partId, milli] of takes) totals.set(partId, (totals.get(partId) ?? 0) + milli);
  }
  const unitsOf = grouped(units);
  const reportsOf = grouped(reports);
  return assemblies
    .map(({ part, takes }): AssemblyYear => {
      let needed = 0;
      let has = 0;
      let inSpan = 0;
      let given: HoursGiven = NO_HOURS;
      const givers = new Set<number>();
      for (const [partId, milli] of takes) {
        const share = milli / totals.get(partId)!;
        needed += (required.get(partId) ?? 0) * share;
        has += (accepted.get(partId) ?? 0) * share;
        if (required.has(partId)) {
          for (const one of unitsOf.get(partId) ?? []) inSpan += one.milli * share;
        }
        for (const report of reportsOf.get(partId) ?? []) {
          const sum = withReport(given, report);
          given = { ...sum, hours: given.hours + (report.hours ?? 0) * share };
          if (report.hours !== null) givers.add(report.personId);
        }
      }
      return {
        part,
        needed: Math.round(needed / 1000),
        accepted: Math.round(has / 1000),
        inSpan: Math.round(inSpan / 1000),
        givers,
        ...given,
      };
    })
    .filter(({ needed, reports }) => needed > 0 || reports > 0)
    .sort((a, b) => b.needed - a.needed || b.hours - a.hours);
}

function grouped<T extends { partId: number | null }>(rows: readonly T[]): Map<number, T[]> {
  const groups = new Map<number, T[]>();
  for (const row of rows) {
    if (row.partId === null) continue;
    const group = groups.get(row.partId);
    if (group) group.push(row);
    else groups.set(row.partId, [row]);
  }
  return groups;
}
