import { describe, expect, it } from 'vitest';
import {
  anythingHappened,
  finishWords,
  linkWords,
  saysAnything,
  toldBulletin,
  unnamedLines,
} from '../../src/bulletin/told.ts';
import { bulletinHtml, bulletinSummary, bulletinText } from '../../src/bulletin/written.ts';

const NEAR = '2026-03-08';
const finish = (finishOn: string | null, finishBefore: string | null) =>
  finishWords({ finishOn, finishBefore }, NEAR);

describe('finishWords', () => {
  it('says when the finish is expected, now and a week before', () => {
    expect(finish(null, null)).toBe('');
    expect(finish(null, '2026-09-01')).toBe('');
    expect(finish('2026-09-01', null)).toBe('The finish is expected on 1 Sep.');
    expect(finish('2026-09-01', '2026-09-01')).toBe('The finish is expected on 1 Sep, as a week before.');
    expect(finish('2026-09-02', '2026-09-01')).toBe(
      'The finish is expected on 2 Sep, 1 day later than a week before (1 Sep).',
    );
    expect(finish('2026-12-30', '2027-01-02')).toBe(
      'The finish is expected on 30 Dec, 3 days sooner than a week before (2 Jan 2027).',
    );
  });
});

const people = new Map(
  (
    [
      [3, { thanksBy: 'name' }],
      [4, { thanksBy: 'alias', alias: '<Lake> & Co' }],
      [5, { thanksBy: 'none' }],
      [6, { thanksBy: 'none', forgottenAt: new Date(0) }],
    ] as const
  ).map(([id, wish]) => [id, { id, name: `Person ${id}`, alias: '', forgottenAt: null, ...wish }]),
);

const told = toldBulletin(
  {
    sections: [
      {
        key: 'made',
        title: 'Made',
        absent: 'Nothing.',
        own: 'See [it](/offers)',
        lines: [
          { key: 'a', words: [{ person: 5 }, ' made <b>it</b>.'] },
          { key: 'b', words: ['Needed.'], href: '/offers/12' },
        ],
      },
      { key: 'late', title: 'Late', absent: 'Nothing.', lines: [] },
    ],
    thanks: [3, 4, 5, 6, 99].map((person) => ({ person, for: 'making' })),
    finishOn: null,
    finishBefore: null,
  },
  { title: '', opening: 'Hello *all*', closing: '', corrections: [] },
  { from: '2026-03-02', until: NEAR },
  people,
);

describe('a short week', () => {
  it('holds the finish against the day before it, however many days that is', () => {
    const draft = { finishOn: '2026-09-02', finishBefore: '2026-09-01' };
    expect(finishWords(draft, NEAR, 3)).toBe(
      'The finish is expected on 2 Sep, 1 day later than 3 days before (1 Sep).',
    );
    expect(finishWords({ ...draft, finishBefore: '2026-09-02' }, NEAR, 1)).toBe(
      'The finish is expected on 2 Sep, as 1 day before.',
    );
  });
});

describe('anythingHappened', () => {
  it('is what was done, not what is late, needed or next, nor what only waited', () => {
    const section = (key: string, ...keys: string[]) => ({ key, lines: keys.map((one) => ({ key: one })) });
    const ahead = [section('late', 'late-1'), section('next', 'next-1'), section('needed', 'offer-1')];
    const waited = section('finish', 'waited-job-7', 'moved-remark-0');
    expect(anythingHappened([...ahead, waited, section('made')])).toBe(false);
    expect(anythingHappened([...ahead, section('made', 'made-1')])).toBe(true);
    expect(anythingHappened([section('finish', 'moved-12')])).toBe(true);
  });
});

describe('toldBulletin', () => {
  it('names people as they wish, counts those who would rather not, and those who have left', () => {
    expect(told.thanks.map(({ name }) => name)).toEqual(['Person 3', '<Lake> & Co']);
    expect(unnamedLines(told)).toEqual(['1 more who would rather not be named', '2 more who have left']);
    expect(unnamedLines({ thanks: [], unnamed: 2, left: 0 })).toEqual(['2 who would rather not be named']);
    expect(told.sections[0]!.lines[0]!.text).toBe('A maker made <b>it</b>.');
    expect(told.title).toBe('The week to 8 Mar 2026');
    expect(told.span).toBe('2 Mar to 8 Mar 2026');
  });

  it('is written as HTML with nothing typed become markup, and as text', () => {
    const html = bulletinHtml(
      told,
      [{ href: '/bulletin/x/photos/1', words: 'A "ring"', width: 9, height: 6, by: '<Lake>' }],
      'https://o.example',
    );
    expect(html).toContain('<h2>Made</h2>\n<p>See <a href="https://o.example/offers">it</a></p>');
    expect(html).toContain('<li>A maker made &lt;b&gt;it&lt;/b&gt;.</li>');
    expect(html).toContain('<li>Needed. <a href="https://o.example/offers/12">Offer 12</a></li>');
    expect(html).toContain(
      'src="https://o.example/bulletin/x/photos/1" width="9" height="6" alt="A &quot;ring&quot;"',
    );
    expect(html).toContain('Photo: &lt;Lake&gt;');
    expect(html).toContain('<li>&lt;Lake&gt; &amp; Co, for making</li>');
    expect(html).not.toContain('Late');
    expect(bulletinText(told, 'https://o.example')).toBe(
      [
        'Hello all',
        'Made\nSee it (https://o.example/offers)\n- A maker made <b>it</b>.\n- Needed. https://o.example/offers/12',
        'Thanks\n- Person 3, for making\n- <Lake> & Co, for making\n- 1 more who would rather not be named\n- 2 more who have left',
      ].join('\n\n'),
    );
  });

  it('is summed up by its first words, cut between words', () => {
    expect(bulletinSummary(told)).toBe('Hello all');
    const long = bulletinSummary({ ...told, opening: 'word '.repeat(100) }, 50);
    expect(long).toBe(`${'word '.repeat(10).trim()} …`);
    expect(bulletinSummary({ ...told, opening: '' })).toBe('A maker made <b>it</b>. Needed.');
    expect(bulletinSummary({ ...told, opening: '', sections: [] })).toContain('Nothing happened');
    expect(saysAnything({ ...told, opening: '', sections: [] })).toBe(false);
  });
});

describe('linkWords', () => {
  it('says what a link leads to', () => {
    expect([undefined, '/offers', '/offers/12'].map((href) => linkWords(href))).toEqual([
      '',
      'All offers',
      'Offer 12',
    ]);
  });
});
