import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { AssemblyNode } from '../../src/models/facts.ts';
import { stepFacts, stepShape } from '../../src/models/read/step.ts';
import { stepStructure } from '../../src/models/read/step-structure.ts';
import { headerValues, stepEntities, stepString } from '../../src/models/read/step-text.ts';

const check = (name: string) => readFileSync(new URL(`../checks/step/${name}`, import.meta.url));

/** A tree as lines: quantity and name, two blanks a level. */
const lines = (tree: readonly AssemblyNode[], level = 0): string[] =>
  tree.flatMap(({ name, quantity, children }) => [
    `${'  '.repeat(level)}${quantity} ${name}`,
    ...lines(children, level + 1),
  ]);

/** A cylinder along z as ISO 10303-21, by hand: radius and height in mm. */
function cylinder(radius: number, height: number, name = 'pin'): Buffer {
  return Buffer.from(`ISO-10303-21;
HEADER;
FILE_DESCRIPTION((''),'2;1');
FILE_NAME('pin.step','2026-11-02T08:00:00',(''),(''),'','','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));
ENDSEC;
DATA;
#1=APPLICATION_CONTEXT('core data');
#2=PRODUCT_CONTEXT('',#1,'mechanical');
#3=PRODUCT('${name}','${name}','',(#2));
#4=PRODUCT_DEFINITION_FORMATION('','',#3);
#5=PRODUCT_DEFINITION_CONTEXT('part definition',#1,'design');
#6=PRODUCT_DEFINITION('design','',#4,#5);
#7=PRODUCT_DEFINITION_SHAPE('','',#6);
#8=SHAPE_DEFINITION_REPRESENTATION(#7,#9);
#9=ADVANCED_BREP_SHAPE_REPRESENTATION('',(#16,#20),#10);
#10=(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#14)) GLOBAL_UNIT_ASSIGNED_CONTEXT((#11,#12,#13)) REPRESENTATION_CONTEXT('',''));
#11=(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.));
#12=(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.));
#13=(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT());
#14=UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-7),#11,'distance_accuracy_value','');
#16=AXIS2_PLACEMENT_3D('',#17,#18,#19);
#17=CARTESIAN_POINT('',(0.,0.,0.));
#18=DIRECTION('',(0.,0.,1.));
#19=DIRECTION('',(1.,0.,0.));
#20=MANIFOLD_SOLID_BREP('${name}',#21);
#21=CLOSED_SHELL('',(#22,#23,#24));
#22=ADVANCED_FACE('',(#30),#25,.T.);
#23=ADVANCED_FACE('',(#31),#26,.T.);
#24=ADVANCED_FACE('',(#32),#27,.F.);
#25=CYLINDRICAL_SURFACE('',#16,${radius}.);
#26=PLANE('',#28);
#27=PLANE('',#16);
#28=AXIS2_PLACEMENT_3D('',#29,#18,#19);
#29=CARTESIAN_POINT('',(0.,0.,${height}.));
#30=FACE_BOUND('',#33,.T.);
#31=FACE_BOUND('',#34,.T.);
#32=FACE_BOUND('',#35,.T.);
#33=EDGE_LOOP('',(#36,#37,#38,#39));
#34=EDGE_LOOP('',(#40));
#35=EDGE_LOOP('',(#41));
#36=ORIENTED_EDGE('',*,*,#42,.T.);
#37=ORIENTED_EDGE('',*,*,#44,.T.);
#38=ORIENTED_EDGE('',*,*,#43,.F.);
#39=ORIENTED_EDGE('',*,*,#44,.F.);
#40=ORIENTED_EDGE('',*,*,#43,.T.);
#41=ORIENTED_EDGE('',*,*,#42,.F.);
#42=EDGE_CURVE('',#45,#45,#47,.T.);
#43=EDGE_CURVE('',#46,#46,#48,.T.);
#44=EDGE_CURVE('',#45,#46,#49,.T.);
#45=VERTEX_POINT('',#50);
#46=VERTEX_POINT('',#51);
#47=CIRCLE('',#16,${radius}.);
#48=CIRCLE('',#28,${radius}.);
#49=LINE('',#50,#52);
#50=CARTESIAN_POINT('',(${radius}.,0.,0.));
#51=CARTESIAN_POINT('',(${radius}.,0.,${height}.));
#52=VECTOR('',#18,1.);
ENDSEC;
END-ISO-10303-21;
`);
}

describe('stepFacts', () => {
  it('tells an assembly that others made: 18 solids of 5 kinds, 200 x 150 x 84 mm (tests/checks/step)', async () => {
    const facts = await stepFacts(check('as1-oc-214.stp'));
    expect(facts).toMatchObject({ unit: 'mm', size: { x: 200, y: 150, z: 84 }, solids: 18, closed: null });
    expect(Object.fromEntries(facts.parts!.map(({ name, quantity }) => [name, quantity]))).toEqual({
      plate: 1,
      'l-bracket': 2,
      bolt: 6,
      nut: 8,
      rod: 1,
    });
    expect(facts.step).toMatchObject({
      schemas: ['AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'],
      name: 'Open CASCADE Shape Model',
      writtenAt: '2008-07-24T15:00:20',
      entities: 6425,
    });
    expect(lines(facts.step!.tree)).toEqual([
      '1 as1',
      '  1 rod-assembly',
      '    2 nut',
      '    1 rod',
      '  2 l-bracket-assembly',
      '    3 nut-bolt-assembly',
      '      1 bolt',
      '      1 nut',
      '    1 l-bracket',
      '  1 plate',
    ]);
    const sum = facts.step!.solids.reduce((total, { volume }) => total + volume, 0);
    expect(facts.volume).toBeCloseTo(sum, 6);
    const nuts = facts.step!.solids.filter(({ name }) => name === 'nut');
    for (const { volume } of nuts) expect(volume / nuts[0]!.volume).toBeCloseTo(1, 6);
  });

  it.each([
    ['cube-10mm.stp', 'mm', 10],
    ['cube-mm.step', 'mm', 1000],
    ['cube-in.step', 'in', 1000],
  ])('tells %s in mm, its own unit being %s', async (name, unit, side) => {
    const facts = await stepFacts(check(name));
    expect(facts).toMatchObject({ unit, solids: 1, size: { x: side, y: side, z: side }, warnings: [] });
    expect(facts.volume! / side ** 3).toBeCloseTo(1, 9);
    expect(facts.area! / (6 * side ** 2)).toBeCloseTo(1, 9);
  });

  it('tells the test case of NIST: 800 x 450 x 150 mm', async () => {
    const facts = await stepFacts(check('nist_ctc_01_asme1_ap203.stp'));
    expect(facts).toMatchObject({ size: { x: 800, y: 450, z: 150 }, solids: 1 });
    expect(facts.parts).toEqual([{ name: 'nist_ctc_01_asme1_rd', quantity: 1 }]);
  });

  it('tells an assembly in inches whose materials are no pieces of it', async () => {
    const facts = await stepFacts(check('dm1-id-214.stp'));
    expect(facts).toMatchObject({ unit: 'in', solids: 7 });
    expect(lines(facts.step!.tree)).toEqual(['1 dm1', '  1 l-bracket', '  3 bolt', '  3 nut']);
    expect(facts.step!.name).toBe('dm1.stp');
  });

  it.each([
    [5, 40],
    [100, 3],
  ])(
    'has the volume of a cylinder of radius %d and height %d within 0.02 per cent, and its surface within 0.1',
    async (radius, height) => {
      const facts = await stepFacts(cylinder(radius, height));
      const volume = Math.PI * radius ** 2 * height;
      expect(Math.abs(facts.volume! / volume - 1)).toBeLessThan(2e-4);
      const area = 2 * Math.PI * radius * (radius + height);
      expect(Math.abs(facts.area! / area - 1)).toBeLessThan(1e-3);
      expect(facts.size!.x).toBeCloseTo(2 * radius, 2);
      expect(facts.size!.z).toBeCloseTo(height, 6);
    },
  );

  it('reads names with signs of many scripts', async () => {
    const facts = await stepFacts(cylinder(5, 5, "Wei\\X\\DF, \\X2\\87BA6BCD\\X0\\ it''s"));
    expect(facts.parts).toEqual([{ name: "Weiß, 螺母 it's", quantity: 1 }]);
    expect(facts.step!.tree[0]!.name).toBe("Weiß, 螺母 it's");
  });

  it('refuses what is cut off, empty or something else', async () => {
    const cube = check('cube-10mm.stp');
    await expect(stepFacts(cube.subarray(0, cube.length - 200))).rejects.toThrow('cut off before its end');
    await expect(stepFacts(Buffer.from('solid x'))).rejects.toThrow('This is no STEP file');
    const hollow = cube.toString().replace(/#\d+\s*=\s*MANIFOLD_SOLID_BREP[^;]*;/, '');
    await expect(stepFacts(Buffer.from(hollow))).rejects.toThrow(/holds no solid|can’t be read/);
  });
});

describe('stepShape', () => {
  it('gives triangles solid by solid', async () => {
    const { positions, normals, groups, unit } = await stepShape(check('dm1-id-214.stp'));
    expect(unit).toBe('in');
    expect(groups.map(({ name }) => name)).toEqual([
      'l-bracket',
      'bolt',
      'bolt',
      'bolt',
      'nut',
      'nut',
      'nut',
    ]);
    expect(groups.at(-1)!.first + groups.at(-1)!.count).toBe(positions.length / 9);
    expect(normals).toHaveLength(positions.length);
    for (let at = 0; at < normals.length; at += 300) {
      expect(Math.hypot(normals[at]!, normals[at + 1]!, normals[at + 2]!)).toBeCloseTo(1, 4);
    }
  });
});

describe('stepString', () => {
  it.each([
    ["it''s", "it's"],
    ['a\\\\b', 'a\\b'],
    ['\\X\\E4', 'ä'],
    ['\\X2\\00E4\\X0\\x', 'äx'],
    ['\\X4\\0001F529\\X0\\', '🔩'],
    ['\\X4\\FFFFFFFF\\X0\\', '\ufffd'],
    ['\\S\\d', 'ä'],
    ['\\PE\\\\S\\0', '\u0410'],
    ['plain \\Q\\ stays', 'plain \\Q\\ stays'],
  ])('reads %j as %j', (raw, text) => {
    expect(stepString(raw)).toBe(text);
  });
});

describe('the text of a STEP file', () => {
  it('is not misled by strings and comments', () => {
    const text = `ISO-10303-21;HEADER;FILE_NAME('a;b''c','t',(''),(''),'','','');ENDSEC;DATA;
/* #9=PRODUCT('no','no','',()); */#1=PRODUCT('x; #2=PRODUCT(','n /* y */','',());
#3 = ( LENGTH_UNIT ( ) NAMED_UNIT ( * ) SI_UNIT ( $ , .METRE. ) ) ; ENDSEC;END-ISO-10303-21;`;
    expect(headerValues(text, 'FILE_NAME')[0]).toEqual({ kind: 'text', text: "a;b'c" });
    const { kept, count } = stepEntities(text, () => true);
    expect([...kept.keys()]).toEqual([1, 3]);
    expect(count).toBe(2);
    expect(kept.get(1)!.items[1]).toEqual({ kind: 'text', text: 'n /* y */' });
  });

  it('names a product that is a piece of itself', () => {
    const text = `DATA;#1=PRODUCT('a','a','',());#2=PRODUCT_DEFINITION_FORMATION('','',#1);
#3=PRODUCT_DEFINITION('','',#2,$);#4=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#3,#3,$);ENDSEC;`;
    expect(() => stepStructure(text)).toThrow('A product of the STEP file is a piece of itself.');
  });

  it('refuses an assembly that unfolds without end', () => {
    let text = 'DATA;';
    for (let at = 1; at <= 40; at++) {
      text += `#${at}=PRODUCT_DEFINITION('','',$,$);`;
      for (let use = 0; use < 2; use++) {
        text += `#${1000 * at + use}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#${at},#${at + 1 + (use ? 40 : 0)},$);#${at + 41}=PRODUCT_DEFINITION('','',$,$);#${50_000 + 1000 * at + use}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#${at + 40},#${at + 1},$);`;
      }
    }
    expect(() => stepStructure(text)).toThrow(/more than 20,000 places|levels deep|piece of itself/);
  });

  it('comes to an end with any text', () => {
    fc.assert(
      fc.property(
        fc.string({
          unit: fc.constantFrom('#', '1', '=', 'A', '(', ')', "'", ',', ';', '/', '*', '$', '.', '\\', ' '),
        }),
        (text) => {
          const all = stepEntities(`DATA;${text}`, () => true);
          expect(all.count).toBeGreaterThanOrEqual(all.kept.size);
          headerValues(text, 'FILE_NAME');
          expect(typeof stepString(text)).toBe('string');
        },
      ),
      { numRuns: 500 },
    );
  });
});
