import { Unreadable } from '../facts.ts';
import {
  type Arc,
  type Curve,
  carried,
  composed,
  type Frame,
  identity,
  type Spline,
  type Vector,
} from './curves.ts';
import { coordinate, type DxfDocument, type DxfEntity, numberAt, pointAt } from './dxf-document.ts';

/** A curve of the drawing and the layer it is cut on. */
export interface LaidCurve {
  layer: string;
  curve: Curve;
}

export interface DxfCurves {
  curves: LaidCurve[];
  /** what gave no curve, by its type */
  others: Map<string, number>;
  layers: Set<string>;
}

const mostSteps = 400_000;
const deepest = 24;
const mostControl = 20_000;
const mostDegree = 25;

/** Kinds whose points lie in a plane of their own (OCS), by the format's description. */
const inOwnPlane = new Set(['ARC', 'CIRCLE', 'LWPOLYLINE', 'POLYLINE', 'INSERT']);

/**
 * The curves of the model space, blocks unfolded at their places, in the drawing's own unit.
 *
 * @throws Unreadable  a number that is none; blocks that hold themselves, nest too deep or unfold to too much
 */
export function dxfCurves({ entities, blocks }: DxfDocument): DxfCurves {
  const curves: LaidCurve[] = [];
  const others = new Map<string, number>();
  const layers = new Set<string>();
  let steps = 0;
  const step = () => {
    steps += 1;
    if (steps > mostSteps) {
      throw new Unreadable(
        `The blocks of the DXF unfold to more than ${mostSteps.toLocaleString('en')} entities.`,
      );
    }
  };
  const lay = (
    list: readonly DxfEntity[],
    frame: Frame,
    onLayer: string | null,
    within: readonly string[],
  ) => {
    for (const entity of list) {
      step();
      // What stands on the sheet beside the model is a drawing's frame and its views.
      if (within.length === 0 && numberAt(entity, 67, 0) === 1) continue;
      const layer = entity.layer === '0' && onLayer !== null ? onLayer : entity.layer;
      const own = inOwnPlane.has(entity.type) ? composed(frame, planeOf(entity)) : frame;
      if (entity.type === 'INSERT') {
        const name = entity.tags.find(({ code }) => code === 2)?.value.toUpperCase() ?? '';
        const block = blocks.get(name);
        if (!block) {
          others.set('INSERT', (others.get('INSERT') ?? 0) + 1);
          continue;
        }
        if (within.includes(name)) throw new Unreadable('A block of the DXF holds itself.');
        if (within.length >= deepest) {
          throw new Unreadable(`Blocks of the DXF lie more than ${deepest} deep in one another.`);
        }
        for (const place of places(entity, block.base)) {
          step();
          lay(block.entities, composed(own, place), layer, [...within, name]);
        }
        continue;
      }
      layers.add(layer);
      const found = curvesOf(entity);
      if (!found) others.set(entity.type, (others.get(entity.type) ?? 0) + 1);
      else for (const curve of found) curves.push({ layer, curve: carried(own, curve) });
    }
  };
  lay(entities, identity, null, []);
  return { curves, others, layers };
}

/** The plane of an entity from its direction of extrusion, by the format's arbitrary axis rule. */
function planeOf(entity: DxfEntity): Frame {
  const [nx, ny, nz] = pointAt(entity, 210, [0, 0, 1]);
  const length = Math.hypot(nx, ny, nz);
  if (length === 0 || (nx === 0 && ny === 0 && nz > 0)) return identity;
  const z: Vector = [nx / length, ny / length, nz / length];
  const near = Math.abs(z[0]) < 1 / 64 && Math.abs(z[1]) < 1 / 64;
  const x = unit(cross(near ? [0, 1, 0] : [0, 0, 1], z));
  return { x, y: unit(cross(z, x)), z, origin: [0, 0, 0] };
}

const cross = (a: Vector, b: Vector): Vector => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

function unit(v: Vector): Vector {
  const length = Math.hypot(...v);
  return [v[0] / length, v[1] / length, v[2] / length];
}

/** Every place that an INSERT puts its block at: more than one where it repeats it in rows and columns. */
function* places(entity: DxfEntity, base: Vector): Generator<Frame> {
  const [px, py, pz] = pointAt(entity, 10);
  const angle = (numberAt(entity, 50, 0) * Math.PI) / 180;
  const [sx, sy, sz] = [41, 42, 43].map((code) => numberAt(entity, code, 1)) as [number, number, number];
  const columns = Math.max(1, Math.trunc(numberAt(entity, 70, 1)));
  const rows = Math.max(1, Math.trunc(numberAt(entity, 71, 1)));
  const [across, up] = [numberAt(entity, 44, 0), numberAt(entity, 45, 0)];
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const [dx, dy] = [column * across, row * up];
      const frame: Frame = {
        x: [sx * c, sx * s, 0],
        y: [-sy * s, sy * c, 0],
        z: [0, 0, sz],
        origin: [px + dx * c - dy * s, py + dx * s + dy * c, pz],
      };
      const shift: Frame = { ...identity, origin: [-base[0], -base[1], -base[2]] };
      yield composed(frame, shift);
    }
  }
}

/** The curves of one entity in its own plane; null when it is nothing that is cut. */
function curvesOf(entity: DxfEntity): Curve[] | null {
  switch (entity.type) {
    case 'LINE':
      return [{ kind: 'line', from: pointAt(entity, 10), to: pointAt(entity, 11) }];
    case 'CIRCLE':
      return [arc(pointAt(entity, 10), numberAt(entity, 40, 0), 0, 2 * Math.PI)];
    case 'ARC': {
      const [begin, end] = [50, 51].map((code) => (numberAt(entity, code, 0) * Math.PI) / 180) as [
        number,
        number,
      ];
      return [arc(pointAt(entity, 10), numberAt(entity, 40, 0), begin, begin + sweep(begin, end))];
    }
    case 'ELLIPSE':
      return [ellipse(entity)];
    case 'LWPOLYLINE':
      return lightPolyline(entity);
    case 'POLYLINE':
      return polyline(entity);
    case 'SPLINE':
      return spline(entity);
    default:
      return null;
  }
}

/** How far it is from one angle on to another, more than nothing and at most once round. */
function sweep(begin: number, end: number): number {
  const turn = 2 * Math.PI;
  const along = (((end - begin) % turn) + turn) % turn;
  return along < 1e-12 ? turn : along;
}

function arc(centre: Vector, radius: number, begin: number, end: number): Arc {
  return { kind: 'arc', centre, a: [radius, 0, 0], b: [0, radius, 0], begin, end };
}

function ellipse(entity: DxfEntity): Arc {
  const a = pointAt(entity, 11);
  const normal = unit(pointAt(entity, 210, [0, 0, 1]));
  const ratio = numberAt(entity, 40, 1);
  const [bx, by, bz] = cross(normal, a);
  const begin = numberAt(entity, 41, 0);
  const end = numberAt(entity, 42, 2 * Math.PI);
  return {
    kind: 'arc',
    centre: pointAt(entity, 10),
    a,
    b: [bx * ratio, by * ratio, bz * ratio],
    begin,
    end: begin + sweep(begin, end),
  };
}

interface Corner {
  at: Vector;
  bulge: number;
}

function lightPolyline(entity: DxfEntity): Curve[] {
  const height = numberAt(entity, 38, 0);
  const corners: { x: number; y: number; bulge: number }[] = [];
  for (const { code, value } of entity.tags) {
    if (code === 10) corners.push({ x: coordinate(value, entity.type), y: 0, bulge: 0 });
    const corner = corners.at(-1);
    if (!corner) continue;
    if (code === 20) corner.y = coordinate(value, entity.type);
    if (code === 42) corner.bulge = coordinate(value, entity.type);
  }
  return joined(
    corners.map(({ x, y, bulge }) => ({ at: [x, y, height] as const, bulge })),
    (numberAt(entity, 70, 0) & 1) === 1,
  );
}

/** A polyline of the older form; null for meshes, which share its name. */
function polyline(entity: DxfEntity): Curve[] | null {
  const flags = numberAt(entity, 70, 0);
  if (flags & (16 | 64)) return null;
  const corners: Corner[] = [];
  for (const tags of entity.vertices) {
    const vertex = { type: 'VERTEX', tags };
    // The frame that a smoothed polyline was drawn over is kept beside it.
    if (numberAt(vertex, 70, 0) & 16) continue;
    corners.push({ at: pointAt(vertex, 10), bulge: flags & 8 ? 0 : numberAt(vertex, 42, 0) });
  }
  return joined(corners, (flags & 1) === 1);
}

function joined(corners: readonly Corner[], closed: boolean): Curve[] {
  const curves: Curve[] = [];
  const last = closed ? corners.length : corners.length - 1;
  for (let at = 0; at < last; at++) {
    const from = corners[at]!;
    const to = corners[(at + 1) % corners.length]!;
    if (from.at.every((value, axis) => value === to.at[axis])) continue;
    curves.push(
      from.bulge === 0 ? { kind: 'line', from: from.at, to: to.at } : bulged(from.at, to.at, from.bulge),
    );
  }
  return curves;
}

/** The arc over a chord: the bulge is the tangent of a quarter of its angle, above zero anticlockwise. */
function bulged(from: Vector, to: Vector, bulge: number): Arc {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const angle = 4 * Math.atan(bulge);
  const off = (1 - bulge * bulge) / (4 * bulge);
  const centre: Vector = [(from[0] + to[0]) / 2 - dy * off, (from[1] + to[1]) / 2 + dx * off, from[2]];
  const radius = Math.hypot(from[0] - centre[0], from[1] - centre[1]);
  const begin = Math.atan2(from[1] - centre[1], from[0] - centre[0]);
  return angle > 0 ? arc(centre, radius, begin, begin + angle) : arc(centre, radius, begin + angle, begin);
}

/** A spline by its control points; null when only points to fit are given, or its figures do not go together. */
function spline(entity: DxfEntity): Spline[] | null {
  const degree = numberAt(entity, 71, 3);
  const knots: number[] = [];
  const weights: number[] = [];
  const points: [number, number, number][] = [];
  for (const { code, value } of entity.tags) {
    if (![10, 20, 30, 40, 41].includes(code)) continue;
    const number = coordinate(value, entity.type);
    if (code === 40) knots.push(number);
    else if (code === 41) weights.push(number);
    else if (code === 10) points.push([number, 0, 0]);
    else {
      const point = points.at(-1);
      if (point) point[code === 20 ? 1 : 2] = number;
    }
    if (points.length > mostControl) {
      throw new Unreadable(
        `A spline of the DXF has more than ${mostControl.toLocaleString('en')} control points.`,
      );
    }
  }
  const fits =
    Number.isInteger(degree) &&
    degree >= 1 &&
    degree <= mostDegree &&
    points.length > degree &&
    knots.length === points.length + degree + 1 &&
    knots.every((knot, at) => at === 0 || knot >= knots[at - 1]!) &&
    knots[points.length]! > knots[degree]! &&
    (weights.length === 0 || (weights.length === points.length && weights.every((weight) => weight > 0)));
  if (!fits) return null;
  return [
    { kind: 'spline', degree, knots, points, weights: weights.length > 0 ? weights : points.map(() => 1) },
  ];
}
