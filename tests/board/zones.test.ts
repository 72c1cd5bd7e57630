import { describe, expect, it } from 'vitest';
import { BoardAddress, boardPath, partAndBelow } from '../../src/board/filter.ts';
import { type BoardJob, countsInWords, inReadingOrder, STAGES, zonesOf } from '../../src/board/zones.ts';
import type { JobCard, JobFacts, Stage } from '../../src/jobs/index.ts';
import type { Unit } from '../../src/parts/index.ts';
import { buildStructure } from '../../src/parts/structure-graph.ts';
import { job } from '../schedule/derive-facts.ts';

const card: JobCard = {
  number: 0,
  title: 'Post',
  href: '/jobs/0',
  kind: 'fabricate',
  partNumber: null,
  revision: null,
  process: null,
  quantityText: 'some',
  stage: 'offered',
  unitCounts: [],
  unitWords: '',
  who: [],
  needByOn: null,
  likelyOn: null,
  floatDays: null,
  critical: false,
  firstPiece: null,
  ask: null,
};

const one = (
  number: number,
  more: Partial<JobCard> = {},
  unit: Unit = 'piece',
  facts: Partial<JobFacts> = {},
): BoardJob => ({
  card: { ...card, number, ...more },
  job: job(number, { milli: 2000, ...facts }),
  unit,
});
const several = (count: number, stage: Stage, from = 1) =>
  Array.from({ length: count }, (_, n) => one(from + n, { stage }));

describe('zonesOf', () => {
  it('shows up to forty jobs of a stage as cards, one more as rows', () => {
    expect(zonesOf(several(40, 'offered'), null)).toMatchObject([{ as: 'cards', all: 40, more: 0 }]);
    const [zone] = zonesOf(several(41, 'offered'), null);
    expect(zone).toMatchObject({ as: 'rows', all: 41, more: 1 });
    expect(zone!.cards).toHaveLength(40);
  });

  it('turns to rows sooner on a board of more than a hundred open jobs; what is over does not count', () => {
    const few = [...several(20, 'offered'), ...several(60, 'promised', 100)];
    expect(zonesOf(few, null)[0]).toMatchObject({ stage: 'offered', as: 'cards' });
    expect(zonesOf([...few, ...several(500, 'accepted', 1000)], null)[0]).toMatchObject({ as: 'cards' });
    expect(zonesOf([...few, ...several(30, 'in work', 1000)], null)[0]).toMatchObject({ as: 'rows' });
  });

  it('keeps the order of the stages, and of what is over the latest first', () => {
    const jobs = [
      one(1, { stage: 'accepted' }, 'piece', { finishedAt: '2026-02-01T08:00:00Z' }),
      one(2, { stage: 'accepted' }, 'piece', { finishedAt: '2026-03-01T08:00:00Z' }),
      one(3, { stage: 'to inspect' }),
      one(4, { stage: 'preparing' }),
    ];
    const zones = zonesOf(jobs, null);
    expect(zones.map(({ stage }) => stage)).toEqual(['preparing', 'to inspect', 'accepted']);
    expect(zones.at(-1)).toMatchObject({ over: true, as: 'rows' });
    expect(zones.at(-1)!.cards.map(({ number }) => number)).toEqual([2, 1]);
    expect(new Set(STAGES).size).toBe(STAGES.length);
  });

  it('leaves nobody out: shown and more are all', () => {
    const jobs = STAGES.flatMap((stage, n) => several(1 + n * 9, stage, 1000 * n));
    for (const zone of zonesOf(jobs, null)) expect(zone.cards.length + zone.more).toBe(zone.all);
    expect(zonesOf(jobs, null).reduce((sum, { all }) => sum + all, 0)).toBe(jobs.length);
  });
});

describe('inReadingOrder', () => {
  it('puts first what waits for the reader, then their own, then the least float', () => {
    const ask = { whom: 'you', text: '', href: '', post: null, label: '' };
    const jobs = [
      one(1, { floatDays: 0 }),
      one(2, { floatDays: 5, who: [{ personId: 3, name: 'Imre', quantityText: '' }] }),
      one(3, { floatDays: 9, ask }),
      one(4, { floatDays: 4, needByOn: '2026-05-01' }),
      one(5, { floatDays: 4, needByOn: '2026-04-01' }),
      one(6),
    ];
    const numbers = (personId: number | null) =>
      inReadingOrder(jobs, personId).map(({ card: { number } }) => number);
    expect(numbers(3)).toEqual([3, 2, 1, 5, 4, 6]);
    expect(numbers(null)).toEqual([3, 1, 5, 4, 2, 6]);
  });
});

describe('countsInWords', () => {
  it('adds up what can be added up', () => {
    expect(countsInWords([one(1), one(2), one(3, {}, 'm', { milli: 1500 })])).toBe('3 jobs, 4 pieces, 1.5 m');
    expect(countsInWords([one(1, { quantityText: '' })])).toBe('1 job');
  });
});

describe('partAndBelow', () => {
  it('holds the part and all that goes into it, once, whatever the way', () => {
    const structure = buildStructure(
      [1, 2, 3, 4, 5].map((id) => ({ id, unit: 'piece' as const })),
      [
        [1, 2],
        [1, 3],
        [2, 4],
        [3, 4],
      ].map(([parentId, childId]) => ({ parentId: parentId!, childId: childId!, quantityMilli: 1000 })),
    );
    expect([...partAndBelow(structure, 1)].sort()).toEqual([1, 2, 3, 4]);
    expect([...partAndBelow(structure, 3)].sort()).toEqual([3, 4]);
    expect([...partAndBelow(structure, 5)]).toEqual([5]);
    expect([...partAndBelow(structure, 9)]).toEqual([]);
  });
});

describe('boardPath', () => {
  it('reads back as what was asked', () => {
    for (const query of [
      {},
      { kind: 'fit-up', mine: 'yes' },
      { words: 'a & b', stage: 'in work', page: '3', maker: '7' },
    ]) {
      const filter = BoardAddress.parse(query);
      const read = Object.fromEntries(new URL(boardPath(filter), 'http://x').searchParams);
      expect(BoardAddress.parse(read)).toEqual(filter);
    }
    expect(boardPath(BoardAddress.parse({ drives: 'no', page: '1' }))).toBe('/board');
  });
});
