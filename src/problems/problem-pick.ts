import type { PartsGraph } from '../parts/index.ts';

// Where a problem is, by the structure: one level at a time, or by words. Pure: the graph is handed in.

/** Parts that words find, at most so many. */
export const MOST_FOUND = 40;
/** Parts of one level, at most so many; words find the others. */
export const MOST_OF_LEVEL = 200;

export interface PickedPart {
  number: string;
  name: string;
  /** parts it holds; 0: nothing below it */
  holds: number;
}

export interface Place {
  /** from a top down to the part itself */
  path: PickedPart[];
  /** other assemblies it goes into as well, beside the last but one of the path */
  elsewhere: number;
}

export interface PickLevel {
  /** the part whose inside is shown; null for the tops */
  at: PickedPart | null;
  path: PickedPart[];
  /** the parts it goes into: the ways up */
  above: PickedPart[];
  /** what is in it, or the tops and what goes into nothing */
  below: PickedPart[];
  /** there are more below than are shown */
  more: boolean;
}

function picked(graph: PartsGraph, partId: number): PickedPart {
  const { number, name } = graph.parts.get(partId)!;
  const { places, firstChild } = graph.structure;
  const place = places.get(partId)!;
  return { number, name, holds: firstChild[place + 1]! - firstChild[place]! };
}

/** The parts that a part goes into, each once, in the order of the structure's lines. */
function parentsOf({ structure }: PartsGraph, partId: number): number[] {
  const { ids, places, firstParent, parentSources } = structure;
  const place = places.get(partId)!;
  const parents = new Set<number>();
  for (let use = firstParent[place]!; use < firstParent[place + 1]!; use++) {
    parents.add(ids[parentSources[use]!]!);
  }
  return [...parents];
}

function childrenOf({ structure }: PartsGraph, partId: number): number[] {
  const { ids, places, firstChild, childTargets } = structure;
  const place = places.get(partId)!;
  const children = new Set<number>();
  for (let use = firstChild[place]!; use < firstChild[place + 1]!; use++) {
    children.add(ids[childTargets[use]!]!);
  }
  return [...children];
}

/** Where a part is: one way down to it from a top. Null for a part that the structure does not hold. */
export function placeOfPart(graph: PartsGraph, partId: number): Place | null {
  if (!graph.structure.places.has(partId)) return null;
  const way = [partId];
  // The structure has no loops: each step goes nearer to a top.
  for (let up = parentsOf(graph, partId)[0]; up !== undefined; up = parentsOf(graph, up)[0]) way.unshift(up);
  return {
    path: way.map((id) => picked(graph, id)),
    elsewhere: Math.max(0, parentsOf(graph, partId).length - 1),
  };
}

/** A part and all that is in it, at any depth, by id; only itself where the structure does not hold it. */
export function partsWithin(graph: PartsGraph, partId: number): number[] {
  const within = new Set([partId]);
  if (!graph.structure.places.has(partId)) return [partId];
  for (const id of within) for (const child of childrenOf(graph, id)) within.add(child);
  return [...within];
}

/** One level of the structure; the tops where the number is none of a part. */
export function levelOf(graph: PartsGraph, number: string): PickLevel {
  const part = number === '' ? null : graph.byNumber(number);
  const below = part ? childrenOf(graph, part.id) : [...graph.tops, ...graph.loose];
  return {
    at: part && picked(graph, part.id),
    path: part ? (placeOfPart(graph, part.id)?.path ?? []) : [],
    above: part ? parentsOf(graph, part.id).map((id) => picked(graph, id)) : [],
    below: below.slice(0, MOST_OF_LEVEL).map((id) => picked(graph, id)),
    more: below.length > MOST_OF_LEVEL,
  };
}

/** Parts whose number or name holds every word, in the order of their numbers. */
export function foundParts(graph: PartsGraph, words: string): { parts: PickedPart[]; more: boolean } {
  const wanted = plain(words).split(' ').filter(Boolean);
  if (wanted.length === 0) return { parts: [], more: false };
  const parts: PickedPart[] = [];
  for (const { id, number, name } of graph.parts.values()) {
    const key = plain(`${number} ${name}`);
    if (!wanted.every((word) => key.includes(word))) continue;
    if (parts.length === MOST_FOUND) return { parts, more: true };
    parts.push(picked(graph, id));
  }
  return { parts, more: false };
}

/** Small letters without marks, single blanks. */
function plain(text: string): string {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').replace(/\s+/g, ' ').trim().toLowerCase();
}
