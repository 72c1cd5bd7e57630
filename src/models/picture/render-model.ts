/** Tones of a picture of a model, from the darkest face to the lightest, and of its lines; red, green, blue of 255. */
export interface Tones {
  shade: readonly [number, number, number];
  light: readonly [number, number, number];
  line: readonly [number, number, number];
}

export const ON_LIGHT: Tones = { shade: [150, 146, 134], light: [240, 237, 226], line: [26, 32, 35] };
export const ON_DARK: Tones = { shade: [52, 60, 65], light: [150, 157, 160], line: [232, 229, 219] };

/** Points across a pixel: what is drawn is averaged over so many by so many. */
const FINE = 3;
const MARGIN = 0.06;
/** Faces that meet at more than this are parted by a line: the cosine of 25 degrees. */
const SAME_FACE = Math.cos((25 * Math.PI) / 180);
/** A jump in depth of more than this share of the model is an edge. */
const JUMP = 0.02;

type Vector = readonly [number, number, number];

const unit = ([x, y, z]: Vector): Vector => {
  const length = Math.hypot(x, y, z);
  return [x / length, y / length, z / length];
};
const cross = (a: Vector, b: Vector): Vector => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

// From in front, to the right and above: Z up, as machines are modelled.
const FROM = unit([1, -1.4, 0.9]);
const RIGHT = unit(cross([0, 0, 1], FROM));
const UP = cross(FROM, RIGHT);
const LAMP = unit([0.2, -0.7, 0.9]);

/**
 * Draws triangles in parallel projection with hidden surfaces removed (depth buffer; Catmull 1974), faces shaded by how
 * they lie to the light, and lines where faces meet at an angle or one stands before another.
 *
 * @param positions  nine numbers for each triangle; one with a number that is not finite is left out
 * @param size       of the picture in pixels
 * @returns          four bytes for each pixel, rows from the top: red, green, blue, and how much it covers what is behind
 */
export function renderModel(
  positions: Float32Array,
  size: { width: number; height: number },
  tones: Tones,
): Uint8ClampedArray {
  const width = size.width * FINE;
  const height = size.height * FINE;
  const seen = project(positions, width, height);
  const { depth, faces, normals } = fill(seen, positions, width, height);
  return shade({ depth, faces, normals, width, height, span: seen.span }, size, tones);
}

interface Seen {
  /** x, y in fine pixels and z towards the eye in the model's unit, for each corner */
  points: Float32Array;
  /** how deep the model is, in its own unit */
  span: number;
}

function project(positions: Float32Array, width: number, height: number): Seen {
  const corners = Math.floor(positions.length / 9) * 3;
  const points = new Float32Array(corners * 3);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let corner = 0; corner < corners; corner++) {
    const at = corner * 3;
    const x = positions[at]!;
    const y = positions[at + 1]!;
    const z = positions[at + 2]!;
    const across = x * RIGHT[0] + y * RIGHT[1] + z * RIGHT[2];
    const up = x * UP[0] + y * UP[1] + z * UP[2];
    const near = x * FROM[0] + y * FROM[1] + z * FROM[2];
    points[at] = across;
    points[at + 1] = up;
    points[at + 2] = near;
    if (!Number.isFinite(across + up + near)) continue;
    [across, up, near].forEach((value, axis) => {
      if (value < low[axis]!) low[axis] = value;
      if (value > high[axis]!) high[axis] = value;
    });
  }
  const wide = high[0]! - low[0]! || 1;
  const tall = high[1]! - low[1]! || 1;
  const scale = Math.min((width * (1 - 2 * MARGIN)) / wide, (height * (1 - 2 * MARGIN)) / tall);
  const left = width / 2 - ((low[0]! + high[0]!) / 2) * scale;
  const top = height / 2 + ((low[1]! + high[1]!) / 2) * scale;
  for (let at = 0; at < points.length; at += 3) {
    points[at] = left + points[at]! * scale;
    points[at + 1] = top - points[at + 1]! * scale;
  }
  return { points, span: high[2]! - low[2]! || 1 };
}

/** Which triangle is nearest at each point, how near it is, and how each triangle lies. */
function fill({ points }: Seen, positions: Float32Array, width: number, height: number) {
  const count = points.length / 9;
  const depth = new Float32Array(width * height).fill(-Infinity);
  const faces = new Int32Array(width * height).fill(-1);
  const normals = new Float32Array(count * 3);
  for (let face = 0; face < count; face++) {
    const at = face * 9;
    if (!setNormal(normals, face, positions)) continue;
    const [ax, ay, az, bx, by, bz, cx, cy, cz] = points.subarray(at, at + 9) as unknown as number[];
    const area = (bx! - ax!) * (cy! - ay!) - (by! - ay!) * (cx! - ax!);
    if (!Number.isFinite(area) || area === 0) continue;
    const x0 = Math.max(0, Math.floor(Math.min(ax!, bx!, cx!)));
    const x1 = Math.min(width - 1, Math.ceil(Math.max(ax!, bx!, cx!)));
    const y0 = Math.max(0, Math.floor(Math.min(ay!, by!, cy!)));
    const y1 = Math.min(height - 1, Math.ceil(Math.max(ay!, by!, cy!)));
    for (let y = y0; y <= y1; y++) {
      for (let x = x0; x <= x1; x++) {
        const px = x + 0.5;
        const py = y + 0.5;
        const a = ((bx! - px) * (cy! - py) - (by! - py) * (cx! - px)) / area;
        const b = ((cx! - px) * (ay! - py) - (cy! - py) * (ax! - px)) / area;
        const c = 1 - a - b;
        if (a < 0 || b < 0 || c < 0) continue;
        const near = a * az! + b * bz! + c * cz!;
        const place = y * width + x;
        if (near <= depth[place]!) continue;
        depth[place] = near;
        faces[place] = face;
      }
    }
  }
  return { depth, faces, normals };
}

/** Writes how a triangle lies, turned towards the eye; false for one without an area. */
function setNormal(normals: Float32Array, face: number, positions: Float32Array): boolean {
  const at = face * 9;
  const edge = (corner: number): Vector => [
    positions[at + corner]! - positions[at]!,
    positions[at + corner + 1]! - positions[at + 1]!,
    positions[at + corner + 2]! - positions[at + 2]!,
  ];
  const [x, y, z] = cross(edge(3), edge(6));
  const length = Math.hypot(x, y, z);
  if (!Number.isFinite(length) || length === 0) return false;
  const turned = x * FROM[0] + y * FROM[1] + z * FROM[2] < 0 ? -length : length;
  normals[face * 3] = x / turned;
  normals[face * 3 + 1] = y / turned;
  normals[face * 3 + 2] = z / turned;
  return true;
}

interface Drawn {
  depth: Float32Array;
  faces: Int32Array;
  normals: Float32Array;
  width: number;
  height: number;
  span: number;
}

function shade(drawn: Drawn, size: { width: number; height: number }, tones: Tones): Uint8ClampedArray {
  const pixels = new Uint8ClampedArray(size.width * size.height * 4);
  const points = FINE * FINE;
  for (let y = 0; y < size.height; y++) {
    for (let x = 0; x < size.width; x++) {
      const sum = [0, 0, 0];
      let covered = 0;
      for (let fine = 0; fine < points; fine++) {
        const tone = toneAt(drawn, x * FINE + (fine % FINE), y * FINE + Math.floor(fine / FINE), tones);
        if (!tone) continue;
        covered++;
        for (let channel = 0; channel < 3; channel++) sum[channel]! += tone[channel]!;
      }
      if (covered === 0) continue;
      const at = (y * size.width + x) * 4;
      for (let channel = 0; channel < 3; channel++) pixels[at + channel] = sum[channel]! / covered;
      pixels[at + 3] = (255 * covered) / points;
    }
  }
  return pixels;
}

/** The tone of a fine point: a line, a face, or nothing. */
function toneAt(drawn: Drawn, x: number, y: number, tones: Tones): Vector | null {
  const { depth, faces, normals, width, height, span } = drawn;
  const place = y * width + x;
  const face = faces[place]!;
  const at = face * 3;
  // A line is two fine points wide: what lies beside to the right and below is looked at, on both sides of it.
  for (const [dx, dy] of [
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ] as const) {
    const nx = x + dx;
    const ny = y + dy;
    if (nx < 0 || ny < 0 || nx >= width || ny >= height) continue;
    const beside = faces[ny * width + nx]!;
    if (beside === face) continue;
    if (beside < 0 || face < 0) return face < 0 ? null : tones.line;
    const alike =
      normals[at]! * normals[beside * 3]! +
      normals[at + 1]! * normals[beside * 3 + 1]! +
      normals[at + 2]! * normals[beside * 3 + 2]!;
    const jump = Math.abs(depth[place]! - depth[ny * width + nx]!);
    if (alike < SAME_FACE || jump > span * JUMP) return tones.line;
  }
  if (face < 0) return null;
  const lit = normals[at]! * LAMP[0] + normals[at + 1]! * LAMP[1] + normals[at + 2]! * LAMP[2];
  const share = Math.min(1, Math.max(0, 0.25 + 0.75 * lit));
  return [0, 1, 2].map(
    (channel) => tones.shade[channel]! + (tones.light[channel]! - tones.shade[channel]!) * share,
  ) as unknown as Vector;
}
