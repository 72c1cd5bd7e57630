import { describe, expect, it } from 'vitest';
import {
  changedLimits,
  type DrawingSpecs,
  type PartSpecs,
  soundnessFindings,
} from '../../src/soundness/checks.ts';
import { startApp } from '../support/app.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';
import { measuredPieces } from '../support/measured.ts';
import { aPart } from '../support/parts.ts';

const drawing = (texts: readonly string[], wish: Partial<DrawingSpecs> = {}): DrawingSpecs => ({
  revisionId: 2,
  letter: 'B',
  generalClass: 'm',
  dimensions: texts.map((text, index) => ({ position: index + 1, label: '', text })),
  ...wish,
});

const part = (wish: Partial<PartSpecs> = {}): PartSpecs => ({
  id: 1,
  number: 'OR-1',
  name: 'Hub',
  isMade: true,
  hasMaterial: true,
  process: { name: 'turning', best: 6, usual: 8, angle: null },
  drawing: null,
  before: null,
  released: null,
  oldUnits: [],
  shelf: '',
  ...wish,
});

const says = (wish: Partial<PartSpecs>) =>
  soundnessFindings([part(wish)], [], 5).map((one) => [one.check, one.says]);
const old = (texts: readonly string[]) => drawing(texts, { revisionId: 1, letter: 'A' });

describe('soundnessFindings', () => {
  it('finds made parts without material, not bought ones', () => {
    expect(says({ hasMaterial: false })).toEqual([['material', 'no material, and no drawing yet']]);
    expect(says({ hasMaterial: false, isMade: false })).toEqual([]);
    expect(says({})).toEqual([]);
  });

  it('finds tolerances finer than the process, and than any process', () => {
    expect(says({ drawing: drawing(['25 H7', '25 h5', '25 h4', '40', 'deburr']) })).toEqual([
      ['tolerance', '25 h5 asks for IT5; turning holds IT6 at its best'],
      ['tolerance', '25 h4 asks for IT4: no process on the list holds better than IT5'],
    ]);
    expect(says({ process: null, drawing: drawing(['25 h5', '45° ±0.1°']) })).toEqual([]);
    const bending = { name: 'bending', best: 13, usual: 14, angle: 0.5 };
    expect(says({ process: bending, drawing: drawing(['45° ±0.1°', '45° ±0.5°']) })).toEqual([
      ['tolerance', '45° ±0.1° asks for ±0.1°; bending holds ±0.5° at its best'],
    ]);
  });

  it('finds both units on one drawing, and sizes off by 25.4 or ten between drawings', () => {
    expect(says({ drawing: drawing(['25', '40', '1.5 in']) })).toEqual([
      ['units', '1 in inches and 2 in mm; in inches: 1.5 in'],
    ]);
    expect(
      says({ drawing: drawing(['1', '400', '30', '2 in']), before: old(['25.4', '40', '30', '50.8']) }),
    ).toEqual([
      ['units', '1 in inches and 3 in mm; in inches: 2 in'],
      ['units', '1 is a 25.4th of what revision A said (25.4)'],
      ['units', '400 is 10 times what revision A said (40)'],
    ]);
  });

  it('finds kept units of a drawing whose limits changed', () => {
    const released = drawing(['25 H8', '40']);
    const units = (texts: readonly string[], isDecided = false) => [
      { drawing: old(texts), quantity: '3 pieces', isDecided },
    ];
    expect(says({ released, oldUnits: units(['25 H7', '40']) })).toEqual([
      [
        'shelf',
        '3 pieces made to revision A wait for a decision, and revision B has other limits: 25 H7 became 25 H8',
      ],
    ]);
    expect(says({ released, oldUnits: units(['25 H8', '40'], true) })).toEqual([]);
    expect(says({ released, before: old(['25 H8']), shelf: '2 pieces' })).toEqual([
      ['shelf', '2 pieces on the shelf, to which revision is not recorded; from A to B: 40 is new'],
    ]);
    expect(says({ released, before: old(['25 H8', '40']), shelf: '2 pieces' })).toEqual([]);
  });

  it('bears texts that cannot be read and drawings without anything', () => {
    expect(says({ drawing: drawing(['', '((', '25 Q99', 'x'.repeat(500)]) })).toEqual([]);
    expect(soundnessFindings([], [], null)).toEqual([]);
  });
});

describe('changedLimits', () => {
  it('goes by the limits, not by how they are written or in which unit', () => {
    expect(
      changedLimits(drawing(['25 H7', '25.4 ±0.127']), drawing(['25 +0.021 0', '1.0 ±0.005 in'])),
    ).toEqual([]);
    expect(changedLimits(drawing(['25']), drawing(['25'], { generalClass: 'f' }))).toEqual([
      '25 has another general tolerance',
    ]);
    expect(changedLimits(drawing(['25', '30']), drawing(['25']))).toEqual(['30 is gone']);
  });
});

describe('/specs/soundness', () => {
  it('says what to do first, then what it finds, to the shop alone', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.get('/specs/soundness')).text).toContain('No parts yet');
    const bare = await aPart(test, { name: 'Bare <b>' });
    expect((await lead.get('/specs/soundness')).text).toContain('No part has a drawing yet');
    const released = await aReleasedPart(test, { process: 'drilling', characteristics: ['25 H7', '1 in'] });
    await aDraft(test, { partId: released.partId, process: 'drilling', characteristics: [] });
    await measuredPieces(test, { values: [0.98425], scrap: true });
    for (const who of ['lead', 'crew'] as const) {
      const { status, text } = await (await test.as(who)).get('/specs/soundness');
      expect(status).toBe(200);
      expect(text).toContain(`/parts/${bare.number}`);
      expect(text).toContain('no material, and no drawing yet');
      expect(text).toContain('25 H7 asks for IT7; drilling holds IT10 at its best');
      expect(text).toContain('1 in inches and 1 in mm');
      expect(text).toContain('A 25.4th of what the drawing says: is it in inches?');
      expect(text).not.toMatch(/ style=|<b>/);
      expect((await (await test.as(who)).get(/\/receiving\/lines\/\d+/.exec(text)![0])).status).toBe(200);
    }
    expect((await (await test.as('imre')).get('/specs/soundness')).status).toBe(403);
    expect((await test.visitor().get('/specs/soundness')).status).toBe(303);
  });
});
