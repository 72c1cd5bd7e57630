import type { Vector } from './curves.ts';

/** A curve between two places, by their numbers. */
interface Edge {
  from: number;
  to: number;
}

/** Curves that hang together, in an order in which they can be run along. */
export interface Contour {
  /** ends where it begins, as a whole and at every branch */
  closed: boolean;
  /** how often one has to begin anew to run along all of it once */
  pierces: number;
  /** runs of curves, head to tail; `back`: the curve is run from its end to its beginning */
  runs: { curve: number; back: boolean }[][];
}

/**
 * Joins curves whose ends meet.
 *
 * Ends within the tolerance of one another are one place. Where an even number of ends meet at every place of what hangs
 * together, it can be run along without lifting and ends where it begins (Euler 1741); each pair of odd places is a
 * beginning and an end.
 */
export function contoursOf(ends: readonly { from: Vector; to: Vector }[], tolerance: number): Contour[] {
  const places = placesOf(
    ends.flatMap(({ from, to }) => [from, to]),
    tolerance,
  );
  const edges: Edge[] = ends.map((_, at) => ({ from: places[2 * at]!, to: places[2 * at + 1]! }));
  const meeting = new Map<number, number[]>();
  for (const [at, { from, to }] of edges.entries()) {
    for (const place of from === to ? [from] : [from, to]) {
      const list = meeting.get(place);
      if (list) list.push(at);
      else meeting.set(place, [at]);
    }
  }
  const degree = (place: number) =>
    (meeting.get(place) ?? []).reduce((sum, at) => sum + (edges[at]!.from === edges[at]!.to ? 2 : 1), 0);
  const taken = new Uint8Array(edges.length);
  const walk = new Walk(edges, meeting, taken);
  const contours: Contour[] = [];
  const seen = new Uint8Array(edges.length);
  for (let first = 0; first < edges.length; first++) {
    if (seen[first]) continue;
    const group = connected(first, edges, meeting, seen);
    const odd = new Set<number>();
    for (const at of group) {
      for (const place of [edges[at]!.from, edges[at]!.to]) if (degree(place) % 2 === 1) odd.add(place);
    }
    const runs: Contour['runs'] = [];
    for (const place of odd) {
      const run = walk.from(place);
      if (run.length > 0) runs.push(run);
    }
    for (const at of group) if (!taken[at]) runs.push(walk.from(edges[at]!.from));
    contours.push({ closed: odd.size === 0, pierces: Math.max(1, odd.size / 2), runs });
  }
  return contours;
}

/** All curves that hang together with one. */
function connected(
  first: number,
  edges: readonly Edge[],
  meeting: ReadonlyMap<number, number[]>,
  seen: Uint8Array,
): number[] {
  const group = [first];
  seen[first] = 1;
  for (let next = 0; next < group.length; next++) {
    const { from, to } = edges[group[next]!]!;
    for (const place of [from, to]) {
      for (const at of meeting.get(place) ?? []) {
        if (seen[at]) continue;
        seen[at] = 1;
        group.push(at);
      }
    }
  }
  return group;
}

/** Goes on along curves not yet taken until there is none. */
class Walk {
  readonly #next = new Map<number, number>();

  constructor(
    readonly edges: readonly Edge[],
    readonly meeting: ReadonlyMap<number, number[]>,
    readonly taken: Uint8Array,
  ) {}

  from(start: number): { curve: number; back: boolean }[] {
    const run: { curve: number; back: boolean }[] = [];
    let place = start;
    for (;;) {
      const here = this.meeting.get(place) ?? [];
      let next = this.#next.get(place) ?? 0;
      while (next < here.length && this.taken[here[next]!]) next += 1;
      this.#next.set(place, next);
      const curve = here[next];
      if (curve === undefined) return run;
      this.taken[curve] = 1;
      const { from, to } = this.edges[curve]!;
      const back = from !== place;
      run.push({ curve, back });
      place = back ? from : to;
    }
  }
}

/** A number for each point: the same for points within the tolerance, found by a grid of cells of that size. */
function placesOf(points: readonly Vector[], tolerance: number): Int32Array {
  const numbers = new Int32Array(points.length);
  const cells = new Map<string, number[]>();
  for (const [at, point] of points.entries()) {
    const cell = point.map((value) => Math.floor(value / tolerance)) as [number, number, number];
    let place = -1;
    search: for (let dx = -1; dx <= 1; dx++) {
      for (let dy = -1; dy <= 1; dy++) {
        for (let dz = -1; dz <= 1; dz++) {
          for (const other of cells.get(`${cell[0] + dx},${cell[1] + dy},${cell[2] + dz}`) ?? []) {
            const [x, y, z] = points[other]!;
            if (Math.hypot(x - point[0], y - point[1], z - point[2]) <= tolerance) {
              place = numbers[other]!;
              break search;
            }
          }
        }
      }
    }
    numbers[at] = place < 0 ? at : place;
    if (place < 0) cells.set(cell.join(','), [...(cells.get(cell.join(',')) ?? []), at]);
  }
  return numbers;
}
