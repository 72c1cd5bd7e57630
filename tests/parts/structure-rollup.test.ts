import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { buildStructure } from '../../src/parts/structure-graph.ts';
import { packsToBuy, requiredTotals, rollUpCost, rollUpMass } from '../../src/parts/structure-rollup.ts';
import { treeRows } from '../../src/parts/structure-tree.ts';
import { whereUsed } from '../../src/parts/structure-where-used.ts';
import { type Drawn, drawn, structures } from './structure-examples.ts';

const build = ({ parts, uses }: Drawn) => buildStructure(parts, uses);

/** A fraction for the second way, with nothing taken over from the code under test. */
type Ratio = readonly [numerator: bigint, denominator: bigint];
const times = (a: Ratio, milli: number): Ratio => [a[0] * BigInt(milli), a[1] * 1000n];
const plus = (a: Ratio, b: Ratio): Ratio => [a[0] * b[1] + b[0] * a[1], a[1] * b[1]];
const up = ([numerator, denominator]: Ratio) => (numerator + denominator - 1n) / denominator;

/** Second way: what a part is needed for, asked upwards with plain recursion and no memory. */
function neededPlainly({ parts, uses }: Drawn, partId: number, wanted: ReadonlyMap<number, number>): Ratio {
  let total: Ratio = [BigInt(wanted.get(partId) ?? 0), 1000n];
  for (const use of uses) {
    if (use.childId === partId) {
      total = plus(total, times(neededPlainly({ parts, uses }, use.parentId, wanted), use.quantityMilli));
    }
  }
  const counted = parts.find((part) => part.id === partId)?.unit === 'piece';
  return counted ? [up(total), 1n] : total;
}

describe('requiredTotals', () => {
  const orrery = drawn(`
    orrery > drive : 1
    orrery > arm : 6
    drive > gear : 4
    arm > gear : 2
    gear > pin : 3
    arm > wire~ : 0.333
    drive > pin : 2`);

  test('multiplies downwards and adds up over all places of a part', () => {
    const totals = requiredTotals(build(orrery), [{ partId: orrery.id('orrery'), quantityMilli: 1000 }]);
    const of = (name: string) => totals.get(orrery.id(name));
    expect(of('orrery')).toBe(1000);
    expect(of('arm')).toBe(6000);
    expect(of('gear')).toBe(16_000);
    expect(of('pin')).toBe(50_000);
    expect(of('wire~')).toBe(1998);
  });

  test('0.333 m in each of 12 is 3.996 m exactly', () => {
    const hose = drawn(`
      machine > branch : 12
      branch > hose~ : 0.333`);
    const totals = requiredTotals(build(hose), [{ partId: hose.id('machine'), quantityMilli: 1000 }]);
    expect(totals.get(hose.id('hose~'))).toBe(3996);
  });

  test('rounds up once, at the end: three thirds of a thousandth of a metre are one more', () => {
    const thin = drawn(`
      machine > a~ : 0.333
      a~ > b~ : 0.333
      b~ > c~ : 0.001`);
    const totals = requiredTotals(build(thin), [{ partId: thin.id('machine'), quantityMilli: 1000 }]);
    // 0.333 x 0.333 = 0.110889 m; a thousandth of that is 0.000110889 m.
    expect(totals.get(thin.id('b~'))).toBe(111);
    expect(totals.get(thin.id('c~'))).toBe(1);
  });

  test('a counted part below a measured one is made whole, and its children serve whole ones', () => {
    const cable = drawn(`
      machine > cable~ : 2.5
      cable~ > clip : 3
      clip > screw : 2`);
    const totals = requiredTotals(build(cable), [{ partId: cable.id('machine'), quantityMilli: 1000 }]);
    expect(totals.get(cable.id('clip'))).toBe(8000);
    expect(totals.get(cable.id('screw'))).toBe(16_000);
  });

  test('counts only what is wanted, for several of several parts', () => {
    const structure = build(orrery);
    const only = requiredTotals(structure, [{ partId: orrery.id('arm'), quantityMilli: 2000 }]);
    expect(only.get(orrery.id('orrery'))).toBe(0);
    expect(only.get(orrery.id('drive'))).toBe(0);
    expect(only.get(orrery.id('pin'))).toBe(12_000);
    const both = requiredTotals(structure, [
      { partId: orrery.id('arm'), quantityMilli: 2000 },
      { partId: orrery.id('orrery'), quantityMilli: 3000 },
      { partId: orrery.id('pin'), quantityMilli: 1000 },
    ]);
    expect(both.get(orrery.id('pin'))).toBe(12_000 + 150_000 + 1000);
    expect([...requiredTotals(structure, []).values()].every((total) => total === 0)).toBe(true);
  });

  test('throws for a part that is not there and for a quantity below zero', () => {
    const structure = build(orrery);
    expect(() => requiredTotals(structure, [{ partId: 1, quantityMilli: 1000 }])).toThrow(RangeError);
    expect(() => requiredTotals(structure, [{ partId: orrery.id('arm'), quantityMilli: -1 }])).toThrow(
      RangeError,
    );
  });

  test('agrees with plain recursion in fractions', () => {
    fc.assert(
      fc.property(structures, fc.integer({ min: 0, max: 5000 }), (example, quantityMilli) => {
        const top = example.parts[0]?.id ?? 0;
        const totals = requiredTotals(build(example), [{ partId: top, quantityMilli }]);
        for (const { id } of example.parts) {
          const [numerator, denominator] = neededPlainly(example, id, new Map([[top, quantityMilli]]));
          expect(totals.get(id)).toBe(Number(up([numerator * 1000n, denominator])));
        }
      }),
      { seed: 31, numRuns: 400 },
    );
  });

  test('goes down 10,000 levels of 1.001 m each without losing a digit on the way', () => {
    const levels = 10_000;
    const parts = Array.from({ length: levels }, (_, id) => ({ id, unit: 'm' as const }));
    const uses = parts.slice(1).map(({ id }) => ({ parentId: id - 1, childId: id, quantityMilli: 1001 }));
    const totals = requiredTotals(buildStructure(parts, uses), [{ partId: 0, quantityMilli: 1000 }]);
    expect(totals.get(1)).toBe(1001);
    expect(totals.get(2)).toBe(1003);
    const exactly = (level: number) => Number(up([1000n * 1001n ** BigInt(level), 1000n ** BigInt(level)]));
    expect(totals.get(5000)).toBe(exactly(5000));
    expect(totals.get(9999)).toBe(exactly(9999));
  });

  test('a ladder of 60 diamonds has more ways than can be told, and says so', () => {
    const rungs = 60;
    const parts = Array.from({ length: rungs * 3 + 1 }, (_, id) => ({ id, unit: 'piece' as const }));
    const uses = Array.from({ length: rungs }, (_, rung) => {
      const [top, left, right, foot] = [rung * 3, rung * 3 + 1, rung * 3 + 2, rung * 3 + 3];
      const one = { quantityMilli: 1000 };
      return [
        { parentId: top, childId: left, ...one },
        { parentId: top, childId: right, ...one },
        { parentId: left, childId: foot, ...one },
        { parentId: right, childId: foot, ...one },
      ];
    }).flat();
    const structure = buildStructure(parts, uses);
    const totals = requiredTotals(structure, [{ partId: 0, quantityMilli: 1000 }]);
    expect(totals.get(30 * 3)).toBe(2 ** 30 * 1000);
    expect(totals.get(rungs * 3)).toBe(Number.MAX_SAFE_INTEGER);
    expect(whereUsed(structure, 90).all).toHaveLength(90);
    expect(whereUsed(structure, 90).tops).toEqual([{ partId: 0, quantityMilli: 2 ** 30 * 1000 }]);
    expect(rollUpMass(structure, (id) => (id === rungs * 3 ? 0.5 : null)).get(rungs * 3 - 3 * 20)).toEqual({
      value: 2 ** 20 * 0.5,
      unknownParts: 0,
    });
    const tree = treeRows(structure, 0, { depth: 1000, rows: 500 });
    expect(tree.rows).toHaveLength(500);
    expect(tree.cut).toBe(true);
  });
});

describe('rollUpMass', () => {
  const lamp = drawn(`
    lamp > shade : 1
    lamp > arm : 2
    arm > tube~ : 0.4
    arm > screw : 3
    shade > screw : 4`);
  const masses = (grams: Record<string, number | null>) =>
    rollUpMass(
      build(lamp),
      (id) => grams[Object.keys(grams).find((name) => lamp.id(name) === id) ?? ''] ?? null,
    );

  test('adds the children in their quantities', () => {
    const rolled = masses({ 'tube~': 250, screw: 0.1, shade: 80 });
    // arm: 0.4 x 250 + 3 x 0.1 = 100.3; lamp: 80 + 2 x 100.3 = 280.6
    expect(rolled.get(lamp.id('arm'))).toEqual({ value: 100.3, unknownParts: 0 });
    expect(rolled.get(lamp.id('lamp'))).toEqual({ value: 280.6, unknownParts: 0 });
  });

  test('an own mass stands before its children, known or not', () => {
    const rolled = masses({ arm: 120, shade: 80 });
    expect(rolled.get(lamp.id('arm'))).toEqual({ value: 120, unknownParts: 0 });
    expect(rolled.get(lamp.id('lamp'))).toEqual({ value: 320, unknownParts: 0 });
  });

  test('counts each unknown part once, however many places it has', () => {
    const rolled = masses({ 'tube~': 250 });
    expect(rolled.get(lamp.id('lamp'))).toEqual({ value: 200, unknownParts: 1 });
    expect(rolled.get(lamp.id('shade'))).toEqual({ value: null, unknownParts: 1 });
    expect(rolled.get(lamp.id('screw'))).toEqual({ value: null, unknownParts: 1 });
    expect(masses({}).get(lamp.id('lamp'))).toEqual({ value: null, unknownParts: 2 });
  });

  test('a mass of nothing is known', () => {
    expect(masses({ screw: 0, 'tube~': 0 }).get(lamp.id('lamp'))).toEqual({ value: 0, unknownParts: 0 });
  });

  test('throws for a mass below zero or not finite', () => {
    expect(() => masses({ screw: -1 })).toThrow(RangeError);
    expect(() => masses({ screw: Number.POSITIVE_INFINITY })).toThrow(RangeError);
  });

  test('reads tiny and huge masses digit for digit', () => {
    expect(masses({ screw: 1e-7 }).get(lamp.id('screw'))).toEqual({ value: 0, unknownParts: 0 });
    expect(masses({ screw: 2.5e-3 }).get(lamp.id('screw'))).toEqual({ value: 0.003, unknownParts: 0 });
    expect(masses({ screw: 1e9 }).get(lamp.id('shade'))).toEqual({ value: 4e9, unknownParts: 0 });
  });

  test('agrees with plain recursion, unknown parts as a set', () => {
    const tables = fc.array(fc.option(fc.integer({ min: 0, max: 500 })), { minLength: 9, maxLength: 9 });
    fc.assert(
      fc.property(structures, tables, (example, table) => {
        const own = new Map(example.parts.map(({ id }, place) => [id, table[place] ?? null]));
        const plainly = (id: number): { grams: Ratio | null; unknown: Set<number> } => {
          const grams = own.get(id) ?? null;
          if (grams !== null) return { grams: [BigInt(grams), 1n], unknown: new Set() };
          const below = example.uses.filter((use) => use.parentId === id);
          if (below.length === 0) return { grams: null, unknown: new Set([id]) };
          const unknown = new Set<number>();
          let total: Ratio | null = null;
          for (const use of below) {
            const child = plainly(use.childId);
            for (const part of child.unknown) unknown.add(part);
            if (child.grams !== null) total = plus(total ?? [0n, 1n], times(child.grams, use.quantityMilli));
          }
          return { grams: total, unknown };
        };
        const rolled = rollUpMass(build(example), (id) => own.get(id) ?? null);
        for (const { id } of example.parts) {
          const { grams, unknown } = plainly(id);
          const nearest = grams && Number((grams[0] * 2000n + grams[1]) / (grams[1] * 2n)) / 1000;
          expect(rolled.get(id)).toEqual({ value: nearest, unknownParts: unknown.size });
        }
      }),
      { seed: 33, numRuns: 400 },
    );
  });

  test('counts 5,000 unknown parts on a chain of 5,000 levels', () => {
    const parts = Array.from({ length: 10_000 }, (_, id) => ({ id, unit: 'piece' as const }));
    const uses = parts.slice(1).map(({ id }) => ({
      parentId: id < 5000 ? id - 1 : id - 5000,
      childId: id,
      quantityMilli: 1000,
    }));
    const rolled = rollUpMass(buildStructure(parts, uses), () => null);
    expect(rolled.get(0)).toEqual({ value: null, unknownParts: 5000 });
    expect(rolled.get(4999)).toEqual({ value: null, unknownParts: 1 });
    expect(rolled.get(2500)).toEqual({ value: null, unknownParts: 2500 });
  });
});

describe('rollUpCost', () => {
  test('adds shares of packs, and own prices on top of children', () => {
    const frame = drawn(`
      frame > plate : 2
      frame > screw : 7
      plate > sheet~ : 0.333`);
    const prices = new Map([
      [frame.id('screw'), { priceCents: 345, packMilli: 100_000 }],
      [frame.id('sheet~'), { priceCents: 1000, packMilli: null }],
      [frame.id('plate'), { priceCents: 250, packMilli: 1000 }],
    ]);
    const rolled = rollUpCost(build(frame), (id) => prices.get(id) ?? null);
    // plate 250 + 333 = 583; frame 2 x 583 + 7 x 3.45 = 1190.15
    expect(rolled.get(frame.id('plate'))).toEqual({ value: 583, unknownParts: 0 });
    expect(rolled.get(frame.id('frame'))).toEqual({ value: 1190, unknownParts: 0 });
    expect(rolled.get(frame.id('screw'))).toEqual({ value: 3, unknownParts: 0 });
  });

  test('a third of a price is kept finely enough to come back whole', () => {
    const box = drawn('box > nut : 300000');
    const rolled = rollUpCost(build(box), (id) =>
      id === box.id('nut') ? { priceCents: 100, packMilli: 3000 } : null,
    );
    expect(rolled.get(box.id('box'))).toEqual({ value: 10_000_000, unknownParts: 0 });
  });

  test('an assembly needs no price of its own; a leaf without one is unknown', () => {
    const box = drawn(`
      box > nut : 2
      box > lid : 1`);
    const rolled = rollUpCost(build(box), (id) =>
      id === box.id('nut') ? { priceCents: 5, packMilli: null } : null,
    );
    expect(rolled.get(box.id('box'))).toEqual({ value: 10, unknownParts: 1 });
  });

  test.each([
    { priceCents: -1, packMilli: null },
    { priceCents: 1.5, packMilli: null },
    { priceCents: 1, packMilli: 0 },
  ])('throws for %j', (price) => {
    expect(() => rollUpCost(build(drawn('a > b : 1')), () => price)).toThrow(RangeError);
  });
});

describe('packsToBuy', () => {
  test.each([
    [228_000, 100_000, 345, 3, 1035],
    [100_000, 100_000, 372, 1, 372],
    [100_001, 100_000, 372, 2, 744],
    [0, 100_000, 372, 0, 0],
    [2000, null, 1559, 2, 3118],
    [2500, 1000, 10, 3, 30],
  ])('%i thousandths in packs of %s at %i', (required, packMilli, priceCents, packs, costCents) => {
    expect(packsToBuy(required, { packMilli, priceCents })).toEqual({ packs, costCents });
  });

  test('throws for packs of nothing', () => {
    expect(() => packsToBuy(1000, { packMilli: 0, priceCents: 1 })).toThrow(RangeError);
  });
});

describe('whereUsed', () => {
  const orrery = drawn(`
    orrery > drive : 1
    orrery > arm : 6
    drive > gear : 4
    arm > gear : 2
    spare > gear : 1
    gear > pin : 3
    drive > pin : 2
    drive > pin : 1`);

  test('tells direct holders, all holders and tops with their quantities', () => {
    const { direct, all, tops } = whereUsed(build(orrery), orrery.id('pin'));
    const named = (list: { partId: number; quantityMilli: number }[]) =>
      Object.fromEntries(list.map(({ partId, quantityMilli }) => [partId, quantityMilli]));
    expect(direct).toEqual([
      { partId: orrery.id('gear'), quantityMilli: 3000 },
      { partId: orrery.id('drive'), quantityMilli: 3000 },
    ]);
    expect(named(all)).toEqual({
      [orrery.id('gear')]: 3000,
      [orrery.id('drive')]: 15_000,
      [orrery.id('arm')]: 6000,
      [orrery.id('spare')]: 3000,
      [orrery.id('orrery')]: 51_000,
    });
    expect(named(tops)).toEqual({ [orrery.id('spare')]: 3000, [orrery.id('orrery')]: 51_000 });
  });

  test('a part that goes into nothing is used nowhere', () => {
    expect(whereUsed(build(orrery), orrery.id('orrery'))).toEqual({ direct: [], all: [], tops: [] });
    expect(() => whereUsed(build(orrery), 1)).toThrow(RangeError);
  });

  test('agrees with requiredTotals where nothing is rounded on the way', () => {
    const whole = structures.map(({ parts, uses }) => ({
      parts: parts.map(({ id }) => ({ id, unit: 'm' as const })),
      uses,
    }));
    fc.assert(
      fc.property(whole, fc.nat(), (example, pick) => {
        const structure = build(example);
        const part = example.parts[pick % example.parts.length]?.id ?? 0;
        const used = new Map(
          whereUsed(structure, part).all.map(({ partId, quantityMilli }) => [partId, quantityMilli]),
        );
        for (const { id } of example.parts) {
          if (id === part) continue;
          const totals = requiredTotals(structure, [{ partId: id, quantityMilli: 1000 }]);
          expect(used.get(id) ?? 0).toBe(totals.get(part));
        }
      }),
      { seed: 35, numRuns: 300 },
    );
  });
});

describe('treeRows', () => {
  const lamp = drawn(`
    lamp > arm : 2
    lamp > shade : 1
    arm > tube~ : 0.4
    arm > screw : 3
    shade > screw : 4`);

  test('reads down the page with quantities in the parent and in the root', () => {
    const { rows, cut } = treeRows(build(lamp), lamp.id('lamp'), { depth: 9, rows: 100 });
    expect(cut).toBe(false);
    expect(
      rows.map((row) => [row.partId, row.depth, row.parentRow, row.quantityMilli, row.totalMilli]),
    ).toEqual([
      [lamp.id('lamp'), 0, null, null, 1000],
      [lamp.id('arm'), 1, 0, 2000, 2000],
      [lamp.id('tube~'), 2, 1, 400, 800],
      [lamp.id('screw'), 2, 1, 3000, 6000],
      [lamp.id('shade'), 1, 0, 1000, 1000],
      [lamp.id('screw'), 2, 4, 4000, 4000],
    ]);
    expect(rows.map((row) => row.childCount)).toEqual([2, 2, 0, 0, 1, 0]);
    expect(rows.some((row) => row.folded)).toBe(false);
  });

  test('folds what is deeper than asked', () => {
    const { rows, cut } = treeRows(build(lamp), lamp.id('lamp'), { depth: 1, rows: 100 });
    expect(rows.map((row) => [row.partId, row.folded])).toEqual([
      [lamp.id('lamp'), false],
      [lamp.id('arm'), true],
      [lamp.id('shade'), true],
    ]);
    expect(cut).toBe(false);
    expect(treeRows(build(lamp), lamp.id('lamp'), { depth: 0, rows: 100 }).rows).toHaveLength(1);
  });

  test('cuts at the limit and says so', () => {
    const { rows, cut } = treeRows(build(lamp), lamp.id('lamp'), { depth: 9, rows: 4 });
    expect(rows).toHaveLength(4);
    expect(cut).toBe(true);
    expect(treeRows(build(lamp), lamp.id('lamp'), { depth: 9, rows: 6 }).cut).toBe(false);
    expect(() => treeRows(build(lamp), 1, { depth: 9, rows: 6 })).toThrow(RangeError);
  });

  test('shows 10,000 levels without running out of stack', () => {
    const parts = Array.from({ length: 10_001 }, (_, id) => ({ id, unit: 'piece' as const }));
    const uses = parts.slice(1).map(({ id }) => ({ parentId: id - 1, childId: id, quantityMilli: 1000 }));
    const { rows } = treeRows(buildStructure(parts, uses), 0, { depth: 20_000, rows: 20_000 });
    expect(rows).toHaveLength(10_001);
    expect(rows.at(-1)).toMatchObject({ partId: 10_000, depth: 10_000, totalMilli: 1000 });
  });

  test('the totals of all rows of a part are what is needed of it, where nothing is rounded', () => {
    const whole = structures.map(({ parts, uses }) => ({
      parts,
      uses: uses.map((use) => ({ ...use, quantityMilli: Math.ceil(use.quantityMilli / 1000) * 1000 })),
    }));
    fc.assert(
      fc.property(whole, (example) => {
        const structure = build(example);
        const root = example.parts[0]?.id ?? 0;
        const totals = requiredTotals(structure, [{ partId: root, quantityMilli: 1000 }]);
        const { rows, cut } = treeRows(structure, root, { depth: 99, rows: 100_000 });
        expect(cut).toBe(false);
        for (const { id } of example.parts) {
          const shown = rows.filter((row) => row.partId === id).reduce((all, row) => all + row.totalMilli, 0);
          expect(shown).toBe(totals.get(id));
        }
      }),
      { seed: 36, numRuns: 200 },
    );
  });
});
