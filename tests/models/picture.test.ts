import { describe, expect, it } from 'vitest';
import type { ContourShape } from '../../src/models/facts.ts';
import { contoursSvg, drawContours } from '../../src/models/picture/draw-contours.ts';
import { ON_DARK, ON_LIGHT, renderModel } from '../../src/models/picture/render-model.ts';

/** A box from the origin, as twelve triangles. */
function box(x: number, y: number, z: number): Float32Array {
  const quads: [number, number, number][][] = [
    [
      [0, 0, 0],
      [0, 1, 0],
      [1, 1, 0],
      [1, 0, 0],
    ],
    [
      [0, 0, 1],
      [1, 0, 1],
      [1, 1, 1],
      [0, 1, 1],
    ],
    [
      [0, 0, 0],
      [1, 0, 0],
      [1, 0, 1],
      [0, 0, 1],
    ],
    [
      [0, 1, 0],
      [0, 1, 1],
      [1, 1, 1],
      [1, 1, 0],
    ],
    [
      [0, 0, 0],
      [0, 0, 1],
      [0, 1, 1],
      [0, 1, 0],
    ],
    [
      [1, 0, 0],
      [1, 1, 0],
      [1, 1, 1],
      [1, 0, 1],
    ],
  ];
  const size = [x, y, z];
  return new Float32Array(
    quads.flatMap((quad) =>
      [0, 1, 2, 0, 2, 3].flatMap((corner) => quad[corner]!.map((value, axis) => value * size[axis]!)),
    ),
  );
}

const SIZE = { width: 60, height: 40 };
const at = (pixels: Uint8ClampedArray, x: number, y: number) => {
  const place = (y * SIZE.width + x) * 4;
  return [...pixels.subarray(place, place + 4)];
};
/** How many pixels are drawn, counting part of one as such a part. */
const covered = (pixels: Uint8ClampedArray) =>
  pixels.reduce((sum, value, index) => sum + (index % 4 === 3 ? value / 255 : 0), 0);

describe('a picture of a model', () => {
  it('is of the model in the middle, with nothing around it', () => {
    const pixels = renderModel(box(10, 10, 10), SIZE, ON_LIGHT);
    expect(pixels).toHaveLength(60 * 40 * 4);
    expect(at(pixels, 30, 20)[3]).toBe(255);
    for (const [x, y] of [
      [0, 0],
      [59, 0],
      [0, 39],
      [59, 39],
    ] as const)
      expect(at(pixels, x, y)[3]).toBe(0);
  });

  // Seen along a unit vector (u, v, w), the shadow of a box a by b by c is ab|w| + bc|u| + ca|v| (projection of its
  // three visible faces); its drawn share follows from how it is made to fit.
  it('covers the area that a box’s three visible faces have', () => {
    const length = Math.hypot(1, 1.4, 0.9);
    const [u, v, w] = [1 / length, 1.4 / length, 0.9 / length];
    const flat = Math.hypot(u, v);
    for (const [a, b, c] of [
      [10, 10, 10],
      [30, 5, 2],
      [1, 1, 40],
    ] as const) {
      const shadow = a * b * w + b * c * u + c * a * v;
      const wide = (a * v + b * u) / flat;
      const tall = c * flat + ((a * u + b * v) * w) / flat;
      const scale = Math.min((60 * 0.88) / wide, (40 * 0.88) / tall);
      const drawn = covered(renderModel(box(a, b, c), SIZE, ON_LIGHT));
      expect(Math.abs(drawn / (shadow * scale * scale) - 1)).toBeLessThan(0.03);
    }
  });

  it('hides what is behind: a small box inside a large one changes nothing', () => {
    const alone = renderModel(box(10, 10, 10), SIZE, ON_LIGHT);
    const small = box(2, 2, 2).map((value) => value + 4);
    const both = new Float32Array([...small, ...box(10, 10, 10)]);
    expect(renderModel(both, SIZE, ON_LIGHT)).toEqual(alone);
  });

  it('has light faces on a light sheet and light lines on a dark one', () => {
    const brightest = (pixels: Uint8ClampedArray) =>
      Math.max(...pixels.filter((_, index) => index % 4 === 0));
    const middle = (tones: typeof ON_LIGHT) => at(renderModel(box(10, 10, 10), SIZE, tones), 30, 14)[0]!;
    expect(middle(ON_LIGHT)).toBeGreaterThan(middle(ON_DARK));
    expect(brightest(renderModel(box(10, 10, 10), SIZE, ON_DARK))).toBe(ON_DARK.line[0]);
  });

  it('is empty for nothing, and passes over what is no number', () => {
    expect(covered(renderModel(new Float32Array(0), SIZE, ON_LIGHT))).toBe(0);
    const broken = new Float32Array([...box(10, 10, 10), Number.NaN, 1, 1, 1, 1, Infinity, 0, 0, 0]);
    expect(covered(renderModel(broken, SIZE, ON_LIGHT))).toBeGreaterThan(100);
  });
});

describe('a picture of a flat pattern', () => {
  const square: ContourShape = {
    kind: 'contours',
    unit: 'mm',
    tolerance: 0.01,
    contours: [
      { layer: 'CUT', closed: true, points: new Float64Array([0, 0, 100, 0, 100, 50, 0, 50]) },
      { layer: 'MARK', closed: false, points: new Float64Array([10, 10, 20.00049, 10]) },
    ],
  };

  it('has a path for each contour, upside down as SVG counts, with room around', () => {
    const { box: area, paths } = drawContours(square);
    expect(area).toEqual({ x: -4, y: -54, width: 108, height: 58 });
    expect(paths).toEqual([
      { d: 'M0 0L100 0L100 -50L0 -50Z', layer: 'CUT', closed: true },
      { d: 'M10 -10L20 -10', layer: 'MARK', closed: false },
    ]);
  });

  it('leaves room for another laid over it', () => {
    const wider: ContourShape = {
      ...square,
      contours: [{ layer: '', closed: true, points: new Float64Array([-100, 0, 100, 0, 0, 50]) }],
    };
    expect(drawContours(square, [wider]).box).toMatchObject({ x: -108, width: 216 });
  });

  it('is a file that nothing can run in, dashed where a contour is open', () => {
    const svg = contoursSvg({
      ...square,
      contours: square.contours.map((one) => ({ ...one, layer: '<script>' })),
    });
    expect(svg).toMatch(/^<svg xmlns="http:\/\/www.w3.org\/2000\/svg" viewBox="-4 -54 108 58">/);
    expect(svg).not.toContain('script');
    expect(svg.match(/class="open"/g)).toHaveLength(1);
    expect(contoursSvg({ ...square, contours: [] })).toContain('viewBox="0 0 1 1"');
  });
});
