import type { GatheringTask, GatheringWork } from '../schedule/index.ts';

// What must be brought to a gathering for the work on its agenda. Pure.

/** Where some of a part is. */
export interface PartWhereabouts {
  kind: 'on the shelf' | 'to inspect' | 'in the post' | 'with a maker' | 'on order' | 'with nobody';
  milli: number;
  /** who posted it or has it in hand */
  personId: number | null;
  /** the moment (calendar of the schedule) it is expected by the plan; null where it is here, or nothing is known */
  expected: number | null;
}

/** A part that work on the agenda needs. Quantities in thousandths of its unit. */
export interface PackedPart {
  partId: number;
  milli: number;
  where: PartWhereabouts[];
  /** numbers of the steps that need it */
  steps: number[];
}

/** A way of working that the agenda's parts name, and who has a tool for it. */
export interface PackedProcess {
  processId: number;
  steps: number[];
}

/**
 * The parts that fit-ups on the agenda take, without those that are themselves fitted up there, and those that other work
 * waits for; and where they are now: first what lies on the shelf, then what is nearest.
 *
 * @param tasks  those on the agenda
 * @returns      in the order in which they are first needed
 */
export function partsToPack(
  { schedule, supplies }: Pick<GatheringWork, 'schedule' | 'supplies'>,
  tasks: readonly GatheringTask[],
): PackedPart[] {
  const { structure } = schedule.facts;
  const fittedThere = new Set(
    tasks.flatMap(({ kind, partId }) => (kind === 'fit-up' && partId !== null ? [partId] : [])),
  );
  const needed = new Map<number, PackedPart>();
  const partOf = (partId: number, step: number): PackedPart => {
    const part = needed.get(partId) ?? { partId, milli: 0, where: [], steps: [] };
    part.steps.push(step);
    needed.set(partId, part);
    return part;
  };
  for (const { kind, partId, milli, step } of tasks) {
    const place = partId === null ? undefined : structure.places.get(partId);
    if (kind !== 'fit-up' || place === undefined) continue;
    for (let use = structure.firstChild[place]!; use < structure.firstChild[place + 1]!; use++) {
      const childId = structure.ids[structure.childTargets[use]!]!;
      if (fittedThere.has(childId)) continue;
      partOf(childId, step).milli += Math.ceil((milli * structure.childMilli[use]!) / 1000);
    }
  }
  // What is tried or set up with a part leaves it whole: it is the same one that is fitted.
  for (const { kind, supplies: own, step } of tasks) {
    if (kind === 'fit-up' || kind === 'inspect') continue;
    const sums = new Map<number, number>();
    for (const number of own) {
      const { partId, kind: state, milli } = supplies.get(number)!;
      if (partId !== null && state !== 'work' && structure.places.has(partId)) {
        sums.set(partId, (sums.get(partId) ?? 0) + milli);
      }
    }
    for (const [partId, milli] of sums) {
      const part = partOf(partId, step);
      part.milli = Math.max(part.milli, milli);
    }
  }
  const found = whereabouts(schedule, new Set(needed.keys()));
  for (const part of needed.values()) {
    let left = part.milli;
    for (const where of found(part.partId)) {
      if (left <= 0) break;
      const milli = Math.min(left, where.milli);
      left -= milli;
      part.where.push({ ...where, milli });
    }
    if (left > 0) part.where.push({ kind: 'with nobody', milli: left, personId: null, expected: null });
  }
  return [...needed.values()];
}

/** Where each part is that is still needed: the nearest first. */
function whereabouts({ facts, network, dates }: GatheringWork['schedule'], wanted: ReadonlySet<number>) {
  const { structure } = facts;
  const coming = new Map<number, PartWhereabouts[]>();
  const add = (partId: number, where: PartWhereabouts) => {
    if (where.milli > 0) coming.set(partId, [...(coming.get(partId) ?? []), where]);
  };
  network.nodes.forEach(({ word, partId, claim, job, milli }, at) => {
    if (partId === null || !wanted.has(partId)) return;
    const expected = dates.earlyEnds[at]!;
    if (word === 'travel') add(partId, { kind: 'in the post', milli, personId: claim!.personId, expected });
    else if (word === 'post' && claim)
      add(partId, { kind: 'with a maker', milli, personId: claim.personId, expected });
    else if (word === 'delivery' && job?.orderedAt)
      add(partId, { kind: 'on order', milli, personId: null, expected });
    else if (word === 'inspect' && claim) {
      const here = claim.arrivedMilli - claim.acceptedMilli - claim.rejectedMilli;
      add(partId, { kind: 'to inspect', milli: here, personId: claim.personId, expected: null });
    }
  });
  const order: PartWhereabouts['kind'][] = [
    'on the shelf',
    'to inspect',
    'in the post',
    'with a maker',
    'on order',
  ];
  return (partId: number): PartWhereabouts[] => {
    const all = coming.get(partId) ?? [];
    const shelf = onTheShelf(partId);
    if (shelf > 0) all.push({ kind: 'on the shelf', milli: shelf, personId: null, expected: null });
    return all.sort(
      (a, b) => order.indexOf(a.kind) - order.indexOf(b.kind) || (a.expected ?? 0) - (b.expected ?? 0),
    );
  };

  /** What assemblies still to be fitted take of it, less what is still to come. */
  function onTheShelf(partId: number): number {
    const place = structure.places.get(partId)!;
    const need = network.needs.get(partId);
    let wantedMilli = facts.tops.includes(partId) ? 1000 : 0;
    for (let use = structure.firstParent[place]!; use < structure.firstParent[place + 1]!; use++) {
      const parent = structure.parentSources[use]!;
      const takes = network.needs.get(structure.ids[parent]!)?.takesChildren ?? 0;
      const holders = structure.counted[parent] === 1 ? Math.ceil(takes / 1000) * 1000 : takes;
      wantedMilli += Math.ceil((holders * structure.parentMilli[use]!) / 1000);
    }
    return Math.max(0, wantedMilli - (need?.toGo ?? 0));
  }
}

/** The ways of working that the drawings of the agenda's parts name. */
export function processesToPack(
  { schedule }: Pick<GatheringWork, 'schedule'>,
  tasks: readonly GatheringTask[],
): PackedProcess[] {
  const { facts, network } = schedule;
  const found = new Map<number, number[]>();
  for (const { partId, step, kind } of tasks) {
    if (partId === null || kind === 'inspect') continue;
    const revisions = facts.revisions.get(partId) ?? [];
    const own = revisions.find(({ id }) => id === network.nodes[step]!.job?.revisionId);
    const processId =
      own?.processId ??
      revisions.findLast((revision) => revision.processId !== null)?.processId ??
      facts.parts.get(partId)?.processId ??
      null;
    if (processId !== null) found.set(processId, [...(found.get(processId) ?? []), step]);
  }
  return [...found].map(([processId, steps]) => ({ processId, steps }));
}

/** What a line of a packing list is about, by its key; null for a key that is none. */
export function packingKey(key: string): { kind: 'part' | 'tool' | 'drawing' | 'typed'; id: number } | null {
  const found = /^(part|tool|drawing|typed):([1-9]\d{0,8})$/.exec(key);
  return found ? { kind: found[1] as 'part', id: Number(found[2]) } : null;
}
