import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { AssemblyNode } from '../../src/models/index.ts';
import { type KnownPart, type KnownUse, linesTaken, proposeStructure } from '../../src/proposals/propose.ts';

const node = (
  name: string,
  quantity = 1,
  children: AssemblyNode[] = [],
  number: string | null = null,
): AssemblyNode => ({
  name,
  number,
  description: null,
  quantity,
  children,
});
const part = (id: number, name: string, number = `OR-${id}`, holdsParts = true): KnownPart => ({
  id,
  number,
  name,
  holdsParts,
});
const TOP = part(1, 'Stand');
const shown = (tree: AssemblyNode[], parts: KnownPart[], uses: KnownUse[] = []) =>
  proposeStructure(tree, TOP, [TOP, ...parts], uses).lines.map(
    ({ parent, child, inModel, state }) => `${parent.name}: ${inModel} ${child.name}, ${state}`,
  );

describe('what a model proposes', () => {
  it('is each assembly with its contents, equal ones counted together', () => {
    const bracket = node('bracket', 1, [node('bolt', 3)]);
    expect(shown([node('as1', 1, [node('plate'), bracket, bracket])], [])).toEqual([
      'Stand: 1 plate, new line',
      'Stand: 2 bracket, new line',
      'bracket: 3 bolt, new line',
    ]);
  });

  it('hangs several tops, or a single one without contents, into the part', () => {
    expect(shown([node('plate'), node('rod', 2)], [])).toEqual([
      'Stand: 1 plate, new line',
      'Stand: 2 rod, new line',
    ]);
    expect(shown([node('plate')], [])).toEqual(['Stand: 1 plate, new line']);
  });

  it('knows a part by its number, then by its name, whatever the capitals', () => {
    const parts = [part(2, 'Plate'), part(3, 'rod', 'X-7'), part(4, 'bolt', 'OR-9')];
    const { lines } = proposeStructure(
      [node('as1', 1, [node('PLATE '), node('x-7'), node('something', 1, [], 'or-9')])],
      TOP,
      [TOP, ...parts],
      [],
    );
    expect(lines.map(({ child }) => child.part?.id)).toEqual([2, 3, 4]);
  });

  it('asks where two parts are called the same', () => {
    const { lines } = proposeStructure(
      [node('as1', 1, [node('rod')])],
      TOP,
      [TOP, part(2, 'rod'), part(3, 'Rod')],
      [],
    );
    expect(lines[0]!.child.part).toBeNull();
    expect(lines[0]!.child.alike.map(({ id }) => id)).toEqual([2, 3]);
  });

  it('says what is other and what the model does not have', () => {
    const uses = [
      { id: 10, parentId: 1, childId: 2, milli: 1000 },
      { id: 11, parentId: 1, childId: 3, milli: 2500 },
      { id: 12, parentId: 1, childId: 4, milli: 1000 },
    ];
    expect(
      shown(
        [node('as1', 1, [node('plate'), node('rod', 2)])],
        [part(2, 'plate'), part(3, 'rod'), part(4, 'glue')],
        uses,
      ),
    ).toEqual(['Stand: 1 plate, same', 'Stand: 2 rod, other quantity', 'Stand: 0 glue, not in the model']);
  });

  it('does not look into what is bought', () => {
    const tree = [node('as1', 1, [node('motor', 1, [node('shaft')])])];
    const { lines, closed } = proposeStructure(tree, TOP, [TOP, part(2, 'motor', 'M-1', false)], []);
    expect(lines.map(({ child }) => child.name)).toEqual(['motor']);
    expect(closed.map(({ name }) => name)).toEqual(['motor']);
  });
});

describe('taking lines', () => {
  const tree = [node('as1', 1, [node('arm', 2, [node('pin', 4)]), node('plate')])];
  const proposal = proposeStructure(tree, TOP, [TOP], []);
  const keyOf = (name: string) => proposal.lines.find(({ child }) => child.name === name)!.key;

  it('takes what puts a new assembly in along with what goes into it', () => {
    const taken = linesTaken(proposal, new Set([keyOf('pin')]));
    expect(taken.map(({ child }) => child.name)).toEqual(['arm', 'pin']);
  });

  it('passes over what is not proposed any more', () => {
    expect(linesTaken(proposal, new Set(['arm|old>nothing']))).toEqual([]);
  });
});

/** Products by level: what is on one level holds only what is further down, so there is no circle. */
const trees = fc
  .array(fc.array(fc.tuple(fc.nat(20), fc.integer({ min: 1, max: 5 })), { maxLength: 4 }), {
    minLength: 2,
    maxLength: 8,
  })
  .map((levels) => {
    const build = (at: number): AssemblyNode[] =>
      levels[at]!.map(([jump, quantity]) => ({
        to: at + 1 + (jump % Math.max(1, levels.length - at - 1)),
        quantity,
      }))
        .filter(({ to }) => to < levels.length)
        .map(({ to, quantity }) => node(`p${to}`, quantity, to < 6 ? build(to) : []));
    return build(0);
  });

describe('a model taken whole', () => {
  it('proposes nothing when it is read again', () => {
    fc.assert(
      fc.property(trees, (tree) => {
        const parts: KnownPart[] = [TOP];
        const uses: KnownUse[] = [];
        const first = proposeStructure(tree, TOP, parts, uses);
        const ids = new Map([[first.top, 1]]);
        const idOf = (product: (typeof first)['top']) => {
          if (!ids.has(product)) {
            ids.set(product, parts.length + 1);
            parts.push(part(parts.length + 1, product.name));
          }
          return ids.get(product)!;
        };
        for (const { parent, child, inModel } of linesTaken(
          first,
          new Set(first.lines.map(({ key }) => key)),
        )) {
          uses.push({
            id: uses.length + 1,
            parentId: idOf(parent),
            childId: idOf(child),
            milli: inModel * 1000,
          });
        }
        const again = proposeStructure(tree, TOP, parts, uses);
        expect(again.lines.filter(({ state }) => state !== 'same')).toEqual([]);
        expect(again.lines).toHaveLength(first.lines.length);
      }),
    );
  });
});
