import { describe, expect, it } from 'vitest';
import { drawingFacts } from '../../src/offers/drawing-facts.ts';
import {
  bySuitability,
  type MakerFacts,
  type MeasuredFacts,
  type OfferFacts,
  type Reason,
  suits,
} from '../../src/offers/suits.ts';

const today = '2026-03-02';
const lathe = { name: 'Lathe', processId: 1, sidesMm: [300], materials: 'brass, steel' };

const maker = (wish: Partial<MakerFacts> = {}): MakerFacts => ({
  personId: 3,
  name: 'Imre',
  country: 'NZ',
  weeklyHours: 7,
  tools: [lathe],
  away: [],
  promisedHours: 0,
  claimsWithoutHours: 0,
  record: { finished: 4, onTime: 3, lateNow: 0 },
  finishedBy: new Map([[1, 2]]),
  post: { days: 14, parcels: 3 },
  ...wish,
});

const offer = (wish: Partial<OfferFacts> = {}): OfferFacts => ({
  processId: 1,
  process: 'turning',
  grades: { usual: 8, best: 6 },
  material: { name: 'brass CW614N', family: 'metal' },
  box: null,
  greatest: { mm: 240, text: 'overall, 240 ±0.5' },
  tightest: { grade: 9, text: '25 H9' },
  hours: 20,
  needByOn: '2026-04-01',
  reckonedPostDays: 10,
  ...wish,
});

const nothing: MeasuredFacts = { held: { count: 0, inside: 0 }, capability: null };

function told(
  what: Reason['what'],
  one: Partial<MakerFacts>,
  other: Partial<OfferFacts> = {},
  measured = nothing,
) {
  const { holds, sentence } = suits(maker(one), offer(other), measured, today).reasons.find(
    (r) => r.what === what,
  )!;
  return [holds, sentence] as const;
}

describe('suits', () => {
  it('gives seven reasons, and the word that follows from them', () => {
    const { word, reasons, misfits } = suits(maker(), offer(), nothing, today);
    expect(word).toBe('suits');
    expect(misfits).toEqual([]);
    expect(reasons.map(({ what, holds }) => [what, holds])).toEqual([
      ['process', 'yes'],
      ['size', 'yes'],
      ['material', 'yes'],
      ['tolerance', 'yes'],
      ['hours', 'yes'],
      ['post', 'yes'],
      ['record', 'yes'],
    ]);
  });

  it('goes by the process of the tools, and says what is not known of them', () => {
    expect(told('process', { tools: [] })).toEqual(['unknown', 'no tool is named']);
    expect(told('process', { tools: [{ ...lathe, processId: 2 }] })).toEqual([
      'no',
      'no tool named for turning',
    ]);
    expect(told('process', { tools: [{ ...lathe, processId: null }] })[0]).toBe('unknown');
    expect(told('process', {}, { processId: null })).toEqual(['unknown', 'the drawing names no process']);
    expect(suits(maker({ tools: [] }), offer(), nothing, today).word).toBe('may suit');
    expect(suits(maker({ tools: [{ ...lathe, processId: 2 }] }), offer(), nothing, today)).toMatchObject({
      word: 'does not suit',
      misfits: [{ what: 'process' }],
    });
  });

  it('holds, without a model, the greatest length on the drawing against the longest side, as a lower bound', () => {
    expect(told('size', {})).toEqual([
      'yes',
      'Lathe takes 300 mm; the part is at least 240 mm (overall, 240 ±0.5), look at the drawing for more',
    ]);
    expect(told('size', {}, { greatest: { mm: 300.01, text: '300' } })[0]).toBe('no');
    expect(told('size', { tools: [{ ...lathe, sidesMm: [] }] })[0]).toBe('unknown');
    expect(told('size', {}, { greatest: null })).toEqual([
      'unknown',
      'no model, and the drawing names no length to go by',
    ]);
  });

  it('holds the three sides of the model against those of the tool, whichever way round', () => {
    const box = { name: 'arm.step', sides: [240, 90, 30] };
    const of = (...sidesMm: number[]) => told('size', { tools: [{ ...lathe, sidesMm }] }, { box });
    expect(of(300, 100, 40)).toEqual([
      'yes',
      'Lathe takes 300 × 100 × 40 mm; the part is 240 × 90 × 30 mm by its model arm.step',
    ]);
    expect(of(240, 90, 30)[0]).toBe('yes');
    expect(of(300, 80, 80)).toEqual([
      'no',
      'Lathe takes 300 × 80 × 80 mm; the part is 240 × 90 × 30 mm by its model arm.step, which goes in no way round',
    ]);
    expect(of(300, 100, 29)[0]).toBe('no');
    expect(of(300)).toEqual([
      'yes',
      'Lathe takes 300 mm, of its other sides nothing is named; the part is 240 × 90 × 30 mm by its model arm.step',
    ]);
    expect([of(200)[0], of(300, 100)[0], of(300, 80)[0], of(200, 100)[0], of()[0]]).toEqual([
      'no',
      'yes',
      'unknown',
      'no',
      'unknown',
    ]);
    // the model counts, not what the drawing happens to name
    const greatest = { mm: 999, text: '999' };
    expect(told('size', { tools: [{ ...lathe, sidesMm: [300, 90, 30] }] }, { box, greatest })[0]).toBe('yes');
  });

  it('takes the tool that meets most, not the first', () => {
    const small = { ...lathe, name: 'Watch lathe', sidesMm: [60] };
    expect(told('size', { tools: [small, lathe] })[1]).toContain('Lathe takes 300 mm');
    expect(told('process', { tools: [small, lathe] })[1]).toBe('turning: Watch lathe, Lathe');
  });

  it('reads the material against the words of the tool', () => {
    expect(told('material', {}, { material: { name: 'birch plywood', family: 'wood' } })).toEqual([
      'no',
      'Lathe works in “brass, steel”; birch plywood is not among it',
    ]);
    expect(told('material', { tools: [{ ...lathe, materials: ' ' }] })[0]).toBe('unknown');
    expect(told('material', {}, { material: null })[0]).toBe('unknown');
  });

  it('asks the process for the grade, and what was measured of the maker before that', () => {
    const at = (grade: number) => ({ tightest: { grade, text: '25' } });
    expect(told('tolerance', {}, at(8))[0]).toBe('yes');
    expect(told('tolerance', {}, at(7))).toEqual([
      'unknown',
      '25 asks for IT7; turning usually holds IT8, IT6 at its best: ask',
    ]);
    expect(told('tolerance', {}, at(5))).toEqual(['no', '25 asks for IT5; turning holds IT6 at its best']);
    expect(told('tolerance', {}, { ...at(7), grades: { usual: null, best: null } })[0]).toBe('unknown');
    expect(told('tolerance', {}, { tightest: null })[0]).toBe('unknown');
    const held = (inside: number, count: number) => ({ capability: null, held: { count, inside } });
    expect(told('tolerance', {}, at(7), held(8, 8))[0]).toBe('yes');
    expect(told('tolerance', {}, at(7), held(7, 8))[0]).toBe('unknown');
    expect(told('tolerance', {}, at(8), held(3, 8))[0]).toBe('no');
    expect(told('tolerance', {}, at(5), held(7, 7))[0]).toBe('no');
  });

  it('counts hours to the day it must be sent, less days away and what is promised', () => {
    // 30 days to 1 April, four of them for the longer post: 26 days of one hour
    expect(told('hours', {})).toEqual([
      'yes',
      'about 26 h free to 28 Mar (7 h a week); what is open takes 20 h',
    ]);
    const away = [
      { fromOn: '2026-03-10', untilOn: '2026-03-14' },
      { fromOn: '2026-03-12', untilOn: '2026-03-16' },
    ];
    expect(told('hours', { away, promisedHours: 5 })).toEqual([
      'no',
      'about 14 h free to 28 Mar (7 h a week, 7 days away, 5 h promised already); what is open takes 20 h: some of it may fit',
    ]);
    expect(told('hours', { claimsWithoutHours: 1 })[0]).toBe('unknown');
    expect(told('hours', {}, { hours: null })[0]).toBe('unknown');
    expect(told('hours', { weeklyHours: 0 })).toEqual(['no', 'gives no hours a week']);
    expect(told('hours', {}, { needByOn: null })[0]).toBe('unknown');
    expect(told('hours', {}, { needByOn: '2026-03-02' })[0]).toBe('no');
    expect(told('hours', {}, { needByOn: '9999-12-31' })[0]).toBe('yes');
  });

  it('says what the post takes, and when it comes too late', () => {
    expect(told('post', {})).toEqual([
      'yes',
      'from NZ 14 days in the post, 3 parcels so far: to be sent by 28 Mar',
    ]);
    expect(told('post', { post: { days: 60, parcels: 0 } })[0]).toBe('no');
    expect(told('post', { post: null, country: '' })).toEqual(['unknown', 'no country is named']);
    expect(told('post', { post: null })[0]).toBe('unknown');
  });

  it('tells the record: promises, what is late now, the same process before', () => {
    expect(told('record', {})).toEqual(['yes', '3 of 4 promises on time; 2 claims by turning before']);
    expect(told('record', { record: { finished: 4, onTime: 1, lateNow: 0 } })[0]).toBe('no');
    expect(told('record', { record: { finished: 4, onTime: 4, lateNow: 1 } })).toEqual([
      'no',
      '4 of 4 promises on time; 1 late now; 2 claims by turning before',
    ]);
    expect(told('record', { record: { finished: 0, onTime: 0, lateNow: 0 }, finishedBy: new Map() })).toEqual(
      ['unknown', 'nothing posted whole yet'],
    );
  });
});

describe('bySuitability', () => {
  it('puts what can be changed before what cannot, and hides nobody', () => {
    const all = [
      maker({ personId: 1, name: 'No tool for it', tools: [{ ...lathe, processId: 2 }] }),
      maker({ personId: 2, name: 'Late now', record: { finished: 4, onTime: 4, lateNow: 1 } }),
      maker({ personId: 3, name: 'Names nothing', tools: [] }),
      maker({ personId: 4, name: 'Fits' }),
      maker({ personId: 5, name: 'Fits better', record: { finished: 4, onTime: 4, lateNow: 0 } }),
    ].map((one) => ({ maker: one, suitability: suits(one, offer(), nothing, today) }));
    expect(all.sort(bySuitability).map(({ maker: { name } }) => name)).toEqual([
      'Fits better',
      'Fits',
      'Names nothing',
      'Late now',
      'No tool for it',
    ]);
  });
});

describe('drawingFacts', () => {
  it('finds the greatest length and the tightest grade, in whatever unit', () => {
    const facts = drawingFacts(
      [
        { label: 'bore', text: '25 H7' },
        { label: '', text: '4 in' },
        { label: 'arc', text: 'R900' },
        { label: '', text: '45° ±1°' },
        { label: '', text: 'deburr' },
        { label: 'broken', text: '((' },
      ],
      'm',
    );
    expect(facts).toEqual({
      greatest: { mm: 101.6, text: '4 in' },
      tightest: { grade: 7, text: 'bore, 25 H7' },
    });
  });

  it('knows nothing of a drawing without lengths or limits', () => {
    expect(drawingFacts([], null)).toEqual({ greatest: null, tightest: null });
    expect(drawingFacts([{ label: '', text: '40' }], null)).toEqual({
      greatest: { mm: 40, text: '40' },
      tightest: null,
    });
  });
});
