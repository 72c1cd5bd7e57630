import type { ContourShape } from '../facts.ts';

/** A flat pattern as a drawing: a view box, and a path for each contour, with Y down as in SVG. */
export interface ContourDrawing {
  /** left, top, width, height in mm */
  box: { x: number; y: number; width: number; height: number };
  paths: { d: string; layer: string; closed: boolean }[];
}

const MARGIN = 0.04;

/**
 * Contours as SVG paths.
 *
 * @param around  more contours that must have room in the same box: the other revision of the same part
 */
export function drawContours(shape: ContourShape, around: readonly ContourShape[] = []): ContourDrawing {
  let left = Infinity;
  let low = Infinity;
  let right = -Infinity;
  let high = -Infinity;
  for (const { contours } of [shape, ...around]) {
    for (const { points } of contours) {
      for (let at = 0; at + 1 < points.length; at += 2) {
        left = Math.min(left, points[at]!);
        right = Math.max(right, points[at]!);
        low = Math.min(low, points[at + 1]!);
        high = Math.max(high, points[at + 1]!);
      }
    }
  }
  if (!Number.isFinite(left)) return { box: { x: 0, y: 0, width: 1, height: 1 }, paths: [] };
  const edge = MARGIN * Math.max(right - left, high - low, 1e-3);
  return {
    box: {
      x: rounded(left - edge),
      y: rounded(-high - edge),
      width: rounded(right - left + 2 * edge),
      height: rounded(high - low + 2 * edge),
    },
    paths: shape.contours.map(({ layer, closed, points }) => ({ d: pathOf(points, closed), layer, closed })),
  };
}

/** To a thousandth of a mm: finer is below what is cut, and makes pages large. */
const rounded = (value: number) => Math.round(value * 1000) / 1000;

function pathOf(points: Float64Array, closed: boolean): string {
  const steps: string[] = [];
  for (let at = 0; at + 1 < points.length; at += 2) {
    steps.push(`${at === 0 ? 'M' : 'L'}${rounded(points[at]!)} ${rounded(-points[at + 1]!)}`);
  }
  return steps.join('') + (closed ? 'Z' : '');
}

/**
 * A picture of a flat pattern as an SVG file that follows the reader's light or dark. Open contours are dashed: they can't
 * be cut out.
 */
export function contoursSvg(shape: ContourShape): string {
  const { box, paths } = drawContours(shape);
  const { x, y, width, height } = box;
  const lines = paths.map(({ d, closed }) => `<path d="${d}"${closed ? '' : ' class="open"'}/>`).join('');
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${x} ${y} ${width} ${height}">` +
    '<style>path{fill:none;stroke:#1a2023;stroke-width:1.5px;vector-effect:non-scaling-stroke}.open{stroke-dasharray:6 4}' +
    '@media(prefers-color-scheme:dark){path{stroke:#e8e5db}}</style>' +
    `${lines}</svg>`
  );
}
