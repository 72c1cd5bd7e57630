import { type FileFacts, factsOf, type TriangleShape, Unreadable } from '../facts.ts';
import { NO_UNIT } from '../stl-unit.ts';
import { edgesOf, measureMesh, sizeOf } from './mesh.ts';

const headerBytes = 84;
const facetBytes = 50;
/** How much the gaps may move the volume for it still to be told. */
const unsure = 0.001;

/**
 * The facets of an STL file, ASCII or binary, as nine numbers each.
 *
 * The number of facets that a binary file claims is held against its length before room is made for them.
 *
 * @throws Unreadable  cut off, a corner that is no number, no facet
 * Source: the format as its publisher described it in 1989, from memory.
 */
export function stlFacets(bytes: Uint8Array): Float32Array {
  const facets = isBinary(bytes) ? binaryFacets(bytes) : asciiFacets(bytes);
  if (facets.length === 0) throw new Unreadable('The STL holds no facets.');
  const wrong = facets.findIndex((value) => !Number.isFinite(value));
  if (wrong >= 0)
    throw new Unreadable(`Facet ${Math.floor(wrong / 9) + 1} of the STL has a corner that is no number.`);
  return facets;
}

function isBinary(bytes: Uint8Array): boolean {
  if (bytes.length >= headerBytes && bytes.length === headerBytes + facetBytes * claimed(bytes)) return true;
  return !/^\s*solid\b/i.test(latin(bytes.subarray(0, 200)));
}

const claimed = (bytes: Uint8Array) => new DataView(bytes.buffer, bytes.byteOffset).getUint32(80, true);

function binaryFacets(bytes: Uint8Array): Float32Array {
  if (bytes.length < headerBytes) throw new Unreadable('The STL is cut off before its first facet.');
  const count = claimed(bytes);
  const room = Math.floor((bytes.length - headerBytes) / facetBytes);
  if (count > room) {
    throw new Unreadable(
      `The STL says it has ${count.toLocaleString('en')} facets, and there is room for ${room.toLocaleString('en')}: it is cut off or damaged.`,
    );
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const facets = new Float32Array(9 * count);
  for (let facet = 0; facet < count; facet++) {
    const at = headerBytes + facetBytes * facet + 12;
    for (let index = 0; index < 9; index++) facets[9 * facet + index] = view.getFloat32(at + 4 * index, true);
  }
  return facets;
}

function asciiFacets(bytes: Uint8Array): Float32Array {
  const text = latin(bytes);
  let values = new Float32Array(9 * 1024);
  let used = 0;
  for (const [, x, y, z] of text.matchAll(/\bvertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)/gi)) {
    if (used + 3 > values.length) {
      const more = new Float32Array(2 * values.length);
      more.set(values);
      values = more;
    }
    values[used++] = Number(x);
    values[used++] = Number(y);
    values[used++] = Number(z);
  }
  let facets = 0;
  for (const _ of text.matchAll(/\bfacet[ \t]+normal\b/gi)) facets += 1;
  if (used !== 9 * facets) {
    throw new Unreadable(
      `The STL has ${facets.toLocaleString('en')} facets and ${(used / 3).toLocaleString('en')} corners, not three to each: it is cut off or damaged.`,
    );
  }
  return values.slice(0, used);
}

function latin(bytes: Uint8Array): string {
  return new TextDecoder('latin1').decode(bytes);
}

/** What an STL says: size, volume, area, and whether it is closed. It has no unit: its numbers are taken as mm. */
export function stlFacts(bytes: Uint8Array): FileFacts {
  const facets = stlFacets(bytes);
  const warnings = [NO_UNIT];
  const { triangles, low, high, volume, area, opening } = measureMesh({ positions: facets, corners: null });
  const { open, doubled } = edgesOf(facets);
  const closed = open === 0 && doubled === 0;
  const size = sizeOf(low, high);
  const slack = size ? (opening * Math.hypot(size.x, size.y, size.z)) / 3 : 0;
  const told = closed || slack <= unsure * Math.abs(volume);
  if (!closed) {
    const which = [
      open > 0 ? `${open.toLocaleString('en')} edges without a neighbour` : '',
      doubled > 0 ? `${doubled.toLocaleString('en')} edges with too many` : '',
    ];
    warnings.push(
      `The surface is not closed: ${which.filter(Boolean).join(', ')}. ${told ? 'The volume is still known within 0.1 %.' : 'It has no volume that holds.'}`,
    );
  }
  if (closed && volume < 0) warnings.push('The facets face inwards.');
  return factsOf('STL', {
    size,
    volume: told ? Math.abs(volume) : null,
    area,
    closed,
    warnings,
    triangles,
  });
}

/** The triangles of an STL with the direction of each, worked out anew: those in the file are often nought. */
export function stlShape(bytes: Uint8Array): TriangleShape {
  const positions = stlFacets(bytes);
  const normals = new Float32Array(positions.length);
  for (let at = 0; at < positions.length; at += 9) {
    const [ax, ay, az, bx, by, bz, cx, cy, cz] = positions.subarray(at, at + 9) as unknown as number[];
    const [ux, uy, uz] = [bx! - ax!, by! - ay!, bz! - az!];
    const [vx, vy, vz] = [cx! - ax!, cy! - ay!, cz! - az!];
    const normal = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const length = Math.hypot(...normal) || 1;
    for (let index = 0; index < 9; index++) normals[at + index] = normal[index % 3]! / length;
  }
  return {
    kind: 'triangles',
    unit: null,
    positions,
    normals,
    groups: [{ name: '', first: 0, count: positions.length / 9 }],
  };
}
