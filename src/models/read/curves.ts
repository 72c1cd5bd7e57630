/** A point or a direction. */
export type Vector = readonly [number, number, number];

export interface Line {
  kind: 'line';
  from: Vector;
  to: Vector;
}

/** centre + cos t · a + sin t · b, for t from `begin` to `end`, begin < end: arcs of circles and of ellipses. */
export interface Arc {
  kind: 'arc';
  centre: Vector;
  a: Vector;
  b: Vector;
  begin: number;
  end: number;
}

/** A rational B-spline; knots.length = points.length + degree + 1. */
export interface Spline {
  kind: 'spline';
  degree: number;
  knots: readonly number[];
  points: readonly Vector[];
  weights: readonly number[];
}

export type Curve = Line | Arc | Spline;

/** An affine map: columns are the images of the axes, then of the origin. */
export interface Frame {
  x: Vector;
  y: Vector;
  z: Vector;
  origin: Vector;
}

export const identity: Frame = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1], origin: [0, 0, 0] };

const sum = (a: Vector, b: Vector): Vector => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const scaled = (a: Vector, by: number): Vector => [a[0] * by, a[1] * by, a[2] * by];
const lengthOf = (a: Vector) => Math.hypot(a[0], a[1], a[2]);
const dot = (a: Vector, b: Vector) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** A direction taken along by a frame. */
export function turned({ x, y, z }: Frame, v: Vector): Vector {
  return sum(sum(scaled(x, v[0]), scaled(y, v[1])), scaled(z, v[2]));
}

/** A point taken along by a frame. */
export function moved(frame: Frame, v: Vector): Vector {
  return sum(turned(frame, v), frame.origin);
}

/** First `inner`, then `outer`. */
export function composed(outer: Frame, inner: Frame): Frame {
  return {
    x: turned(outer, inner.x),
    y: turned(outer, inner.y),
    z: turned(outer, inner.z),
    origin: moved(outer, inner.origin),
  };
}

/** A curve taken along by a frame: every kind stays what it is. */
export function carried(frame: Frame, curve: Curve): Curve {
  if (curve.kind === 'line')
    return { kind: 'line', from: moved(frame, curve.from), to: moved(frame, curve.to) };
  if (curve.kind === 'arc') {
    return {
      ...curve,
      centre: moved(frame, curve.centre),
      a: turned(frame, curve.a),
      b: turned(frame, curve.b),
    };
  }
  return { ...curve, points: curve.points.map((point) => moved(frame, point)) };
}

/** Where the curve is at t. */
export function pointOn(curve: Curve, t: number): Vector {
  if (curve.kind === 'line') return sum(scaled(curve.from, 1 - t), scaled(curve.to, t));
  if (curve.kind === 'arc') {
    return sum(curve.centre, sum(scaled(curve.a, Math.cos(t)), scaled(curve.b, Math.sin(t))));
  }
  const [x, y, z, w] = deBoor(curve.degree, curve.knots, lifted(curve), t);
  return [x! / w!, y! / w!, z! / w!];
}

/** The parameters from which and to which it runs. */
export function spanOf(curve: Curve): [number, number] {
  if (curve.kind === 'line') return [0, 1];
  if (curve.kind === 'arc') return [curve.begin, curve.end];
  return [curve.knots[curve.degree]!, curve.knots[curve.points.length]!];
}

/**
 * The length of a curve: exact for lines and arcs of circles, integrated to ten figures for ellipses and splines.
 *
 * Source: arc length by Gauss-Legendre quadrature, halved until it no longer changes; common practice, no source.
 */
export function curveLength(curve: Curve): number {
  if (curve.kind === 'line') return lengthOf(sum(curve.to, scaled(curve.from, -1)));
  if (curve.kind === 'arc') {
    const { a, b, begin, end } = curve;
    const [ra, rb] = [lengthOf(a), lengthOf(b)];
    if (Math.abs(ra - rb) <= 1e-12 * ra && Math.abs(dot(a, b)) <= 1e-12 * ra * rb) return ra * (end - begin);
    const speed = (t: number) => lengthOf(sum(scaled(a, -Math.sin(t)), scaled(b, Math.cos(t))));
    return integral(speed, begin, end);
  }
  const speed = splineSpeed(curve);
  return pieces(curve).reduce((total, [from, to]) => total + integral(speed, from, to), 0);
}

/** The stretches between the knots of a spline. */
function pieces({ degree, knots, points }: Spline): [number, number][] {
  const stretches: [number, number][] = [];
  for (let at = degree; at < points.length; at++) {
    if (knots[at + 1]! > knots[at]!) stretches.push([knots[at]!, knots[at + 1]!]);
  }
  return stretches;
}

const liftedPoints = new WeakMap<Spline, number[][]>();

/** Points in four numbers: the weight, and the place times the weight. */
function lifted(curve: Spline): number[][] {
  let points = liftedPoints.get(curve);
  if (!points) {
    points = curve.points.map(([x, y, z], at) => {
      const w = curve.weights[at]!;
      return [x * w, y * w, z * w, w];
    });
    liftedPoints.set(curve, points);
  }
  return points;
}

/** De Boor's algorithm (1972). */
function deBoor(degree: number, knots: readonly number[], points: readonly number[][], t: number): number[] {
  // The stretch that t lies in: the last knot not above it.
  let span = degree;
  let above = points.length;
  while (above - span > 1) {
    const middle = (span + above) >> 1;
    if (knots[middle]! <= t) span = middle;
    else above = middle;
  }
  const held = Array.from({ length: degree + 1 }, (_, at) => [...points[span - degree + at]!]);
  for (let level = 1; level <= degree; level++) {
    for (let at = degree; at >= level; at--) {
      const low = knots[span - degree + at]!;
      const width = knots[span + 1 + at - level]! - low;
      const share = width > 0 ? (t - low) / width : 0;
      const [before, here] = [held[at - 1]!, held[at]!];
      for (let axis = 0; axis < here.length; axis++)
        here[axis] = before[axis]! * (1 - share) + here[axis]! * share;
    }
  }
  return held[degree]!;
}

/** How fast a spline runs at t, by the spline of its slopes. */
function splineSpeed(curve: Spline): (t: number) => number {
  const { degree, knots } = curve;
  const points = lifted(curve);
  const slopes = points.slice(1).map((point, at) => {
    const width = knots[at + degree + 1]! - knots[at + 1]!;
    return point.map((value, axis) => (width > 0 ? (degree * (value - points[at]![axis]!)) / width : 0));
  });
  const inner = knots.slice(1, -1);
  return (t) => {
    const [x, y, z, w] = deBoor(degree, knots, points, t) as [number, number, number, number];
    const [dx, dy, dz, dw] = deBoor(degree - 1, inner, slopes, t) as [number, number, number, number];
    return Math.hypot(dx - (x / w) * dw, dy - (y / w) * dw, dz - (z / w) * dw) / Math.abs(w);
  };
}

/** Nodes and weights of Gauss and Legendre for eight points on -1 to 1 (Abramowitz and Stegun, table 25.4). */
const nodes = [0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363];
const weights = [0.362683783378362, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763];

function gauss(f: (t: number) => number, from: number, to: number): number {
  const middle = (from + to) / 2;
  const half = (to - from) / 2;
  let total = 0;
  for (let at = 0; at < nodes.length; at++) {
    total += weights[at]! * (f(middle - half * nodes[at]!) + f(middle + half * nodes[at]!));
  }
  return total * half;
}

function integral(
  f: (t: number) => number,
  from: number,
  to: number,
  whole = gauss(f, from, to),
  depth = 0,
): number {
  const middle = (from + to) / 2;
  const left = gauss(f, from, middle);
  const right = gauss(f, middle, to);
  if (depth >= 12 || Math.abs(left + right - whole) <= 1e-11 * Math.abs(whole)) return left + right;
  return integral(f, from, middle, left, depth + 1) + integral(f, middle, to, right, depth + 1);
}

/** Stretches a box to hold the curve: exactly for lines and arcs, to a millionth of the step for splines. */
export function stretch(low: number[], high: number[], curve: Curve): void {
  const [begin, end] = spanOf(curve);
  const hold = (point: Vector) => {
    for (let axis = 0; axis < 3; axis++) {
      low[axis] = Math.min(low[axis]!, point[axis]!);
      high[axis] = Math.max(high[axis]!, point[axis]!);
    }
  };
  hold(pointOn(curve, begin));
  hold(pointOn(curve, end));
  if (curve.kind === 'arc') {
    for (let axis = 0; axis < 3; axis++) {
      const turn = Math.atan2(curve.b[axis]!, curve.a[axis]!);
      const first = Math.ceil((begin - turn) / Math.PI);
      for (let half = first; turn + half * Math.PI <= end && half < first + 3; half++) {
        hold(pointOn(curve, turn + half * Math.PI));
      }
    }
  } else if (curve.kind === 'spline') {
    const steps = 16;
    for (const [from, to] of pieces(curve)) {
      const width = (to - from) / steps;
      for (let step = 0; step < steps; step++) hold(pointOn(curve, from + step * width));
      for (let axis = 0; axis < 3; axis++) {
        for (let step = 1; step < steps; step++) {
          const peak = peakNear(curve, from + step * width, width, axis);
          if (peak !== null) hold(pointOn(curve, peak));
        }
      }
    }
  }
}

/** Where one coordinate turns around t, by golden section; null where it does not. */
function peakNear(curve: Spline, t: number, width: number, axis: number): number | null {
  const at = (one: number) => pointOn(curve, one)[axis]!;
  const [before, here, after] = [at(t - width), at(t), at(t + width)];
  if ((here - before) * (here - after) <= 0) return null;
  const sign = here > before ? -1 : 1;
  const golden = (Math.sqrt(5) - 1) / 2;
  let [from, to] = [t - width, t + width];
  for (let round = 0; round < 30; round++) {
    const left = to - golden * (to - from);
    const right = from + golden * (to - from);
    if (sign * at(left) < sign * at(right)) to = right;
    else from = left;
  }
  return (from + to) / 2;
}

/** Points along a curve, first and last with it, none of whose chords is further from it than the tolerance. */
export function runOf(curve: Curve, tolerance: number): Vector[] {
  const [begin, end] = spanOf(curve);
  if (curve.kind === 'line') return [curve.from, curve.to];
  if (curve.kind === 'arc') {
    const radius = Math.max(lengthOf(curve.a), lengthOf(curve.b));
    const step = 2 * Math.acos(Math.max(0.5, 1 - tolerance / Math.max(radius, tolerance)));
    const steps = Math.min(2000, Math.max(2, Math.ceil((end - begin) / step)));
    return Array.from({ length: steps + 1 }, (_, at) => pointOn(curve, begin + ((end - begin) * at) / steps));
  }
  const points: Vector[] = [pointOn(curve, begin)];
  for (const [from, to] of pieces(curve)) halved(curve, from, to, tolerance, 0, points);
  return points;
}

function halved(
  curve: Spline,
  from: number,
  to: number,
  tolerance: number,
  depth: number,
  points: Vector[],
): void {
  const [a, b] = [pointOn(curve, from), pointOn(curve, to)];
  const off = Math.max(
    ...[0.25, 0.5, 0.75].map((share) => offChord(a, b, pointOn(curve, from + share * (to - from)))),
  );
  if (depth >= 10 || (depth >= 2 && off <= tolerance)) {
    points.push(b);
    return;
  }
  const middle = (from + to) / 2;
  halved(curve, from, middle, tolerance, depth + 1, points);
  halved(curve, middle, to, tolerance, depth + 1, points);
}

function offChord(a: Vector, b: Vector, point: Vector): number {
  const chord = sum(b, scaled(a, -1));
  const reach = sum(point, scaled(a, -1));
  const square = dot(chord, chord);
  const share = square > 0 ? Math.min(1, Math.max(0, dot(reach, chord) / square)) : 0;
  return lengthOf(sum(reach, scaled(chord, -share)));
}
