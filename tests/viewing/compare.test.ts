import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ContourShape, type FileFacts, factsOf } from '../../src/models/facts.ts';
import { compareContours } from '../../src/viewing/compare-contours.ts';
import { compareFacts } from '../../src/viewing/compare-facts.ts';

type Contour = ContourShape['contours'][number];
const shape = (contours: Contour[]): ContourShape => ({
  kind: 'contours',
  unit: 'mm',
  tolerance: 0.01,
  contours,
});
const box = (x: number, y: number, width: number, height: number, closed = true): Contour => ({
  layer: '0',
  closed,
  points: new Float64Array([x, y, x + width, y, x + width, y + height, x, y + height]),
});
const corners = ({ points }: Contour) => [points[0], points[1]];

describe('contours of two flat patterns', () => {
  it('are the same wherever they begin and whichever way they run', () => {
    const turned: Contour = {
      layer: 'X',
      closed: true,
      points: new Float64Array([10, 5, 10, 0, 0, 0, 0, 5]),
    };
    const changes = compareContours(shape([box(0, 0, 10, 5)]), shape([turned]));
    expect(changes.same).toHaveLength(1);
    expect(changes.gone).toEqual([]);
    expect(changes.added).toEqual([]);
  });

  it('are told apart by place, by size, and by being open', () => {
    const before = shape([box(0, 0, 10, 5), box(2, 2, 1, 1), box(7, 2, 1, 1)]);
    const after = shape([box(0, 0, 10, 5), box(2, 2, 1, 1.1), box(7, 2, 1, 1, false)]);
    const { same, gone, added } = compareContours(before, after);
    expect(same.map(corners)).toEqual([[0, 0]]);
    expect(gone.map(corners)).toEqual([
      [2, 2],
      [7, 2],
    ]);
    expect(added.map(corners)).toEqual([
      [2, 2],
      [7, 2],
    ]);
  });

  it('count two alike as two', () => {
    const { same, gone } = compareContours(
      shape([box(0, 0, 1, 1), box(0, 0, 1, 1)]),
      shape([box(0, 0, 1, 1)]),
    );
    expect(same).toHaveLength(1);
    expect(gone).toHaveLength(1);
  });

  it('add up: each is the same, gone or new', () => {
    const small = fc.tuple(
      fc.nat(3),
      fc.nat(3),
      fc.integer({ min: 1, max: 2 }),
      fc.integer({ min: 1, max: 2 }),
    );
    const some = fc
      .array(
        small.map((four) => box(...four)),
        { maxLength: 12 },
      )
      .map(shape);
    fc.assert(
      fc.property(some, some, (before, after) => {
        const { same, gone, added } = compareContours(before, after);
        expect(same.length + gone.length).toBe(before.contours.length);
        expect(same.length + added.length).toBe(after.contours.length);
        // The slow second way: how many of each kind both have.
        const count = (list: Contour[]) => {
          const kinds = new Map<string, number>();
          for (const { points } of list) kinds.set(points.join(), (kinds.get(points.join()) ?? 0) + 1);
          return kinds;
        };
        const [was, is] = [count(before.contours), count(after.contours)];
        const both = [...was].reduce((sum, [kind, n]) => sum + Math.min(n, is.get(kind) ?? 0), 0);
        expect(same).toHaveLength(both);
      }),
    );
  });
});

const facts = (known: Partial<FileFacts>): FileFacts => factsOf('STEP', { unit: 'mm', ...known });

describe('what two files say', () => {
  const before = facts({ size: { x: 25.4, y: 50.8, z: 10 }, volume: 16387.064, solids: 1 });

  it('stands side by side with what moved, in mm', () => {
    const after = facts({ size: { x: 25.4, y: 53.34, z: 10 }, volume: 16387.064, solids: 2 });
    expect(compareFacts(before, after, 'mm')).toEqual([
      { label: 'Size along X', before: '25.4 mm', after: '25.4 mm', change: '' },
      { label: 'Size along Y', before: '50.8 mm', after: '53.34 mm', change: '+2.54 mm, +5 %' },
      { label: 'Size along Z', before: '10 mm', after: '10 mm', change: '' },
      { label: 'Volume', before: '16,387 mm³', after: '16,387 mm³', change: '' },
      { label: 'Solids', before: '1', after: '2', change: '+1' },
    ]);
  });

  it('and in inches, where a cubic inch is 16,387.064 mm³ (25.4 cubed)', () => {
    const pairs = compareFacts(before, facts({ volume: 2 * 16387.064 }), 'in');
    expect(pairs).toEqual([{ label: 'Volume', before: '1 in³', after: '2 in³', change: '+1 in³, +100 %' }]);
  });

  it('names parts whose number is another, and another unit', () => {
    const was = facts({
      parts: [
        { name: 'bolt', quantity: 6 },
        { name: 'nut', quantity: 8 },
      ],
    });
    const is = facts({
      parts: [
        { name: 'bolt', quantity: 4 },
        { name: 'nut', quantity: 8 },
        { name: 'pin', quantity: 1 },
      ],
      unit: 'in',
    });
    expect(compareFacts(was, is, 'mm')).toEqual([
      { label: 'Unit of the file', before: 'mm', after: 'in', change: 'another' },
      { label: 'bolt', before: '6', after: '4', change: '−2' },
      { label: 'pin', before: '0', after: '1', change: '+1' },
    ]);
  });
});
