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
const LAYERS_IN_STRIP = 5;
const STRIP = LAYERS_IN_STRIP * PITCH;
/** What a lane takes of a strip's height: with boxes on it, and where only lines pass. */
const LANE = BOX.height + 18;
const LANE_OF_LINES = 20;
/** letters of the wide drawing are 13 units high */
const LINE_EM = (BOX.width - 2 * BOX.padding) / 13;
/** room above the first and below the last box for their thick border */
const EDGE = 2;

/** The network from left to right, in strips one under the other. Empty without boxes. */
export function networkStrips(boxes: readonly NetworkBox[]): NetworkStrip[] {
  if (boxes.length === 0) return [];
  const layers = layersOf(boxes);
  const paths = networkPaths(boxes);
  const lanes = lanesOf(paths, (at) => layers[at]!);
  const laneOf = new Map(paths.flatMap((path, k) => path.boxes.map((at) => [at, lanes[k]!])));

  const starts = (at: number) => layers[at]! * PITCH + GUTTER / 2;
  const ends = (at: number) => starts(at) + BOX.width;
  // Lines that leave turn just after the box, lines that arrive just before it; those of neighbouring lanes side by side.
  const leaves = (at: number) => (layers[at]! + 1) * PITCH - 12 + (laneOf.get(at)! % 3) * 4;
  const arrives = (at: number) => layers[at]! * PITCH + 3 + (laneOf.get(at)! % 3) * 2;
  const links = paths.flatMap((path, k) =>
    linksOf(boxes, path).map((link) => {
      const lane = lanes[k]!;
      return {
        ...link,
        lane,
        // where it runs along its lane
        from: laneOf.get(link.from) === lane ? ends(link.from) : leaves(link.from),
        to: laneOf.get(link.to) === lane ? starts(link.to) : arrives(link.to),
        source: link.from,
        target: link.to,
      };
    }),
  );

  const strips = Math.floor(Math.max(...layers) / LAYERS_IN_STRIP) + 1;
  return Array.from({ length: strips }, (_, k) => {
    const left = k * STRIP;
    const right = left + STRIP;
    const inside = boxes.flatMap((_, at) => (starts(at) >= left && starts(at) < right ? [at] : []));
    const passing = links.filter(({ source, target }) => ends(source) < right && starts(target) > left);
    // Lanes without a box in this strip are narrow, those that nothing runs along take no room.
    const heights = new Array<number>(Math.max(...lanes) + 1).fill(0);
    for (const { lane, from, to } of passing) if (from < right && to > left) heights[lane] = LANE_OF_LINES;
    for (const at of inside) heights[laneOf.get(at)!] = LANE;
    const tops: number[] = [];
    let height = EDGE;
    for (const one of heights) {
      tops.push(height);
      height += one;
    }
    const middle = (lane: number) =>
      tops[lane]! + (heights[lane] === LANE ? BOX.height / 2 : LANE_OF_LINES / 2);
    const lowest = heights.findLastIndex((one) => one > 0);
    const widest = Math.max(...inside.map(ends)) - left + GUTTER / 2;
    return {
      left,
      // A short network is not blown up to the width of the sheet.
      width: strips === 1 ? Math.max(widest, STRIP / 2) : STRIP,
      height: (heights[lowest] === LANE ? tops[lowest]! + BOX.height : height) + EDGE,
      boxes: inside.map((at) => ({
        x: starts(at),
        y: tops[laneOf.get(at)!]!,
        width: BOX.width,
        height: BOX.height,
        lines: textLines(boxes[at]!.label, LINE_EM, 2),
        box: boxes[at]!,
      })),
      links: passing.map(({ by, drives, lane, from, to, source, target }) => {
        const [fromY, laneY, toY] = [middle(laneOf.get(source)!), middle(lane), middle(laneOf.get(target)!)];
        const turns = `${from === ends(source) ? '' : `H${from}V${laneY}`}${to === starts(target) ? '' : `H${to}V${toY}`}`;
        return {
          by,
          drives,
          d: `M${ends(source)} ${fromY}${turns}H${starts(target)}`,
          arrow: { x: starts(target), y: toY },
        };
      }),
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
