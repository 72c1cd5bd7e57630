import type { BoxLink, NetworkBox } from './near-chain.ts';

/** Boxes that follow one another on one line of the drawing. */
export interface NetworkPath {
  /** places of its boxes, in order */
  boxes: number[];
  /** the box it branches off from, -1 where it begins by itself */
  source: number;
  /** the box it joins, -1 where it just ends */
  target: number;
}

type Linked = Pick<NetworkBox, 'onChain' | 'after' | 'before'>;

/** The chain as the first path, then what runs beside it: each goes on to what its last box holds up first. */
export function networkPaths(boxes: readonly Linked[]): NetworkPath[] {
  const chain = boxes.flatMap(({ onChain }, at) => (onChain ? [at] : []));
  const paths: NetworkPath[] = chain.length > 0 ? [{ boxes: chain, source: -1, target: -1 }] : [];
  const taken = new Set(chain);
  for (const first of inOrder(boxes)) {
    if (taken.has(first)) continue;
    const path: NetworkPath = { boxes: [], source: boxes[first]!.after, target: -1 };
    let at = first;
    while (at !== -1 && !taken.has(at)) {
      path.boxes.push(at);
      taken.add(at);
      at = boxes[at]!.before;
    }
    path.target = at;
    paths.push(path);
  }
  return paths;
}

/** The places in an order in which every box comes after those that lead to it. */
export function inOrder(boxes: readonly Linked[]): number[] {
  const leading = boxes.map(({ after, before }, at) => ({ at, after, before }));
  const waitsFor = new Int32Array(boxes.length);
  const holds: number[][] = boxes.map(() => []);
  const link = (from: number, to: number) => {
    holds[from]!.push(to);
    waitsFor[to]! += 1;
  };
  for (const { at, after, before } of leading) {
    if (after !== -1) link(after, at);
    if (before !== -1) link(at, before);
  }
  const order = boxes.flatMap((_, at) => (waitsFor[at] === 0 ? [at] : []));
  for (let k = 0; k < order.length; k++) {
    for (const to of holds[order[k]!]!) {
      waitsFor[to]! -= 1;
      if (waitsFor[to] === 0) order.push(to);
    }
  }
  return order;
}

/**
 * The layer of each box: one after all that lead to it. What runs beside the chain stands as late as it can, so that
 * it is near to what it holds up.
 */
export function layersOf(boxes: readonly Linked[]): number[] {
  const order = inOrder(boxes);
  const layers = boxes.map(() => 0);
  const raise = (at: number, to: number) => {
    layers[at] = Math.max(layers[at]!, to);
  };
  for (const at of order) {
    const { after, before } = boxes[at]!;
    if (after !== -1) raise(at, layers[after]! + 1);
    if (before !== -1) raise(before, layers[at]! + 1);
  }
  const first = new Map<number, number>();
  for (const at of order.toReversed()) {
    const { before, onChain } = boxes[at]!;
    if (!onChain) {
      const limits = [
        before === -1 ? Number.POSITIVE_INFINITY : layers[before]!,
        first.get(at) ?? Number.POSITIVE_INFINITY,
      ];
      const limit = Math.min(...limits);
      if (Number.isFinite(limit)) layers[at] = limit - 1;
    }
    const { after } = boxes[at]!;
    if (after !== -1) first.set(after, Math.min(first.get(after) ?? Number.POSITIVE_INFINITY, layers[at]!));
  }
  return layers;
}

/**
 * A line for each path, so that no two meet: 0 for the first, the chain.
 *
 * @param placeOf  where a box stands along the drawing, a whole number; links take half a place before and after
 */
export function lanesOf(paths: readonly NetworkPath[], placeOf: (box: number) => number): number[] {
  const lanes = paths.map(() => 0);
  const taken: [number, number][][] = [];
  const spans = paths.map(({ boxes, source, target }, path) => ({
    path,
    from: source === -1 ? placeOf(boxes[0]!) : placeOf(source) + 0.5,
    to: target === -1 ? placeOf(boxes.at(-1)!) : placeOf(target) - 0.5,
  }));
  const sorted = spans.slice(1).sort((a, b) => a.from - b.from || a.to - b.to || a.path - b.path);
  for (const { path, from, to } of sorted) {
    let lane = taken.findIndex((spans) => spans.every(([start, end]) => to < start || end < from));
    if (lane === -1) lane = taken.push([]) - 1;
    taken[lane]!.push([from, to]);
    lanes[path] = lane + 1;
  }
  return lanes;
}

/** How a line is drawn. */
export interface LinkLine {
  by: BoxLink;
  drives: boolean;
}

/** The links of a path in order: from its source, between its boxes, to its target. */
export function linksOf(
  boxes: readonly NetworkBox[],
  { boxes: own, source, target }: NetworkPath,
): (LinkLine & { from: number; to: number })[] {
  const links: (LinkLine & { from: number; to: number })[] = [];
  const add = (from: number, to: number, by: BoxLink) =>
    links.push({ from, to, by, drives: boxes[from]!.drives && boxes[to]!.drives });
  if (source !== -1) add(source, own[0]!, boxes[own[0]!]!.afterBy);
  for (let k = 1; k < own.length; k++) {
    const [from, to] = [own[k - 1]!, own[k]!];
    add(from, to, boxes[from]!.onChain ? boxes[to]!.afterBy : boxes[from]!.beforeBy);
  }
  if (target !== -1) add(own.at(-1)!, target, boxes[own.at(-1)!]!.beforeBy);
  return links;
}
