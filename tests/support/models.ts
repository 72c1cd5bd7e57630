import { Buffer } from 'node:buffer';

type Point = readonly [number, number, number];

/** A binary STL of triangles. */
export function anStl(triangles: readonly (readonly [Point, Point, Point])[]): Buffer {
  const bytes = Buffer.alloc(84 + 50 * triangles.length);
  bytes.writeUInt32LE(triangles.length, 80);
  for (const [at, corners] of triangles.entries()) {
    for (const [index, value] of corners.flat().entries()) {
      bytes.writeFloatLE(value, 84 + 50 * at + 12 + 4 * index);
    }
  }
  return bytes;
}

/** The twelve triangles of a cube with one corner at the origin, facing outwards. */
export function cubeTriangles(side: number): [Point, Point, Point][] {
  const corner = (at: number): Point => [at & 1 ? side : 0, at & 2 ? side : 0, at & 4 ? side : 0];
  const faces = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ] as const;
  return faces.flatMap(([a, b, c, d]): [Point, Point, Point][] => [
    [corner(a), corner(b), corner(c)],
    [corner(a), corner(c), corner(d)],
  ]);
}

/** A binary STL of a cube. */
export function aCube(side: number): Buffer {
  return anStl(cubeTriangles(side));
}

/** A DXF of groups: `[0, 'LINE', 10, 0, 20, 0, ...]` for each entity. */
export function aDxf(
  entities: readonly (readonly (string | number)[])[],
  { unit = 4 as number | null, blocks = [] as readonly (readonly (string | number)[])[] } = {},
): Buffer {
  const groups = (list: readonly (string | number)[]) => {
    let text = '';
    for (let at = 0; at < list.length; at += 2) text += `${String(list[at]).padStart(3)}\n${list[at + 1]}\n`;
    return text;
  };
  const section = (name: string, body: string) =>
    groups([0, 'SECTION', 2, name]) + body + groups([0, 'ENDSEC']);
  return Buffer.from(
    section('HEADER', unit === null ? '' : groups([9, '$INSUNITS', 70, unit])) +
      section('BLOCKS', blocks.map(groups).join('')) +
      section('ENTITIES', entities.map(groups).join('')) +
      groups([0, 'EOF']),
  );
}
