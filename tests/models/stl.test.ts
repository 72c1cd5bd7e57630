import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Unreadable } from '../../src/models/facts.ts';
import { edgesOf, measureMesh } from '../../src/models/read/mesh.ts';
import { stlFacets, stlFacts, stlShape } from '../../src/models/read/stl.ts';
import { aCube, anStl, cubeTriangles } from '../support/models.ts';

const words = (text: string) => new TextEncoder().encode(text);
type Point = [number, number, number];

/** The triangles of a ball over rings and sectors, facing outwards. */
function ball(radius: number, rings: number, centre: Point): [Point, Point, Point][] {
  const at = (ring: number, sector: number): Point => {
    const [a, b] = [(Math.PI * ring) / rings, (2 * Math.PI * (sector % (2 * rings))) / (2 * rings)];
    const r = ring === 0 || ring === rings ? 0 : Math.sin(a);
    return [
      centre[0] + radius * r * Math.cos(b),
      centre[1] + radius * r * Math.sin(b),
      centre[2] + radius * Math.cos(a),
    ].map(Math.fround) as Point;
  };
  const triangles: [Point, Point, Point][] = [];
  for (let ring = 0; ring < rings; ring++) {
    for (let sector = 0; sector < 2 * rings; sector++) {
      const [a, b, c, d] = [
        at(ring, sector),
        at(ring + 1, sector),
        at(ring + 1, sector + 1),
        at(ring, sector + 1),
      ];
      if (ring < rings - 1) triangles.push([a, b, c]);
      if (ring > 0) triangles.push([a, c, d]);
    }
  }
  return triangles;
}

describe('stlFacts', () => {
  it('tells a cube to the last figure, in binary and in words', () => {
    const cube = stlFacts(aCube(20));
    expect(cube).toMatchObject({
      format: 'STL',
      unit: null,
      size: { x: 20, y: 20, z: 20 },
      volume: 8000,
      area: 2400,
      closed: true,
      triangles: 12,
    });
    expect(cube.warnings).toEqual([
      'An STL has no unit: its numbers are taken as mm until something else is said.',
    ]);
    const lines = cubeTriangles(20).map(
      (corners) =>
        `facet normal 0 0 0\n outer loop\n${corners.map((corner) => `  vertex ${corner.join(' ')}\n`).join('')} endloop\nendfacet\n`,
    );
    expect(stlFacts(words(`solid cube\n${lines.join('')}endsolid cube\n`))).toEqual(cube);
  });

  it('tells a printed part that others made (tests/checks/real)', () => {
    const tool = stlFacts(readFileSync(new URL('../checks/real/lens_tool.stl', import.meta.url)));
    expect(tool).toMatchObject({ closed: true, triangles: 448, size: { x: 16, y: 16, z: 20 } });
    expect(tool.volume).toBeCloseTo(1744.295, 2);
  });

  it('keeps its figures far from the origin', () => {
    const { volume, closed } = stlFacts(anStl(ball(10, 24, [4096, -8192, 2048])));
    expect(closed).toBe(true);
    const { volume: here } = stlFacts(anStl(ball(10, 24, [0, 0, 0])));
    expect(volume! / here!).toBeCloseTo(1, 4);
  });

  it('says what is open, and gives a volume only where the gap can not move it', () => {
    const open = stlFacts(anStl(cubeTriangles(20).slice(1)));
    expect(open).toMatchObject({ closed: false, volume: null });
    expect(open.warnings[1]).toBe(
      'The surface is not closed: 3 edges without a neighbour. It has no volume that holds.',
    );
    const pricked = stlFacts(anStl(ball(10, 60, [0, 0, 0]).slice(1)));
    expect(pricked.closed).toBe(false);
    expect(pricked.warnings[1]).toContain('The volume is still known within 0.1 %.');
    expect(pricked.volume).toBeCloseTo((4 / 3) * Math.PI * 1000, -1.5);
    const twice = stlFacts(anStl([...cubeTriangles(20), cubeTriangles(20)[0]!]));
    expect(twice.closed).toBe(false);
    expect(twice.warnings[1]).toContain('3 edges with too many');
  });

  it('tells facets that face inwards', () => {
    const inside = stlFacts(anStl(cubeTriangles(20).map(([a, b, c]) => [a, c, b])));
    expect(inside).toMatchObject({ volume: 8000, closed: true });
    expect(inside.warnings).toContain('The facets face inwards.');
  });

  it('makes no room for what a header only claims', () => {
    const claim = Buffer.alloc(84 + 50);
    claim.writeUInt32LE(42_949_672, 80);
    const before = process.memoryUsage().arrayBuffers;
    expect(() => stlFacts(claim)).toThrow(
      new Unreadable(
        'The STL says it has 42,949,672 facets, and there is room for 1: it is cut off or damaged.',
      ),
    );
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(1e6);
  });

  it('refuses what is cut off or holds no numbers', () => {
    expect(() => stlFacets(new Uint8Array(84))).toThrow('The STL holds no facets.');
    expect(() => stlFacets(new Uint8Array(20))).toThrow('cut off before its first facet');
    expect(() =>
      stlFacets(words('solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\n')),
    ).toThrow('not three to each');
    const text =
      'solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex nan 1 0\nendloop\nendfacet\nendsolid';
    expect(() => stlFacets(words(text))).toThrow(
      new Unreadable('Facet 1 of the STL has a corner that is no number.'),
    );
    const infinite = aCube(1);
    infinite.writeFloatLE(Infinity, 84 + 50 * 3 + 12);
    expect(() => stlFacts(infinite)).toThrow('Facet 4 of the STL has a corner that is no number.');
  });

  it('reads or refuses any bytes', () => {
    const tried = (bytes: Uint8Array) => {
      try {
        stlFacts(bytes);
      } catch (fault) {
        expect(fault).toBeInstanceOf(Unreadable);
      }
    };
    fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), tried), { numRuns: 300 });
    fc.assert(
      fc.property(fc.array(fc.float(), { minLength: 9, maxLength: 90 }), (values) => {
        const triangles = [];
        for (let at = 0; at + 9 <= values.length; at += 9) {
          const p = (from: number) => values.slice(from, from + 3) as Point;
          triangles.push([p(at), p(at + 3), p(at + 6)] as const);
        }
        tried(anStl(triangles));
      }),
      { numRuns: 200 },
    );
  });

  it('has edges found as a plain second way finds them', () => {
    const coordinate = fc.integer({ min: 0, max: 2 });
    const triangle = fc.tuple(...Array(9).fill(coordinate)) as fc.Arbitrary<number[]>;
    fc.assert(
      fc.property(fc.array(triangle, { minLength: 1, maxLength: 30 }), (triangles) => {
        const counts = new Map<string, number>();
        for (const t of triangles) {
          const corners = [0, 3, 6].map((at) => t.slice(at, at + 3).join());
          for (const edge of [0, 1, 2]) {
            const [from, to] = [corners[edge], corners[(edge + 1) % 3]];
            if (from !== to) counts.set(`${from} ${to}`, (counts.get(`${from} ${to}`) ?? 0) + 1);
          }
        }
        const open = [...counts.keys()].filter(
          (edge) => !counts.has(edge.split(' ').reverse().join(' ')),
        ).length;
        const doubled = [...counts.values()].filter((count) => count > 1).length;
        expect(edgesOf(Float32Array.from(triangles.flat()))).toEqual({ open, doubled });
      }),
    );
  });
});

describe('stlShape', () => {
  it('gives each corner the direction of its facet', () => {
    const { positions, normals, groups } = stlShape(aCube(5));
    expect(positions).toHaveLength(108);
    expect(groups).toEqual([{ name: '', first: 0, count: 12 }]);
    expect([...normals.slice(0, 9)].map((value) => value + 0)).toEqual([0, 0, -1, 0, 0, -1, 0, 0, -1]);
  });
});

describe('measureMesh', () => {
  it('bends the triangles of a ball by its directions: volume within 0.1 %, size to a micrometre', () => {
    const triangles = ball(10, 16, [5, 5, 5]);
    const positions = triangles.flat(2);
    const normals = positions.map((value) => (value - 5) / 10);
    const whole = (4 / 3) * Math.PI * 1000;
    const flat = measureMesh({ positions, corners: null });
    const bent = measureMesh({ positions, corners: null, normals });
    expect(1 - flat.volume / whole).toBeGreaterThan(0.01);
    expect(Math.abs(bent.volume / whole - 1)).toBeLessThan(1e-3);
    expect(bent.high[0] - bent.low[0]).toBeCloseTo(20, 3);
  });
});
