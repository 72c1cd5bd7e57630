import { describe, expect, it } from 'vitest';
import type { FitOfSizes, UsedSize } from '../../src/fits/index.ts';
import { wider } from '../../src/fits/loosening.ts';
import type { PartSpecs } from '../../src/soundness/checks.ts';
import {
  type FitFacts,
  factorFindings,
  matingFindings,
  needlessFindings,
} from '../../src/soundness/fit-checks.ts';
import { startApp } from '../support/app.ts';
import { aReleasedPart } from '../support/drawings.ts';
import { anAssembly } from '../support/parts.ts';

type Typed = string | [label: string, text: string];

function part(id: number, texts: readonly Typed[], wish: Partial<PartSpecs> = {}): PartSpecs {
  const drawing = {
    revisionId: id * 10,
    letter: 'A',
    generalClass: 'm' as const,
    dimensions: texts.map((typed, at) => ({
      position: at + 1,
      label: typeof typed === 'string' ? '' : typed[0],
      text: typeof typed === 'string' ? typed : typed[1],
    })),
  };
  return {
    id,
    number: `OR-${id}`,
    name: `Part ${id}`,
    isMade: true,
    hasMaterial: true,
    process: { name: 'turning', best: 6, usual: 8, angle: null },
    drawing,
    before: null,
    released: drawing,
    oldUnits: [],
    shelf: '',
    ...wish,
  };
}

const facts = (wish: Partial<FitFacts> = {}): FitFacts => ({
  used: [],
  fits: [],
  assemblies: [{ number: 'OR-9', partIds: [1, 2, 3] }],
  ...wish,
});
const joined = (hole: [number, number], shaft: [number, number]): FitOfSizes => ({
  id: 4,
  name: 'bush on axle',
  hole: { partId: hole[0], position: hole[1] },
  shaft: { partId: shaft[0], position: shaft[1] },
});
const says = (findings: readonly { says: string }[]) => findings.map((one) => one.says);

describe('wider', () => {
  it('goes up the grades of a letter, or doubles the band about its middle', () => {
    expect(wider('25 H7').map(({ text }) => text)).toEqual(['25 H8', '25 H9', '25 H10']);
    expect(wider('12.5 +0.1 0').map(({ text }) => text)).toEqual([
      '12.5 +0.15 -0.05',
      '12.5 +0.25 -0.15',
      '12.5 +0.45 -0.35',
    ]);
    expect(wider('0.5 in ±0.001')[0]?.text).toBe('0.5 ±0.002 in');
    expect(wider('40')).toEqual([]);
    expect(wider('deburr')).toEqual([]);
  });
});

describe('needlessFindings', () => {
  const used = (looser: UsedSize['looser']): UsedSize[] => [
    { partId: 1, position: 1, uses: [{ href: '/fits/4', name: 'bush on axle' }], looser },
  ];
  it('finds a size that could be coarser with all its fits still holding', () => {
    expect(
      says(needlessFindings([part(1, ['25 H7'])], facts({ used: used({ text: '25 H8', by: 'one grade' }) }))),
    ).toEqual(['25 H7 could be 25 H8, one grade coarser: bush on axle would still fit']);
    expect(needlessFindings([part(1, ['25 H7'])], facts({ used: used(null) }))).toEqual([]);
  });
  it('finds a fine size that nothing needs, and leaves coarse and general ones alone', () => {
    expect(says(needlessFindings([part(1, ['25 H7', '25 h9', '25'])], facts()))).toEqual([
      '25 H7 asks for IT7, and no fit and no chain needs it; turning usually holds IT8',
    ]);
    expect(needlessFindings([part(1, ['25 H7'], { isMade: false })], facts())).toEqual([]);
  });
});

describe('matingFindings', () => {
  const [hub, axle] = [part(1, ['25 H7']), part(2, [['seat of the shaft', '25 h6']])];
  it('finds a hole and a shaft of one size in one assembly without a fit', () => {
    expect(says(matingFindings([hub, axle], facts()))).toEqual([
      '25 H7 and seat of the shaft, 25 h6 of OR-2 Part 2 both go into OR-9, and no fit says whether they go together',
    ]);
    expect(matingFindings([hub, axle], facts())[0]?.link?.href).toBe('/fits/new?hole=OR-1&shaft=OR-2');
  });
  it('is content with a fit, another size, another assembly, or general tolerances', () => {
    expect(matingFindings([hub, axle], facts({ fits: [joined([1, 1], [2, 1])] }))).toEqual([]);
    expect(matingFindings([hub, part(2, ['26 h6'])], facts())).toEqual([]);
    expect(matingFindings([hub, axle], facts({ assemblies: [{ number: 'OR-9', partIds: [1] }] }))).toEqual(
      [],
    );
    expect(matingFindings([hub, part(2, [['shaft', '25']])], facts())).toEqual([]);
  });
  it('goes by the words where there is no zone', () => {
    const bored = part(3, [['bore', '25 +0.1 0']]);
    expect(matingFindings([bored, axle], facts())).toHaveLength(1);
    expect(matingFindings([part(3, [['length', '25 +0.1 0']]), axle], facts())).toEqual([]);
  });
});

describe('factorFindings', () => {
  it('finds 25.4 times within a drawing, and ten times across a fit', () => {
    expect(says(factorFindings([part(1, ['1.5', '38.1', '40'])], facts()))).toEqual([
      '38.1 is 25.4 times 1.5 of the same drawing: is one of them in inches?',
    ]);
    expect(factorFindings([part(1, ['1.5', '15', '40'])], facts())).toEqual([]);
    const fits = [joined([1, 1], [2, 1])];
    expect(says(factorFindings([part(1, ['25 H7']), part(2, ['2.5 h6'])], facts({ fits })))).toEqual([
      '25 H7 and 2.5 h6 of OR-2, the two sides of bush on axle, are 10 times apart',
    ]);
    expect(factorFindings([part(1, ['25 H7']), part(2, ['25 h6'])], facts({ fits }))).toEqual([]);
  });
});

it('/specs/soundness leads from mating parts to the fit, and from then on says what it needs', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const hub = await aReleasedPart(app, { characteristics: ['25 H7'] });
  const axle = await aReleasedPart(app, { characteristics: ['25 g6'] });
  await anAssembly(app, { children: [{ id: hub.partId }, { id: axle.partId }] });
  const before = (await lead.get('/specs/soundness')).text;
  const href = `/fits/new?hole=${hub.number}&amp;shaft=${axle.number}`;
  expect(before).toContain(href);
  expect(before).toContain('no fit and no chain needs it');
  expect((await lead.get(href.replace('&amp;', '&'))).status).toBe(200);
  await lead.post('/fits', {
    name: 'hub on axle',
    holePart: hub.number,
    holePosition: '1',
    shaftPart: axle.number,
    shaftPosition: '1',
    wanted: 'sliding',
    lowCelsius: '20',
    highCelsius: '20',
  });
  const after = (await lead.get('/specs/soundness')).text;
  expect(after).not.toContain(href);
  // sliding ends at H9/d9: 0.169 mm. 25 H10 (0.084) with g6 is 0.007 to 0.104: still inside
  expect(after).toContain('25 H7 could be 25 H10, 3 grades coarser: hub on axle would still fit');
  const ofPart = (await lead.get(`/parts/${hub.number}`)).text;
  expect(ofPart).toContain('hub on axle');
  expect((await (await app.as('imre')).get(`/parts/${hub.number}`)).text).not.toContain('hub on axle');
});
