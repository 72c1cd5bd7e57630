import { type ContourShape, type Shape, type TriangleShape, Unreadable } from './facts.ts';

/** "FWS1": a shape as it is kept beside its facts, version 1. */
const mark = 0x31535746;

interface Head {
  kind: Shape['kind'];
  unit: string | null;
  groups?: TriangleShape['groups'];
  tolerance?: number;
  contours?: { layer: string; closed: boolean; points: number }[];
}

/**
 * A shape as bytes, little-endian: "FWS1", the length of the head, the head as JSON filled up with blanks to a multiple
 * of eight, then positions and normals as 32-bit numbers, or the points of the contours as 64-bit ones.
 */
export function shapeBytes(shape: Shape): Uint8Array {
  const head: Head =
    shape.kind === 'triangles'
      ? { kind: shape.kind, unit: shape.unit, groups: shape.groups }
      : {
          kind: shape.kind,
          unit: shape.unit,
          tolerance: shape.tolerance,
          contours: shape.contours.map(({ layer, closed, points }) => ({
            layer,
            closed,
            points: points.length,
          })),
        };
  const text = new TextEncoder().encode(JSON.stringify(head));
  const headLength = Math.ceil(text.length / 8) * 8;
  const arrays =
    shape.kind === 'triangles'
      ? [shape.positions, shape.normals]
      : shape.contours.map(({ points }) => points);
  const bytes = new Uint8Array(
    8 + headLength + arrays.reduce((sum, { byteLength }) => sum + byteLength, 0),
  ).fill(32);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, mark, true);
  view.setUint32(4, headLength, true);
  bytes.set(text, 8);
  let at = 8 + headLength;
  for (const { buffer, byteOffset, byteLength } of arrays) {
    bytes.set(new Uint8Array(buffer, byteOffset, byteLength), at);
    at += byteLength;
  }
  return bytes;
}

/** The shape that shapeBytes wrote. @throws Unreadable  bytes that are none */
export function shapeFrom(bytes: Uint8Array): Shape {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  if (bytes.length < 8 || view.getUint32(0, true) !== mark) throw new Unreadable('These bytes are no shape.');
  const headLength = view.getUint32(4, true);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(8, 8 + headLength))) as Head;
  const body = new Uint8Array(bytes.subarray(8 + headLength)).buffer;
  if (head.kind === 'triangles') {
    const half = body.byteLength / 2;
    return {
      kind: 'triangles',
      unit: head.unit,
      positions: new Float32Array(body, 0, half / 4),
      normals: new Float32Array(body, half, half / 4),
      groups: head.groups ?? [],
    };
  }
  let at = 0;
  const contours: ContourShape['contours'] = [];
  for (const { layer, closed, points } of head.contours ?? []) {
    contours.push({ layer, closed, points: new Float64Array(body, at, points) });
    at += 8 * points;
  }
  return { kind: 'contours', unit: head.unit, tolerance: head.tolerance ?? 0, contours };
}
