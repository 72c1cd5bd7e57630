import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  buildStructure,
  depthOf,
  loopThrough,
  StructureLoop,
  type StructureUse,
  topParts,
} from '../../src/parts/structure-graph.ts';
import { type Drawn, drawn, structures } from './structure-examples.ts';

const build = ({ parts, uses }: Drawn) => buildStructure(parts, uses);

/** Second way: is there a way down from one part to another? Plain recursion over the uses. */
function leadsTo(uses: readonly StructureUse[], from: number, to: number): boolean {
  return from === to || uses.some((use) => use.parentId === from && leadsTo(uses, use.childId, to));
}

describe('buildStructure', () => {
  test('orders every parent before its children and tells depths by the longest way', () => {
    const orrery = drawn(`
      orrery > drive : 1
      orrery > arm : 6
      drive > gear : 4
      arm > gear : 2
      gear > pin : 3
      orrery > pin : 1`);
    const structure = build(orrery);
    expect(topParts(structure)).toEqual([orrery.id('orrery')]);
    expect(
      ['orrery', 'drive', 'arm', 'gear', 'pin'].map((name) => depthOf(structure, orrery.id(name))),
    ).toEqual([0, 1, 1, 2, 3]);
    const ordered = [...structure.order].map((place) => structure.ids[place]);
    for (const use of orrery.uses) {
      expect(ordered.indexOf(use.parentId)).toBeLessThan(ordered.indexOf(use.childId));
    }
  });

  test('takes no parts, one part, and parts that nothing joins', () => {
    expect(topParts(buildStructure([], []))).toEqual([]);
    expect(topParts(buildStructure([{ id: 5, unit: 'piece' }], []))).toEqual([5]);
  });

  test('throws the loop that the uses close', () => {
    const looped = drawn(`
      top > a : 1
      a > b : 1
      b > c : 1
      c > a : 1
      c > leaf : 1`);
    let caught: unknown;
    try {
      build(looped);
    } catch (error) {
      caught = error;
    }
    expect(caught).toBeInstanceOf(StructureLoop);
    const loop = caught instanceof StructureLoop ? caught.loop : [];
    expect([...loop].sort()).toEqual(['a', 'b', 'c'].map(looped.id));
    loop.forEach((part, place) => {
      const holder = loop.at(place - 1);
      expect(looped.uses.some((use) => use.parentId === holder && use.childId === part)).toBe(true);
    });
  });

  test('throws for a part in itself', () => {
    expect(() => build(drawn('a > a : 1'))).toThrow(StructureLoop);
  });

  test.each([
    [
      'a part given twice',
      [
        { id: 1, unit: 'piece' as const },
        { id: 1, unit: 'piece' as const },
      ],
      [],
    ],
    [
      'an unknown child',
      [{ id: 1, unit: 'piece' as const }],
      [{ parentId: 1, childId: 2, quantityMilli: 1000 }],
    ],
    ...[0, -1000, 0.5, Number.NaN].map(
      (quantityMilli): [string, { id: number; unit: 'piece' }[], StructureUse[]] => [
        `a quantity of ${quantityMilli}`,
        [
          { id: 1, unit: 'piece' },
          { id: 2, unit: 'piece' },
        ],
        [{ parentId: 1, childId: 2, quantityMilli }],
      ],
    ),
  ])('throws RangeError for %s', (_, parts, uses) => {
    expect(() => buildStructure(parts, uses)).toThrow(RangeError);
  });

  test('orders any structure without loops', () => {
    fc.assert(
      fc.property(structures, (example) => {
        const structure = build(example);
        const rank = new Map([...structure.order].map((place, at) => [structure.ids[place], at]));
        expect(rank.size).toBe(example.parts.length);
        for (const { parentId, childId } of example.uses) {
          expect(rank.get(parentId) ?? 0).toBeLessThan(rank.get(childId) ?? 0);
          expect(depthOf(structure, childId)).toBeGreaterThan(depthOf(structure, parentId));
        }
      }),
      { seed: 21, numRuns: 300 },
    );
  });
});

describe('loopThrough', () => {
  test('names the parts of the loop from the new parent downwards', () => {
    const machine = drawn(`
      top > a : 1
      a > b : 1
      b > c : 1`);
    const structure = build(machine);
    const { id } = machine;
    expect(loopThrough(structure, id('c'), id('a'))).toEqual(['c', 'a', 'b'].map(id));
    expect(loopThrough(structure, id('c'), id('top'))).toEqual(['c', 'top', 'a', 'b'].map(id));
    expect(loopThrough(structure, id('b'), id('a'))).toEqual(['b', 'a'].map(id));
    expect(loopThrough(structure, id('a'), id('a'))).toEqual([id('a')]);
    expect(loopThrough(structure, id('a'), id('c'))).toBeNull();
    expect(loopThrough(structure, id('a'), id('b'))).toBeNull();
  });

  test('gives the shortest of several loops', () => {
    const machine = drawn(`
      a > b : 1
      b > c : 1
      c > d : 1
      a > d : 1`);
    expect(loopThrough(build(machine), machine.id('d'), machine.id('a'))).toEqual(['d', 'a'].map(machine.id));
  });

  test('throws for a part that is not there', () => {
    const machine = drawn('a > b : 1');
    expect(() => loopThrough(build(machine), machine.id('a'), 9999)).toThrow(RangeError);
  });

  test('agrees with plain recursion, and its loop is made of real uses', () => {
    fc.assert(
      fc.property(structures, fc.nat(), fc.nat(), (example, first, second) => {
        const { parts, uses } = example;
        const parent = parts[first % parts.length]?.id ?? 0;
        const child = parts[second % parts.length]?.id ?? 0;
        const loop = loopThrough(build(example), parent, child);
        expect(loop !== null).toBe(leadsTo(uses, child, parent));
        if (loop === null) return;
        expect(loop[0]).toBe(parent);
        const closed = [...uses, { parentId: parent, childId: child }];
        loop.forEach((part, place) => {
          expect(closed.some((use) => use.parentId === loop.at(place - 1) && use.childId === part)).toBe(
            true,
          );
        });
        expect(() =>
          buildStructure(parts, [...uses, { parentId: parent, childId: child, quantityMilli: 1000 }]),
        ).toThrow(StructureLoop);
      }),
      { seed: 22, numRuns: 500 },
    );
  });

  test('finds a loop through 10,000 levels', () => {
    const chain = Array.from({ length: 10_000 }, (_, id) => ({ id, unit: 'piece' as const }));
    const uses = chain.slice(1).map(({ id }) => ({ parentId: id - 1, childId: id, quantityMilli: 1000 }));
    expect(loopThrough(buildStructure(chain, uses), 9999, 0)).toHaveLength(10_000);
  });
});
