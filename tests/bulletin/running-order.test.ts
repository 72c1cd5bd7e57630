import { describe, expect, it } from 'vitest';
import { clockText, cutsToFit, overText, runningOrder, spanText } from '../../src/bulletin/running-order.ts';
import { creditsText, descriptionText, scriptText } from '../../src/bulletin/scripts.ts';
import type { ToldBulletin } from '../../src/bulletin/told.ts';

const line = (key: string, words: number, href: string | null = null) => ({
  key,
  text: Array.from({ length: words }, () => 'word').join(' '),
  href,
  link: href ? 'Offer' : '',
});
const section = (key: string, lines: ReturnType<typeof line>[], own = '') => ({
  key,
  title: key.toUpperCase(),
  absent: 'Nothing.',
  own,
  lines,
});
const told = (fields: Partial<ToldBulletin> = {}): ToldBulletin => ({
  title: 'The ring is down',
  span: '2 Mar to 8 Mar 2026',
  opening: '',
  closing: '',
  finish: '',
  sections: [],
  thanks: [],
  unnamed: 0,
  left: 0,
  corrections: [],
  ...fields,
});

const sample = told({
  opening: 'Dear all,\n\nsee the [offers](https://orrery.example/offers).',
  finish: 'The finish is expected on 1 Sep.',
  sections: [
    section('finish', [line('moved-a', 8)]),
    section('made', [line('a', 30), line('b', 10)], 'And *more* of it.'),
    section('arrived', []),
    section('needed', [line('c', 20, '/offers/12'), line('d', 40, '/offers/13')]),
  ],
  thanks: [
    { name: 'Ada', reason: 'making' },
    { name: 'The Lake', reason: 'making' },
    { name: 'Imre', reason: 'posting and asking' },
  ],
  unnamed: 2,
  left: 1,
  closing: 'Bye.',
});

describe('runningOrder', () => {
  it('tells when each piece begins and how long it takes at the pace', () => {
    const { items, words, takes, reading } = runningOrder(sample, 120);
    expect(items.map(({ title, words }) => [title, words])).toEqual([
      ['Opening', 5], // Dear all, see the offers.
      ['The finish', 15], // seven words, 'one September' two of them, and eight
      ['MADE', 44],
      ['NEEDED', 60],
      ['Thanks', 25], // 3, 4, 5, 8 and 5
      ['Closing', 1],
    ]);
    expect(words).toBe(150);
    expect(takes).toBeCloseTo(75, 9); // 150 words at two a second
    expect(reading).toBeCloseTo((150 / 238) * 60, 9);
    expect(items.map(({ at }) => at)).toEqual([0, 2.5, 10, 32, 62, 74.5]);
  });

  it('has pieces that follow each other without a gap, at any pace', () => {
    for (const pace of [80, 130, 219.5]) {
      const { items, takes } = runningOrder(sample, pace);
      let at = 0;
      for (const item of items) {
        expect(item.at).toBeCloseTo(at, 6);
        at += item.takes;
      }
      expect(at).toBeCloseTo(takes, 6);
    }
  });

  it('is empty for an empty week', () => {
    expect(runningOrder(told(), 130)).toEqual({ items: [], words: 0, takes: 0, reading: 0 });
    expect(cutsToFit(runningOrder(told(), 130), 60)).toEqual({ over: 0, cuts: [], still: 0 });
  });
});

describe('cutsToFit', () => {
  const order = runningOrder(sample, 120);

  it('cuts nothing from what fits', () => {
    expect(cutsToFit(order, 77)).toEqual({ over: 0, cuts: [], still: 0 });
  });

  it('cuts the longest lines first, no more than it takes', () => {
    const { over, cuts, still } = cutsToFit(order, 60);
    expect(over).toBeCloseTo(15, 9);
    expect(cuts.map(({ keys, saves }) => [keys, saves])).toEqual([[['d'], 20]]);
    expect(still).toBe(0);
  });

  it('cuts a section whole where all of its lines go', () => {
    const { cuts } = cutsToFit(order, 32);
    expect(cuts.map(({ keys, of, text }) => [keys, of, text])).toEqual([
      [['d', 'c'], 'NEEDED', 'All 2 lines'],
      [['a'], 'MADE', expect.stringContaining('word')],
    ]);
  });

  it('says how much is over when all computed lines are cut: thanks and own words stay', () => {
    const { cuts, still } = cutsToFit(order, 10);
    expect(cuts.flatMap(({ keys }) => keys).sort()).toEqual(['a', 'b', 'c', 'd', 'moved-a']);
    expect(still).toBeCloseTo((150 - 108) / 2 - 10, 9);
  });

  it('always fits after the cuts, or has nothing more to cut', () => {
    for (let wanted = 0; wanted <= 80; wanted += 3) {
      const { cuts, still } = cutsToFit(order, wanted);
      const saved = cuts.reduce((sum, { saves }) => sum + saves, 0);
      if (still === 0) expect(order.takes - saved).toBeLessThanOrEqual(wanted + 1e-9);
      else expect(saved).toBeCloseTo(54, 9);
      // Not one cut too many: without the shortest it would be too long.
      const shortest = Math.min(...cuts.map(({ saves }) => saves));
      if (cuts.length) expect(order.takes - saved + shortest).toBeGreaterThan(wanted);
    }
  });
});

describe('the cuts, made', () => {
  it('leave a bulletin that is not too long, at any pace and length', () => {
    for (const pace of [80, 97, 130, 219.5, 300]) {
      const order = runningOrder(sample, pace);
      for (let wanted = order.takes - 1.5; wanted > order.takes * 0.3; wanted -= 0.37) {
        const { over, cuts, still } = cutsToFit(order, wanted);
        const gone = new Set(cuts.flatMap(({ keys }) => keys));
        const sections = sample.sections.map((section) => ({
          ...section,
          lines: section.lines.filter(({ key }) => !gone.has(key)),
        }));
        const left = runningOrder({ ...sample, sections }, pace);
        expect(over).toBeCloseTo(order.takes - wanted, 9);
        if (still === 0) expect(left.takes).toBeLessThanOrEqual(wanted + 1e-9);
        expect(cutsToFit(left, wanted).over > 0).toBe(still > 0);
      }
    }
  });

  it('are never asked for by less than a second that nobody can read', () => {
    expect([0, 0.3, 1.4, 75].map(overText)).toEqual(['', '1 s', '1 s', '1 min 15 s']);
  });
});

describe('scriptText', () => {
  it('reads aloud, with times and without addresses', () => {
    const text = scriptText(sample, runningOrder(sample, 120), 120);
    expect(text).toContain('The ring is down\n2 Mar to 8 Mar 2026. 1 min 15 s at 120 words a minute.');
    expect(text).toContain('[0:00] Opening (3 s)\nDear all,\nsee the offers.');
    expect(text).toContain('[1:02] Thanks (13 s)\nAda, for making\n');
    expect(text).toContain('[1:15] End');
    expect(text).not.toContain('http');
  });
});

describe('creditsText', () => {
  it('has one name a line, as each chose', () => {
    expect(creditsText(sample, false)).toBe(
      'Ada\nThe Lake\nImre\nand 2 more who would rather not be named\nand 1 more who has left',
    );
  });

  it('groups by what they are thanked for', () => {
    expect(creditsText(sample, true)).toBe(
      'Making\n  Ada\n  The Lake\n\nPosting and asking\n  Imre\n\nand 2 more who would rather not be named\nand 1 more who has left',
    );
    expect(creditsText(told(), true)).toBe('');
  });
});

describe('descriptionText', () => {
  const links = { address: 'https://orrery.example/bulletin/2026-03-08', baseUrl: 'https://orrery.example' };
  const order = runningOrder(sample, 120);

  it('begins its times at 0:00 and has bare addresses', () => {
    const { text, cut } = descriptionText(sample, order, links);
    expect(cut).toEqual([]);
    expect(text).toContain('offers (https://orrery.example/offers).');
    expect(text).toContain(
      '0:00 Opening\n0:03 The finish\n0:10 MADE\n0:32 NEEDED\n1:02 Thanks\n1:15 Closing',
    );
    expect(text).toContain('word https://orrery.example/offers/13');
    expect(text).toContain('All of it: https://orrery.example/bulletin/2026-03-08');
    expect(
      text.endsWith(
        'Thanks to\nAda\nThe Lake\nImre\nand 2 more who would rather not be named\nand 1 more who has left',
      ),
    ).toBe(true);
  });

  it('never grows above its length, and says what was cut', () => {
    const thanks = Array.from({ length: 200 }, (_, at) => ({ name: `Person with a name ${at}`, reason: '' }));
    const opening = 'A long story. '.repeat(700);
    const long = { ...sample, thanks, opening };
    const { text, cut } = descriptionText(long, runningOrder(long, 130), links);
    expect(text.length).toBeLessThanOrEqual(5000);
    expect(cut).toEqual(['2 of 2 offers', 'the end of the opening']);
    expect(text).toContain('All that is open: https://orrery.example/offers');
    expect(text).toContain('Person with a name 199');
    for (const most of [5000, 3000, 1200, 600, 450]) {
      const short = descriptionText(long, runningOrder(long, 130), links, most);
      expect(short.text.length).toBeLessThanOrEqual(most);
      expect(short.text).toContain('0:00 Opening');
    }
    expect(descriptionText(long, runningOrder(long, 130), links, 1200).cut).toContainEqual(
      expect.stringMatching(/^\d+ of 202 names$/),
    );
  });
});

describe('clockText and spanText', () => {
  it('show seconds as people read them', () => {
    expect([0, 5, 59.6, 380, 3725].map(clockText)).toEqual(['0:00', '0:05', '1:00', '6:20', '1:02:05']);
    expect([0, 40, 60, 380].map(spanText)).toEqual(['0 s', '40 s', '1 min', '6 min 20 s']);
  });
});
