import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Unreadable } from '../../src/models/facts.ts';
import { dxfFacts, dxfShape } from '../../src/models/read/dxf.ts';
import { aDxf } from '../support/models.ts';

type Groups = (string | number)[];

const line = (x1: number, y1: number, x2: number, y2: number, layer = 'CUT'): Groups => [
  ...[0, 'LINE', 8, layer],
  ...[10, x1, 20, y1, 11, x2, 21, y2],
];
const circle = (x: number, y: number, radius: number, layer = 'CUT'): Groups => [
  ...[0, 'CIRCLE', 8, layer, 10, x, 20, y, 40, radius],
];
const arc = (x: number, y: number, radius: number, from: number, to: number): Groups => [
  ...[0, 'ARC', 8, 'CUT', 10, x, 20, y, 40, radius, 50, from, 51, to],
];
const square = (side: number) => [
  line(0, 0, side, 0),
  line(side, 0, side, side),
  line(side, side, 0, side),
  line(0, side, 0, 0),
];
const block = (name: string, entities: Groups[], base = [0, 0]): Groups => [
  ...[0, 'BLOCK', 2, name, 10, base[0]!, 20, base[1]!],
  ...entities.flat(),
  ...[0, 'ENDBLK'],
];
const insert = (name: string, more: Groups = []): Groups => [0, 'INSERT', 8, 'PLACED', 2, name, ...more];

/** The circumference of an ellipse by a plain sum of very many chords, as a second way. */
function chords(a: number, b: number, from = 0, to = 2 * Math.PI): number {
  const steps = 400_000;
  let total = 0;
  for (let at = 0; at < steps; at++) {
    const [s, t] = [at, at + 1].map((step) => from + ((to - from) * step) / steps) as [number, number];
    total += Math.hypot(a * (Math.cos(t) - Math.cos(s)), b * (Math.sin(t) - Math.sin(s)));
  }
  return total;
}

describe('dxfFacts', () => {
  it('tells a square with a hole (tests/checks/dxf)', () => {
    const { flat, ...facts } = dxfFacts(
      readFileSync(new URL('../checks/dxf/square-with-hole.dxf', import.meta.url)),
    );
    expect(facts).toMatchObject({
      format: 'DXF',
      unit: 'mm',
      size: { x: 100, y: 100, z: 0 },
      layers: ['CUT'],
    });
    expect(facts.closed).toBe(true);
    expect(facts.warnings).toEqual([]);
    expect(facts.cutLength).toBeCloseTo(400 + 30 * Math.PI, 10);
    expect(flat).toMatchObject({ contours: 2, openContours: 0, pierces: 2, notes: [], unread: [] });
  });

  it('joins lines and arcs head to tail, whichever way they run', () => {
    const slot = [line(0, -5, 40, -5), line(40, 5, 0, 5), arc(40, 0, 5, 270, 90), arc(0, 0, 5, 90, 270)];
    const facts = dxfFacts(aDxf(slot));
    expect(facts).toMatchObject({ closed: true, size: { x: 50, y: 10, z: 0 } });
    expect(facts.flat).toMatchObject({ contours: 1, pierces: 1 });
    expect(facts.cutLength).toBeCloseTo(80 + 10 * Math.PI, 10);
    const nearly = dxfFacts(aDxf([...square(20).slice(1), line(0, 0.009, 20, 0)]));
    expect(nearly.closed).toBe(true);
  });

  it('counts pierces by the ends that are left over', () => {
    const open = dxfFacts(aDxf(square(20).slice(1)));
    expect(open).toMatchObject({ closed: false });
    expect(open.flat).toMatchObject({ contours: 1, openContours: 1, pierces: 1 });
    expect(open.warnings[0]).toContain('One contour is not closed');
    // A square with a cross in it: eight ends of an odd number meet, no run takes more than two.
    const cross = dxfFacts(
      aDxf([line(-10, 0, 0, 0), line(0, 0, 10, 0), line(0, -10, 0, 0), line(0, 0, 0, 10)]),
    );
    expect(cross.flat).toMatchObject({ contours: 1, pierces: 2 });
    // Two squares that touch at a corner are run along at one go.
    const touching = dxfFacts(
      aDxf([
        ...square(20),
        line(20, 20, 30, 20),
        line(30, 20, 30, 30),
        line(30, 30, 20, 30),
        line(20, 30, 20, 20),
      ]),
    );
    expect(touching.flat).toMatchObject({ contours: 1, pierces: 1, openContours: 0 });
  });

  it('takes bulges as arcs, to either side', () => {
    const pill: Groups = [
      ...[0, 'LWPOLYLINE', 8, 'CUT', 90, 4, 70, 1],
      ...[10, 0, 20, 0, 10, 30, 20, 0, 42, 1, 10, 30, 20, 10, 10, 0, 20, 10, 42, 1],
    ];
    const facts = dxfFacts(aDxf([pill]));
    expect(facts.cutLength).toBeCloseTo(60 + 10 * Math.PI, 10);
    expect(facts.size).toEqual({ x: 40, y: 10, z: 0 });
    const quarter = Math.tan(Math.PI / 8);
    const bitten: Groups = [
      ...[0, 'POLYLINE', 8, 'CUT', 66, 1, 70, 1],
      ...[0, 'VERTEX', 8, 'CUT', 10, 0, 20, 0, 0, 'VERTEX', 8, 'CUT', 10, 20, 20, 0],
      ...[0, 'VERTEX', 8, 'CUT', 10, 20, 20, 10, 42, -quarter, 0, 'VERTEX', 8, 'CUT', 10, 10, 20, 20],
      ...[0, 'VERTEX', 8, 'CUT', 10, 0, 20, 20, 0, 'SEQEND'],
    ];
    const bite = dxfFacts(aDxf([bitten]));
    expect(bite.cutLength).toBeCloseTo(20 + 10 + 5 * Math.PI + 10 + 20, 10);
    expect(bite).toMatchObject({ closed: true, size: { x: 20, y: 20, z: 0 } });
  });

  it('integrates ellipses and splines to ten figures', () => {
    const ellipse = (from: number, to: number): Groups => [
      ...[0, 'ELLIPSE', 8, 'CUT', 10, 5, 20, 5, 11, 0, 21, 30, 40, 0.4, 41, from, 42, to],
    ];
    const whole = dxfFacts(aDxf([ellipse(0, 2 * Math.PI)]));
    expect(whole.cutLength).toBeCloseTo(chords(30, 12), 5);
    expect(whole).toMatchObject({ closed: true, size: { x: 24, y: 60, z: 0 } });
    expect(dxfFacts(aDxf([ellipse(0.3, 2.1)])).cutLength).toBeCloseTo(chords(30, 12, 0.3, 2.1), 5);
    // A quarter of a circle of 10 as a rational curve of degree two: its length is known.
    const quarter: Groups = [
      ...[0, 'SPLINE', 8, 'CUT', 70, 4, 71, 2, 72, 6, 73, 3],
      ...[40, 0, 40, 0, 40, 0, 40, 1, 40, 1, 40, 1, 41, 1, 41, Math.SQRT1_2, 41, 1],
      ...[10, 10, 20, 0, 10, 10, 20, 10, 10, 0, 20, 10],
    ];
    const arcLike = dxfFacts(aDxf([quarter]));
    expect(arcLike.cutLength).toBeCloseTo(5 * Math.PI, 9);
    expect(arcLike.size).toEqual({ x: 10, y: 10, z: 0 });
    // Control points on a line, unevenly: the curve is that line.
    const straight: Groups = [
      ...[0, 'SPLINE', 8, 'CUT', 71, 3, ...[0, 0, 0, 0, 0.2, 0.7, 1, 1, 1, 1].flatMap((knot) => [40, knot])],
      ...[0, 1, 2.5, 3, 9, 10].flatMap((at) => [10, 3 * at, 20, 4 * at]),
    ];
    expect(dxfFacts(aDxf([straight])).cutLength).toBeCloseTo(50, 9);
  });

  it('tells millimetres whatever the unit, and warns where there is none', () => {
    const inches = dxfFacts(aDxf(square(2), { unit: 1 }));
    expect(inches).toMatchObject({ unit: 'in', size: { x: 50.8, y: 50.8, z: 0 }, closed: true });
    expect(inches.cutLength).toBeCloseTo(8 * 25.4, 9);
    expect(dxfFacts(aDxf([circle(0, 0, 1)], { unit: 6 })).cutLength).toBeCloseTo(2000 * Math.PI, 6);
    const none = dxfFacts(aDxf(square(2), { unit: null }));
    expect(none).toMatchObject({ unit: null, size: { x: 2, y: 2, z: 0 } });
    expect(none.warnings[0]).toContain('names no unit');
  });

  it('names what is not cut and what it can not read, with counts', () => {
    const facts = dxfFacts(
      aDxf([
        ...square(10),
        [0, 'TEXT', 8, 'NOTES', 10, 0, 20, 0, 40, 2, 1, 'hello'],
        [0, 'TEXT', 8, 'NOTES', 10, 0, 20, 5, 40, 2, 1, 'again'],
        [0, 'HATCH', 8, 'FILL', 10, 0, 20, 0],
        [0, 'SPLINE', 8, 'CUT', 71, 3, 74, 2, 11, 0, 21, 0, 11, 5, 21, 5],
        [0, 'LINE', 67, 1, 8, 'FRAME', 10, 0, 20, 0, 11, 500, 21, 0],
      ]),
    );
    expect(facts.flat).toMatchObject({
      notes: [{ name: 'TEXT', count: 2 }],
      unread: [
        { name: 'HATCH', count: 1 },
        { name: 'SPLINE', count: 1 },
      ],
    });
    expect(facts.layers).toEqual(['CUT', 'FILL', 'NOTES']);
    expect(facts.size).toEqual({ x: 10, y: 10, z: 0 });
    expect(facts.warnings).toEqual(['Not read: 1 HATCH, 1 SPLINE.', 'Not counted as cut: 2 TEXT.']);
  });

  it('unfolds blocks at their places: turned, stretched, mirrored, in rows', () => {
    const blocks = [
      block('HOLE', [circle(1, 1, 2, '0')], [1, 1]),
      block('PAIR', [insert('HOLE'), insert('HOLE', [10, 10])]),
    ];
    const pair = dxfFacts(aDxf([insert('PAIR', [10, 100, 20, 50, 50, 90])], { blocks }));
    expect(pair.size).toEqual({ x: 4, y: 14, z: 0 });
    expect(pair.cutLength).toBeCloseTo(8 * Math.PI, 10);
    expect(pair.layers).toEqual(['PLACED']);
    const oval = dxfFacts(aDxf([insert('HOLE', [41, 3, 42, 1])], { blocks }));
    expect(oval.size).toEqual({ x: 12, y: 4, z: 0 });
    expect(oval.cutLength).toBeCloseTo(chords(6, 2), 5);
    const rows = dxfFacts(aDxf([insert('HOLE', [70, 3, 71, 2, 44, 10, 45, 20])], { blocks }));
    expect(rows.flat).toMatchObject({ contours: 6, pierces: 6 });
    expect(rows.size).toEqual({ x: 24, y: 24, z: 0 });
    const seenFromBelow = dxfFacts(aDxf([[...arc(10, 0, 5, 0, 90), 230, -1]]));
    expect(dxfShape(aDxf([[...arc(10, 0, 5, 0, 90), 230, -1]])).contours[0]!.points[0]).toBeCloseTo(-15, 9);
    expect(seenFromBelow.size).toEqual({ x: 5, y: 5, z: 0 });
    const missing = dxfFacts(aDxf([insert('NOWHERE')]));
    expect(missing.flat?.unread).toEqual([{ name: 'INSERT', count: 1 }]);
  });

  it('reads the binary form as the one in words', () => {
    const groups = [
      [0, 'SECTION'],
      [2, 'HEADER'],
      [9, '$INSUNITS'],
      [70, 4],
      [0, 'ENDSEC'],
      [0, 'SECTION'],
      [2, 'ENTITIES'],
      [0, 'CIRCLE'],
      [8, 'CUT'],
      [10, 3],
      [20, 4],
      [40, 2.5],
      [0, 'ENDSEC'],
      [0, 'EOF'],
    ] as const;
    const pieces = groups.map(([code, value]) => {
      const head = Buffer.alloc(2);
      head.writeInt16LE(code);
      if (typeof value === 'string') return Buffer.concat([head, Buffer.from(`${value}\0`)]);
      const number = Buffer.alloc(code === 70 ? 2 : 8);
      if (code === 70) number.writeInt16LE(value);
      else number.writeDoubleLE(value);
      return Buffer.concat([head, number]);
    });
    const bytes = Buffer.concat([Buffer.from('AutoCAD Binary DXF\r\n\x1a\0', 'latin1'), ...pieces]);
    expect(dxfFacts(bytes)).toEqual(dxfFacts(aDxf([circle(3, 4, 2.5)])));
    for (const cut of [24, 40, 80, bytes.length - 3]) {
      expect(() => dxfFacts(bytes.subarray(0, cut))).toThrow(Unreadable);
    }
  });

  it('reads names of layers in older and newer codes', () => {
    const named = (name: Buffer) =>
      dxfFacts(
        Buffer.from(
          aDxf([line(0, 0, 1, 0, 'LAYER')])
            .toString('latin1')
            .replace('LAYER', name.toString('latin1')),
          'latin1',
        ),
      ).layers;
    expect(named(Buffer.from('Außen', 'latin1'))).toEqual(['Außen']);
    expect(named(Buffer.from('Außen', 'utf8'))).toEqual(['Außen']);
    expect(named(Buffer.from('Au\\U+00DFen'))).toEqual(['Außen']);
  });

  it('refuses numbers that are none', () => {
    for (const value of ['NaN', 'nan', 'Infinity', '1e999', '', '0x', '1e12']) {
      expect(() => dxfFacts(aDxf([[0, 'LINE', 8, 'CUT', 10, value, 20, 0, 11, 1, 21, 1]]))).toThrow(
        'where a number should be',
      );
    }
  });

  it('refuses blocks that hold themselves, nest too deep or unfold to too much', () => {
    const itself = [block('A', [insert('B')]), block('B', [insert('A')])];
    expect(() => dxfFacts(aDxf([insert('A')], { blocks: itself }))).toThrow(
      new Unreadable('A block of the DXF holds itself.'),
    );
    const deep = Array.from({ length: 60 }, (_, at) => block(`D${at}`, [insert(`D${at + 1}`)]));
    expect(() => dxfFacts(aDxf([insert('D0')], { blocks: deep }))).toThrow('more than 24 deep');
    const ten = (name: string) => Array.from({ length: 10 }, () => insert(name));
    const bomb = [
      ...Array.from({ length: 20 }, (_, at) => block(`B${at}`, ten(`B${at + 1}`))),
      block('B20', [circle(0, 0, 1)]),
    ];
    const begun = performance.now();
    expect(() => dxfFacts(aDxf([insert('B0')], { blocks: bomb }))).toThrow(
      'unfold to more than 400,000 entities',
    );
    expect(() =>
      dxfFacts(aDxf([insert('X', [70, 32_000, 71, 32_000])], { blocks: [block('X', [])] })),
    ).toThrow('unfold to more than 400,000 entities');
    expect(performance.now() - begun).toBeLessThan(15_000);
  });

  it('refuses what is cut off or no DXF', () => {
    const whole = aDxf(square(10)).toString();
    expect(() => dxfFacts(Buffer.from(whole.slice(0, whole.length - 8)))).toThrow('cut off before its end');
    expect(() => dxfFacts(Buffer.from('hello\nworld\n'))).toThrow('should be a group code');
    expect(() => dxfFacts(Buffer.from('0\nEOF\n'))).toThrow('has no section');
    expect(dxfFacts(aDxf([]))).toMatchObject({ closed: null, size: null, cutLength: 0 });
  });

  it('reads or refuses any groups and any bytes', () => {
    const tried = (bytes: Uint8Array) => {
      try {
        const facts = dxfFacts(bytes);
        expect(facts.cutLength).toBeGreaterThanOrEqual(0);
        dxfShape(bytes);
      } catch (fault) {
        expect(fault).toBeInstanceOf(Unreadable);
      }
    };
    fc.assert(fc.property(fc.uint8Array({ maxLength: 300 }), tried), { numRuns: 200 });
    const type = fc.constantFrom(
      'LINE',
      'ARC',
      'CIRCLE',
      'ELLIPSE',
      'LWPOLYLINE',
      'SPLINE',
      'INSERT',
      'POLYLINE',
      'VERTEX',
    );
    const code = fc.constantFrom(10, 20, 30, 11, 21, 40, 41, 42, 50, 51, 70, 71, 72, 73, 210, 220, 230, 2, 8);
    const value = fc.oneof(fc.integer({ min: -5, max: 5 }), fc.double({ min: -1e6, max: 1e6, noNaN: true }));
    const entity = fc
      .tuple(type, fc.array(fc.tuple(code, value), { maxLength: 20 }))
      .map(([name, groups]): Groups => [0, name, ...groups.flat()]);
    fc.assert(
      fc.property(fc.array(entity, { maxLength: 6 }), (entities) => tried(aDxf(entities))),
      { numRuns: 300 },
    );
  });
});

describe('dxfShape', () => {
  it('runs along each contour within the tolerance', () => {
    const slot = [line(0, -5, 40, -5), line(40, 5, 0, 5), arc(40, 0, 5, 270, 90), arc(0, 0, 5, 90, 270)];
    const { contours, tolerance, kind } = dxfShape(aDxf([...slot, circle(20, 0, 2)]));
    expect([kind, contours.length]).toEqual(['contours', 2]);
    for (const { closed, points } of contours) {
      expect(closed).toBe(true);
      expect(Math.hypot(points[0]! - points.at(-2)!, points[1]! - points.at(-1)!)).toBeLessThan(1e-9);
    }
    const round = contours[1]!.points;
    for (let at = 0; at + 4 <= round.length; at += 2) {
      const [x, y] = [(round[at]! + round[at + 2]!) / 2 - 20, (round[at + 1]! + round[at + 3]!) / 2];
      expect(2 - Math.hypot(x, y)).toBeLessThanOrEqual(tolerance * 1.001);
    }
  });
});
