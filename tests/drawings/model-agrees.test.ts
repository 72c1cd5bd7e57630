import { describe, expect, it } from 'vitest';
import {
  type AgreeFile,
  type AgreeQuestion,
  type AgreeRevision,
  modelDisagreements,
} from '../../src/drawings/model-agrees.ts';
import { letterInName } from '../../src/drawings/model-agrees-revisions.ts';
import { namedSizes } from '../../src/drawings/overall-sizes.ts';
import { stockSizes } from '../../src/drawings/stock-sizes.ts';
import { type FileFacts, factsOf } from '../../src/models/facts.ts';
import { materialLibrary, seededChance } from '../../src/specs/index.ts';

type Sides = [x: number, y: number, z: number];

const size = ([x, y, z]: Sides) => ({ x, y, z });
const boxFacts = (sides: Sides, wish: Partial<FileFacts> = {}) => {
  const [x, y, z] = sides;
  return factsOf('STEP', {
    unit: 'mm',
    size: size(sides),
    volume: x * y * z,
    area: 2 * (x * y + y * z + z * x),
    solids: 1,
    ...wish,
  });
};
const cylinderFacts = (across: number, length: number, wish: Partial<FileFacts> = {}) =>
  boxFacts([across, across, length], {
    volume: (Math.PI / 4) * across ** 2 * length,
    area: Math.PI * across * (across / 2 + length),
    ...wish,
  });
const flatFacts = (x: number, y: number, wish: Partial<FileFacts> = {}, openContours = 0) =>
  factsOf('DXF', {
    unit: 'mm',
    size: { x, y, z: 0 },
    cutLength: 2 * (x + y),
    closed: openContours === 0,
    flat: { contours: 1, openContours, pierces: 1, layers: [], notes: [], unread: [] },
    ...wish,
  });
const product = (name: string, number: string | null = null) => ({
  schemas: [],
  name: '',
  writtenAt: '',
  entities: 1,
  tree: [{ name, number, description: null, quantity: 1, children: [] }],
  solids: [],
});

let files = 0;
const file = (name: string, kind: string, facts: FileFacts | null, sha256 = `sha-${files++}`): AgreeFile => ({
  name,
  kind,
  sha256,
  facts,
});
const model = (facts: FileFacts, name = 'part.step') => file(name, 'model', facts);
const flat = (facts: FileFacts, name = 'part.dxf') => file(name, 'flat pattern', facts);

/** `label: text` for each size. */
const revision = (sizes: readonly string[], its: readonly AgreeFile[], letter = 'A'): AgreeRevision => ({
  letter,
  generalClass: 'm',
  characteristics: sizes.map((line, at) => {
    const [label, text] = line.includes(': ') ? line.split(': ') : ['', line];
    return { position: at + 1, label: label!, text: text! };
  }),
  files: its,
});
const question = (
  sizes: readonly string[],
  its: readonly AgreeFile[],
  wish: Partial<AgreeQuestion> = {},
): AgreeQuestion => ({
  part: { number: 'OR-0305' },
  revision: revision(sizes, its),
  before: null,
  letters: ['A', 'B'],
  otherPart: (number) => (number.toUpperCase() === 'OR-0306' ? 'OR-0306' : null),
  process: null,
  material: null,
  ...wish,
});
const codes = (asked: AgreeQuestion) => modelDisagreements(asked).map(({ code }) => code);
const plate: Sides = [160, 60, 4];
const plateSizes = ['length: 160', 'width: 60', 'thickness: 4', 'hole: 8.5 +0.2 0'];

describe('modelDisagreements, sizes', () => {
  it('finds a size of the whole part that is no side of the model, and nothing where all are', () => {
    expect(codes(question(plateSizes, [model(boxFacts(plate))]))).toEqual([]);
    const [found, ...more] = modelDisagreements(question(plateSizes, [model(boxFacts([150, 60, 4]))]));
    expect(more).toEqual([]);
    expect(found).toMatchObject({ code: 'size', about: 'part.step' });
    expect(found?.sentence).toBe('length, 160 is none of the sides of the model part.step: 150 × 60 × 4 mm');
    // 160 of class m is from 159.5 to 160.5
    expect(codes(question(plateSizes, [model(boxFacts([160.5, 60, 4]))]))).toEqual([]);
    expect(codes(question(plateSizes, [model(boxFacts([161, 60, 4]))]))).toEqual(['size']);
    expect(codes(question(['length: 6.3 in'], [model(boxFacts(plate))]))).toEqual([]);
    expect(codes(question(['thickness: 5'], [model(boxFacts(plate))]))).toEqual(['size']);
  });

  it('says nothing of a round cylinder, a bent sheet and a part with local sizes alone', () => {
    const turned = ['outside: 40 h9', 'length: 62', 'bore: 20 H7'];
    expect(codes(question(turned, [model(cylinderFacts(40, 62))]))).toEqual([]);
    // facets of a coarse STL fall short of their circle
    const coarse = cylinderFacts(39.7, 62, { format: 'STL', unit: 'mm' });
    expect(codes(question(['outside diameter: Ø40', 'length: 62'], [model(coarse, 'part.stl')]))).toEqual([]);
    // 3 mm sheet bent to an angle: the thickness is no side, and the length is that of the sheet
    const angle = boxFacts([180, 70, 62], { volume: 180 * 130 * 3, area: 2 * 180 * 130 + 6 * 310 });
    const bending = { name: 'sheet bending', envelope: null };
    const sizes = ['length: 180', 'width: 129', 'thickness: 3', 'foot to axis: 62 ±0.2'];
    expect(codes(question(sizes, [model(angle)], { process: bending }))).toEqual([]);
    expect(
      codes(question(['thickness: 3', 'length: 129'], [model(angle), flat(flatFacts(180, 129))])),
    ).toEqual([]);
    const local = [
      'bore: 25 H7',
      'thread length: 45',
      'hub length: 40',
      'centre distance: 900',
      'R1600',
      'M6',
    ];
    expect(codes(question(local, [model(boxFacts([120, 60, 45]))]))).toEqual([]);
    expect(codes(question(plateSizes, [file('part.pdf', 'drawing', null)]))).toEqual([]);
    expect(codes(question(plateSizes, [file('part.step', 'model', null)]))).toEqual([]);
  });

  it('finds a size longer than the model from corner to corner, but no circle that the part is a piece of', () => {
    expect(codes(question(['hole distance: 120'], [model(boxFacts([60, 40, 4]))]))).toEqual(['too-small']);
    expect(codes(question(['hole distance: 70'], [model(boxFacts([60, 40, 4]))]))).toEqual([]);
    expect(codes(question(['Ø3200', 'pitch circle: 400'], [model(boxFacts([60, 40, 4]))]))).toEqual([]);
  });

  it('is never moved by how the part is turned in its file, and has no finding on what agrees', () => {
    const chance = seededChance(7);
    for (let run = 0; run < 500; run++) {
      const sides = [0, 0, 0].map(() => 2 + Math.round(chance() * 8000) / 10) as Sides;
      const [a, b, c] = sides;
      const sizes = [`length: ${a}`, `width: ${b}`, `height: ${c}`];
      const order = [sides, [b, c, a], [c, a, b]][run % 3] as Sides;
      const round = run % 2 === 0;
      const agreed = round
        ? question([`outside: ${a}`, `length: ${b}`], [model(cylinderFacts(a, b))])
        : question(sizes, [
            model(boxFacts(order)),
            file('x.stl', 'model', boxFacts(sides, { format: 'STL' })),
          ]);
      expect(codes(agreed), JSON.stringify(sides)).toEqual([]);
    }
  });
});

describe('modelDisagreements, units', () => {
  it('finds 25.4 and 10 and their inverses between model and drawing, and no other factor', () => {
    for (const factor of [25.4, 10, 1 / 25.4, 0.1]) {
      const sides = plate.map((side) => side * factor) as Sides;
      const found = modelDisagreements(question(plateSizes, [model(boxFacts(sides))]));
      expect(
        found.map(({ code }) => code),
        String(factor),
      ).toEqual(['unit']);
      const dxf = flat(flatFacts(160 * factor, 60 * factor));
      expect(codes(question(plateSizes, [dxf])), String(factor)).toEqual(['unit']);
      const stl = model(boxFacts(sides, { format: 'STL', unit: 'mm' }), 'part.stl');
      expect(codes(question(plateSizes, [stl])), String(factor)).toEqual(['unit']);
    }
    expect(
      modelDisagreements(question(plateSizes, [model(boxFacts([4064, 1524, 101.6]))]))[0]?.sentence,
    ).toBe(
      'part.step looks written in another unit: its longest side is 4064 mm, 25.4 times the 160 mm of length, 160',
    );
    expect(codes(question(plateSizes, [model(boxFacts([320, 120, 8]))]))).not.toContain('unit');
    // a disc ten times as wide as thick is in no wrong unit
    expect(codes(question(['thickness: 8'], [model(cylinderFacts(80, 8))]))).toEqual([]);
  });

  it('finds it between STEP and flat pattern, or STEP and STL, and asks for a unit where there is none', () => {
    const step = model(boxFacts(plate));
    const inches = flat(flatFacts(160 / 25.4, 60 / 25.4));
    expect(codes(question(['hole: 8.5'], [step, inches]))).toEqual(['unit']);
    const bare = model(boxFacts([6.3, 2.362, 0.1575], { format: 'STL', unit: null }), 'part.stl');
    expect(codes(question(['hole: 8.5'], [step, bare]))).toEqual(['unit']);
    expect(codes(question([], [flat(flatFacts(160, 60, { unit: null }))]))).toEqual(['no-unit']);
  });
});

describe('modelDisagreements, files', () => {
  const laser = { name: 'laser cutting, sheet', envelope: null };

  it('finds two files that are not of one size, and leaves a bent part and its sheet alone', () => {
    const step = model(boxFacts(plate));
    expect(codes(question([], [step, flat(flatFacts(160, 60))], { process: laser }))).toEqual([]);
    expect(codes(question([], [step, flat(flatFacts(60, 150))], { process: laser }))).toEqual(['files']);
    const stl = model(boxFacts([160, 60, 5], { format: 'STL', unit: 'mm' }), 'part.stl');
    expect(codes(question([], [stl, step]))).toEqual(['files']);
    const angle = boxFacts([180, 70, 62], { volume: 180 * 130 * 3, area: 2 * 180 * 130 + 6 * 310 });
    expect(codes(question([], [model(angle), flat(flatFacts(180, 129))], { process: laser }))).toEqual([]);
  });

  it('finds open contours and what could not be read', () => {
    const unread = { contours: 1, openContours: 2, pierces: 1, layers: [], notes: [] };
    const found = modelDisagreements(
      question([], [flat(flatFacts(9, 9, { flat: { ...unread, unread: [{ name: 'REGION', count: 2 }] } }))]),
    );
    expect(found.map(({ code }) => code)).toEqual(['open-contours', 'unread']);
    expect(found[0]?.sentence).toContain('2 contours of the flat pattern part.dxf are not closed');
    expect(found[1]?.sentence).toContain('2 REGION could not be read');
  });

  it('finds a letter of another revision in the name, and a product that is another part', () => {
    const named = (name: string) => question(plateSizes, [model(boxFacts(plate), name)]);
    expect(codes(named('OR-0305-B.step'))).toEqual(['revision-letter']);
    expect(codes(named('OR-0305-A.step'))).toEqual([]);
    // no revision C is known, unless the name says that it is one
    expect(codes(named('OR-0305-C.step'))).toEqual([]);
    expect(codes(named('or-0305 rev c.step'))).toEqual(['revision-letter']);
    const called = (...words: [string, string?]) =>
      question(plateSizes, [model(boxFacts(plate, { step: product(words[0], words[1] ?? null) }))]);
    expect(codes(called('OR-0306-B arm'))).toEqual(['other-part']);
    expect(codes(called('plate', 'or-0306'))).toEqual(['other-part']);
    expect(codes(called('OR-0305 with OR-0306'))).toEqual([]);
    expect(codes(called('Part1'))).toEqual([]);
  });

  it('letterInName takes a letter only where it is one', () => {
    const letters = ['OR-1-B.step', 'OR-1_rev_c.stp', 'x OR-1 (D).pdf', 'OR-1.revision-AB.dxf'];
    expect(letters.map((name) => letterInName(name, 'OR-1')?.letter)).toEqual(['B', 'C', 'D', 'AB']);
    const none = [
      'OR-1-LH.step',
      'OR-1-arm.step',
      'OR-10-B.step',
      'OR-1-A4.pdf',
      'OR-1-b.step',
      'OR-1-I.stp',
    ];
    expect(none.map((name) => letterInName(name, 'OR-1'))).toEqual(none.map(() => null));
  });

  it('finds the same model under changed sizes, and the same drawing beside a changed model', () => {
    const [old, sheet] = [model(boxFacts(plate), 'p.step'), file('p.pdf', 'drawing', null)];
    const before = revision(['hole: 8.5', 'slot: 3'], [old, sheet]);
    const now = (sizes: readonly string[], its: readonly AgreeFile[]) =>
      codes(question(sizes, its, { before, revision: revision(sizes, its, 'B') }));
    expect(now(['hole: 9', 'slot: 3'], [old])).toEqual(['same-model']);
    expect(now(['hole: 8.5 +0.1 0', 'slot: 3', 'bore: 12'], [old])).toEqual([]);
    const other = model(boxFacts([160, 60, 5]), 'q.step');
    expect(now(['hole: 8.5', 'slot: 3'], [other, sheet])).toEqual(['same-drawing']);
    // written anew without a change
    expect(now(['hole: 8.5', 'slot: 3'], [model(boxFacts(plate)), sheet])).toEqual([]);
    expect(now(['hole: 8.5', 'slot: 3'], [other, file('q.pdf', 'drawing', null)])).toEqual([]);
  });
});

describe('modelDisagreements, machine and stock', () => {
  const lathe = { name: 'turning (lathe)', envelope: { x: 500, y: 250, z: 250 } };
  const laser = { name: 'laser cutting, sheet', envelope: { x: 2990, y: 1490, z: 25 } };
  const bend = { name: 'sheet bending', envelope: { x: 2500, y: 1250 } };
  const stock = (sizes: string[]) => ({ name: 'steel', stock: { sizes, source: 'list' } });

  it('holds the three sides against the envelope in any order', () => {
    const of = (sides: Sides, process: AgreeQuestion['process']) =>
      codes(question([], [model(boxFacts(sides, { volume: null }))], { process }));
    expect(of([40, 40, 490], lathe)).toEqual([]);
    expect(of([40, 520, 40], lathe)).toEqual(['envelope']);
    expect(of([300, 300, 20], lathe)).toEqual(['envelope']);
    expect(of([1400, 4, 2900], laser)).toEqual([]);
    expect(of([40, 1400, 2900], laser)).toEqual(['envelope']);
    expect(of([2000, 900, 800], bend)).toEqual([]);
    expect(of([2600, 90, 80], bend)).toEqual(['envelope']);
    expect(codes(question([], [flat(flatFacts(1300, 2000))], { process: bend }))).toEqual(['envelope']);
    expect(of([9000, 9000, 9000], null)).toEqual([]);
  });

  it('holds thickness, sheet and bar against what is sold, where figures say it', () => {
    const material = stock(['sheet 1, 2, 3, 4 mm', 'sheets 1000 × 2000 mm', 'round bar 5 to 100 mm']);
    const of = (facts: FileFacts, process = laser) =>
      codes(question([], [model(facts)], { process: { ...process, envelope: null }, material }));
    expect(of(boxFacts([160, 60, 4]))).toEqual([]);
    expect(of(boxFacts([160, 60, 3.5]))).toEqual(['stock']);
    expect(of(boxFacts([1100, 1100, 3]))).toEqual(['stock']);
    expect(of(cylinderFacts(90, 200), lathe)).toEqual([]);
    expect(of(cylinderFacts(120, 200), lathe)).toEqual(['stock']);
    // milled down from a thicker plate
    expect(of(boxFacts([160, 60, 3.5]), { ...lathe, name: 'milling' })).toEqual([]);
    expect(codes(question([], [model(boxFacts([160, 60, 3.5]))], { process: laser }))).toEqual([]);
  });

  it('stockSizes reads what the library says, and passes over what it can not', () => {
    expect(
      stockSizes(['plate 5 to 60 mm, 1000 × 2000 mm', 'round bar 6, 8 mm', 'tube 10 × 1 to 60.3 × 2 mm']),
    ).toEqual({
      thicknesses: [[5, 60]],
      sheets: [[2000, 1000]],
      barMm: 8,
    });
    expect(stockSizes(['dowels 3 to 30 mm, in lengths of 1 m', 'flat bar 20 × 5 to 100 × 20 mm'])).toEqual({
      thicknesses: [],
      sheets: [],
      barMm: null,
    });
    for (const { stock: sold } of materialLibrary) {
      const { thicknesses, sheets, barMm } = stockSizes(sold.sizes);
      for (const [from, to] of thicknesses) expect(from > 0 && to >= from && to <= 100).toBe(true);
      for (const [long, wide] of sheets) expect(long >= wide && wide >= 600).toBe(true);
      expect(barMm === null || (barMm >= 30 && barMm <= 200)).toBe(true);
    }
  });
});

describe('namedSizes', () => {
  it('takes plain words as those of the whole part, and only the greatest of them', () => {
    const of = (...lines: string[]) =>
      namedSizes(revision(lines, []).characteristics, 'm').map(({ overall }) => overall);
    expect(of('length: 260', 'overall width, B3: 40', 'thickness: 4')).toEqual([
      'length',
      'length',
      'thickness',
    ]);
    expect(of('length: 112', 'overall length: 260', 'length: 20')).toEqual([null, 'length', null]);
    expect(of('thread length: 45', 'face: 10', 'hub width: 8', '40')).toEqual([null, null, null, null]);
    expect(of('diameter: 32', 'length: 110')).toEqual(['diameter', 'length']);
    expect(of('diameter: 32', 'flange: Ø72')).toEqual([null, null]);
  });
});
