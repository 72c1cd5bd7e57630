import { round } from './drawing.ts';
import type { NetworkBox } from './near-chain.ts';
import { type LinkLine, lanesOf, layersOf, linksOf, networkPaths } from './network-paths.ts';
import { textLines } from './text-lines.ts';

/*
The network in two layouts. On a wide sheet it runs from left to right, one layer of boxes after the other, cut into
strips like lines of music; what runs beside the chain has lines of its own below it. On a narrow one it runs down the
page: a box a row, with the lines at the left.
*/

/** A box of the wide drawing, with its text in lines; in units of the view box, from the left of the whole drawing. */
export interface DrawnBox {
  x: number;
  y: number;
  width: number;
  height: number;
  lines: string[];
  box: NetworkBox;
}

export interface DrawnLink extends LinkLine {
  d: string;
  arrow: { x: number; y: number };
}

/** One strip of the wide drawing: its part of the whole, from `left` on. */
export interface NetworkStrip {
  left: number;
  width: number;
  height: number;
  boxes: DrawnBox[];
  links: DrawnLink[];
}

const BOX = { width: 178, height: 82, padding: 9 };
const GUTTER = 34;
const PITCH = BOX.width + GUTTER;
const LANE = BOX.height + 18;
const LAYERS_IN_STRIP = 5;
const STRIP = LAYERS_IN_STRIP * PITCH;
/** letters of the wide drawing are 13 units high */
const LINE_EM = (BOX.width - 2 * BOX.padding) / 13;
const ARROW = 1;

/** The network from left to right, in strips one under the other. Empty without boxes. */
export function networkStrips(boxes: readonly NetworkBox[]): NetworkStrip[] {
  if (boxes.length === 0) return [];
  const layers = layersOf(boxes);
  const paths = networkPaths(boxes);
  const lanes = lanesOf(paths, (at) => layers[at]!);
  const laneOf = new Map(paths.flatMap((path, k) => path.boxes.map((at) => [at, lanes[k]!])));

  const drawnBoxes = boxes.map((box, at): DrawnBox => {
    return {
      x: layers[at]! * PITCH + GUTTER / 2,
      y: laneOf.get(at)! * LANE + ARROW,
      ...{ width: BOX.width, height: BOX.height },
      lines: textLines(box.label, LINE_EM, 2),
      box,
    };
  });
  const middle = (lane: number) => lane * LANE + BOX.height / 2 + ARROW;
  // Lines that leave turn just after the box, lines that arrive just before it; those of neighbouring lanes side by side.
  const leaves = (at: number) => (layers[at]! + 1) * PITCH - 12 + (laneOf.get(at)! % 3) * 4;
  const arrives = (at: number) => layers[at]! * PITCH + 1 + (laneOf.get(at)! % 3) * 3;
  const links = paths.flatMap((path, k) =>
    linksOf(boxes, path).map((link) => {
      const [from, to] = [drawnBoxes[link.from]!, drawnBoxes[link.to]!];
      const lane = middle(lanes[k]!);
      const [fromY, toY] = [middle(laneOf.get(link.from)!), middle(laneOf.get(link.to)!)];
      let d = `M${from.x + from.width} ${fromY}`;
      if (fromY !== lane) d += `H${leaves(link.from)}V${lane}`;
      if (toY !== lane) d += `H${arrives(link.to)}V${toY}`;
      d += `H${to.x}`;
      return {
        by: link.by,
        drives: link.drives,
        d,
        arrow: { x: to.x, y: toY },
        from: from.x,
        to: to.x,
        lowest: Math.max(fromY, lane, toY),
      };
    }),
  );
  const strips = Math.floor(Math.max(...layers) / LAYERS_IN_STRIP) + 1;
  return Array.from({ length: strips }, (_, k) => {
    const left = k * STRIP;
    const right = left + STRIP;
    const inside = drawnBoxes.filter(({ x }) => x >= left && x < right);
    const passing = links.filter(({ from, to }) => from < right && to > left);
    const lowest = Math.max(
      ...inside.map(({ y, height }) => y + height),
      ...passing.map((link) => link.lowest),
    );
    const widest = strips === 1 ? Math.max(...inside.map(({ x, width }) => x + width)) : right;
    return {
      left,
      // A short network is not blown up to the width of the sheet.
      width: Math.max(widest - left + GUTTER / 2, STRIP / 2),
      height: round(lowest + 3),
      boxes: inside,
      links: passing.map(({ by, drives, d, arrow }) => ({ by, drives, d, arrow })),
    };
  });
}

/** A piece of line in a row of the narrow drawing, in hundredths of the row's width and height. */
export interface RailPiece extends LinkLine {
  x1: number;
  x2: number;
  y1: number;
  y2: number;
}

export interface RailRow {
  box: NetworkBox;
  /** where its line runs, in hundredths of the width */
  x: number;
  /** whether something leads to it */
  arrives: boolean;
  pieces: RailPiece[];
}

export interface NetworkRails {
  /** whether the lines need the wider margin */
  many: boolean;
  /** where the boxes begin, in hundredths of the width */
  boxesFrom: number;
  rows: RailRow[];
}

/** Margins for the lines of the narrow drawing, in hundredths of its width, as the style sheet has them. */
const FEW = { lanes: 3, margin: 13 };
const MANY_MARGIN = 24;
/** In a row lines branch off under the box and join above it. */
const BRANCH = 90;
const JOIN = 10;
const MIDDLE = 50;

/** The network down the page, a row a box. */
export function networkRails(boxes: readonly NetworkBox[]): NetworkRails {
  const layers = layersOf(boxes);
  const order = boxes
    .map((_, at) => at)
    .sort(
      (a, b) => layers[a]! - layers[b]! || Number(boxes[a]!.onChain) - Number(boxes[b]!.onChain) || a - b,
    );
  const rowOf = new Map(order.map((at, row) => [at, row]));
  const paths = networkPaths(boxes);
  const lanes = lanesOf(paths, (at) => rowOf.get(at)!);
  const laneOf = new Map(paths.flatMap((path, k) => path.boxes.map((at) => [at, lanes[k]!])));
  const count = Math.max(0, ...lanes) + 1;
  const many = count > FEW.lanes;
  const margin = many ? MANY_MARGIN : FEW.margin;
  const step = many ? Math.min(3.8, (MANY_MARGIN - 3) / count) : 3.8;
  const place = (lane: number) => round(1.5 + lane * step);

  const rows = order.map(
    (at): RailRow => ({ box: boxes[at]!, x: place(laneOf.get(at)!), arrives: false, pieces: [] }),
  );
  /** A line down one lane, from a place in one row to a place in another. */
  const down = (line: LinkLine, lane: number, [from, y1]: Spot, [to, y2]: Spot) => {
    const x = place(lane);
    for (let row = from; row <= to; row++) {
      const [top, end] = [row === from ? y1 : 0, row === to ? y2 : 100];
      if (end > top) rows[row]!.pieces.push({ ...line, x1: x, x2: x, y1: top, y2: end });
    }
  };
  const across = (line: LinkLine, row: number, y: number, from: number, to: number) => {
    rows[row]!.pieces.push({ ...line, x1: place(from), x2: place(to), y1: y, y2: y });
  };
  for (const [k, path] of paths.entries()) {
    const lane = lanes[k]!;
    for (const { from, to, by, drives } of linksOf(boxes, path)) {
      const line = { by, drives };
      const [fromRow, toRow] = [rowOf.get(from)!, rowOf.get(to)!];
      const [fromLane, toLane] = [laneOf.get(from)!, laneOf.get(to)!];
      rows[toRow]!.arrives = true;
      let start: Spot = [fromRow, MIDDLE];
      let end: Spot = [toRow, MIDDLE];
      if (fromLane !== lane) {
        down(line, fromLane, start, [fromRow, BRANCH]);
        across(line, fromRow, BRANCH, fromLane, lane);
        start = [fromRow, BRANCH];
      }
      if (toLane !== lane) {
        across(line, toRow, JOIN, lane, toLane);
        down(line, toLane, [toRow, JOIN], end);
        end = [toRow, JOIN];
      }
      down(line, lane, start, end);
    }
  }
  return { many, boxesFrom: margin, rows };
}

type Spot = [row: number, y: number];
