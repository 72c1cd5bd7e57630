import { NotComputable } from '../platform/not-computable.ts';

/** How one activity waits for another: from its finish (F) or start (S) to the other's start (S) or finish (F). */
export type LinkType = 'FS' | 'SS' | 'FF' | 'SF';

/** The four link types as numbers: bit 0 is set when a link leaves from the start, bit 1 when it ends at the finish. */
export const linkCode: Readonly<Record<LinkType, number>> = { FS: 0, SS: 1, FF: 2, SF: 3 };

/** Links as parallel arrays, in any order; activities are numbered 0 .. count - 1. */
export interface LinkList {
  readonly sources: Int32Array;
  readonly targets: Int32Array;
  /** Values of `linkCode`. */
  readonly types: Uint8Array;
  /** Days, may be negative. */
  readonly lags: Float64Array;
}

/**
 * The links between activities, laid out in an order of work: an activity's place comes after the places of all it
 * waits for. A pass then reads memory from one end to the other, which is what makes it fast.
 */
export interface NetworkGraph {
  readonly count: number;
  /** The activity at each place. */
  readonly order: Int32Array;
  /** The place of each activity. */
  readonly places: Int32Array;
  /** The links that leave place k are `firstLink[k] .. firstLink[k + 1] - 1`. */
  readonly firstLink: Int32Array;
  /** The place each link leads to. */
  readonly linkTargets: Int32Array;
  readonly linkTypes: Uint8Array;
  readonly lags: Float64Array;
}

/**
 * Finds an order of work and lays the links out in it.
 *
 * @param count   number of activities
 * @param links   parallel arrays; two links between the same activities are both kept
 * @param nameOf  the name of an activity, for the message about a circle
 * @returns       a graph that any number of passes may share
 * @throws NotComputable  when the links go round in a circle; `detail.cycle` has the names in order of work
 *
 * Linear in activities and links.
 * Source: order by taking away activities that wait for nothing any more, Kahn, "Topological sorting of large
 * networks" (1962).
 */
export function networkGraph(
  count: number,
  links: LinkList,
  nameOf: (activity: number) => string = String,
): NetworkGraph {
  const { sources, targets, types, lags } = links;
  const linkCount = sources.length;

  // links grouped by the activity they leave, as numbers into the list
  const firstOf = new Int32Array(count + 1);
  const waitingFor = new Int32Array(count);
  for (let link = 0; link < linkCount; link++) {
    firstOf[sources[link]! + 1]!++;
    waitingFor[targets[link]!]!++;
  }
  for (let i = 0; i < count; i++) firstOf[i + 1]! += firstOf[i]!;
  const next = firstOf.slice(0, count);
  const grouped = new Int32Array(linkCount);
  for (let link = 0; link < linkCount; link++) grouped[next[sources[link]!]!++] = link;

  // the part of `order` already filled is at the same time the queue of activities whose links are still to be taken
  const order = new Int32Array(count);
  const places = new Int32Array(count).fill(-1);
  const firstLink = new Int32Array(count + 1);
  const linkTargets = new Int32Array(linkCount);
  const linkTypes = new Uint8Array(linkCount);
  const laidLags = new Float64Array(linkCount);
  let placed = 0;
  let laid = 0;
  for (let i = 0; i < count; i++) if (waitingFor[i] === 0) order[placed++] = i;
  for (let place = 0; place < placed; place++) {
    const i = order[place]!;
    places[i] = place;
    for (let k = firstOf[i]!; k < firstOf[i + 1]!; k++) {
      const link = grouped[k]!;
      const j = targets[link]!;
      linkTargets[laid] = j;
      linkTypes[laid] = types[link]!;
      laidLags[laid] = lags[link]!;
      laid++;
      if (--waitingFor[j]! === 0) order[placed++] = j;
    }
    firstLink[place + 1] = laid;
  }
  if (placed < count) throw circle(links, places, nameOf);
  for (let link = 0; link < linkCount; link++) linkTargets[link] = places[linkTargets[link]!]!;
  return { count, order, places, firstLink, linkTargets, linkTypes, lags: laidLags };
}

/** The links of a graph grouped by the place they lead to: those of place k at `firstLink[k] .. firstLink[k + 1] - 1`. */
export function linksInto({ count, firstLink, linkTargets, linkTypes, lags }: NetworkGraph) {
  const first = new Int32Array(count + 1);
  for (const target of linkTargets) first[target + 1]!++;
  for (let k = 0; k < count; k++) first[k + 1]! += first[k]!;
  const next = first.slice(0, count);
  const into = {
    firstLink: first,
    sources: new Int32Array(linkTargets.length),
    types: new Uint8Array(linkTargets.length),
    lags: new Float64Array(linkTargets.length),
  };
  for (let k = 0; k < count; k++) {
    for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
      const to = next[linkTargets[link]!]!++;
      into.sources[to] = k;
      into.types[to] = linkTypes[link]!;
      into.lags[to] = lags[link]!;
    }
  }
  return into;
}

const namesInMessage = 40;

/**
 * The refusal that names one circle. An activity without a place waits for another without one, so walking back from
 * one to the next comes round in the end.
 */
function circle(links: LinkList, places: Int32Array, nameOf: (activity: number) => string): NotComputable {
  const count = places.length;
  const waitsFor = new Int32Array(count);
  for (let link = links.sources.length - 1; link >= 0; link--) {
    const source = links.sources[link]!;
    if (places[source]! < 0) waitsFor[links.targets[link]!] = source;
  }
  const visited = new Uint8Array(count);
  let at = places.indexOf(-1);
  while (!visited[at]) {
    visited[at] = 1;
    at = waitsFor[at]!;
  }
  const backwards = [at];
  for (let i = waitsFor[at]!; i !== at; i = waitsFor[i]!) backwards.push(i);
  const cycle = startingAtFirst(backwards.reverse()).map(nameOf);
  const named = cycle.slice(0, namesInMessage);
  if (cycle.length > named.length) named.push(`(${cycle.length - named.length} more)`);
  return new NotComputable(
    cycle.length === 1
      ? `activity ${cycle[0]} waits for itself`
      : `these activities wait for one another in a circle: ${[...named, cycle[0]].join(' -> ')}`,
    { cycle },
  );
}

/** The same round trip, begun at the activity that is listed first. */
function startingAtFirst(round: number[]): number[] {
  let first = 0;
  for (let k = 1; k < round.length; k++) if (round[k]! < round[first]!) first = k;
  return [...round.slice(first), ...round.slice(0, first)];
}
