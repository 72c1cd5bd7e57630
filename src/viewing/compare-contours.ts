import type { ContourShape } from '../models/index.ts';

export interface ContourChanges {
  same: ContourShape['contours'];
  /** only in the first */
  gone: ContourShape['contours'];
  /** only in the second */
  added: ContourShape['contours'];
}

interface Measured {
  contour: ContourShape['contours'][number];
  /** left, low, right, high, length, enclosed area, all in mm */
  figures: number[];
  taken: boolean;
}

/** Contours that differ by less than this are the same, in mm: below what any cutter holds. */
const ALIKE = 0.02;
/** Of the length and of the root of the area, beside ALIKE: what cutting curves into straight pieces makes. */
const ALIKE_SHARE = 1e-4;

/**
 * Which contours of two flat patterns are the same, wherever each of them begins and whichever way it runs: those with
 * the same box, length and enclosed area.
 */
export function compareContours(before: ContourShape, after: ContourShape): ContourChanges {
  const was = before.contours.map(measured).sort(byLeft);
  const is = after.contours.map(measured).sort(byLeft);
  const same: ContourShape['contours'] = [];
  let first = 0;
  for (const one of is) {
    while (first < was.length && was[first]!.figures[0]! < one.figures[0]! - ALIKE) first++;
    for (let at = first; at < was.length && was[at]!.figures[0]! <= one.figures[0]! + ALIKE; at++) {
      const other = was[at]!;
      if (other.taken || !alike(one, other)) continue;
      other.taken = true;
      one.taken = true;
      same.push(one.contour);
      break;
    }
  }
  const left = (list: Measured[]) => list.filter(({ taken }) => !taken).map(({ contour }) => contour);
  return { same, gone: left(was), added: left(is) };
}

const byLeft = (a: Measured, b: Measured) => a.figures[0]! - b.figures[0]!;

function alike(a: Measured, b: Measured): boolean {
  if (a.contour.closed !== b.contour.closed) return false;
  return a.figures.every((figure, index) => {
    const apart = Math.abs(figure - b.figures[index]!);
    return apart <= ALIKE + (index < 4 ? 0 : Math.abs(figure) * ALIKE_SHARE);
  });
}

function measured(contour: ContourShape['contours'][number]): Measured {
  const { points, closed } = contour;
  let [left, low, right, high] = [Infinity, Infinity, -Infinity, -Infinity];
  let length = 0;
  let twice = 0;
  const count = points.length / 2;
  for (let at = 0; at < count; at++) {
    const x = points[2 * at]!;
    const y = points[2 * at + 1]!;
    left = Math.min(left, x);
    right = Math.max(right, x);
    low = Math.min(low, y);
    high = Math.max(high, y);
    if (at === count - 1 && !closed) continue;
    const next = (at + 1) % count;
    length += Math.hypot(points[2 * next]! - x, points[2 * next + 1]! - y);
    twice += x * points[2 * next + 1]! - points[2 * next]! * y;
  }
  // The root of the area is a length, so that one tolerance serves for all figures.
  const area = closed ? Math.sqrt(Math.abs(twice) / 2) : 0;
  return { contour, figures: [left, low, right, high, length, area], taken: false };
}
