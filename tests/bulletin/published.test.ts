import { describe, expect, it } from 'vitest';
import { publishedBulletins } from '../../src/bulletin/index.ts';
import { markdownHtml, markdownText } from '../../src/bulletin/markdown.ts';
import { startApp } from '../support/app.ts';

describe('markdownHtml', () => {
  it('shows HTML as text, and makes links of trusted addresses alone', () => {
    expect(markdownHtml('<b>x</b> <script>alert(1)</script>')).toBe(
      '<p>&lt;b&gt;x&lt;/b&gt; &lt;script&gt;alert(1)&lt;/script&gt;</p>\n',
    );
    for (const address of [
      'javascript:alert(1)',
      'JaVaScRiPt:alert(1)',
      'data:text/html,x',
      'vbscript:x',
      '//elsewhere.example',
      'java\tscript:alert(1)',
      '&#106;avascript:alert(1)',
    ])
      expect(markdownHtml(`[x](${address})`)).not.toContain('<a ');
    expect(markdownHtml('[x](https://example.org/a?b=1&c=2)')).toContain(
      'href="https://example.org/a?b=1&amp;c=2"',
    );
  });

  it('loads no picture from elsewhere: it is a link', () => {
    expect(markdownHtml('![the "ring"](https://example.org/a.png)')).toBe(
      '<p><a href="https://example.org/a.png">the &quot;ring&quot;</a></p>\n',
    );
  });

  it('puts its headings below the one it stands under', () => {
    expect(markdownHtml('# A\n###### B\n<h1>typed</h1>', '', 2)).toBe(
      '<h3>A</h3>\n<h6>B</h6>\n<p>&lt;h1&gt;typed&lt;/h1&gt;</p>\n',
    );
  });

  it('makes links to the build’s own pages absolute where it is read elsewhere', () => {
    expect(markdownHtml('[offers](/offers)', 'https://orrery.example')).toContain(
      'href="https://orrery.example/offers"',
    );
    expect(markdownHtml('[offers](/offers)')).toContain('href="/offers"');
  });
});

describe('markdownText', () => {
  it('keeps lists and gives addresses behind their words', () => {
    const text = '# Head\n\nSee [the *offers*](/offers), **now**.\n\n- one\n- two\n\n3. three\n4. four';
    expect(markdownText(text, 'bare', 'https://orrery.example')).toBe(
      'Head\n\nSee the offers (https://orrery.example/offers), now.\n\n- one\n- two\n\n3. three\n4. four',
    );
    expect(markdownText(text, 'none')).toBe('Head\n\nSee the offers, now.\n\none\ntwo\n\nthree\nfour');
    expect(markdownText('Look: https://example.org/x and <a@example.org>', 'none')).toBe('Look:  and');
    expect(markdownText('https://example.org/x', 'bare')).toBe('https://example.org/x');
  });
});

describe('publishedBulletins', () => {
  it('reads what was published before sections had words, revisions and days of their own', async () => {
    const test = await startApp();
    const old = {
      sections: [
        {
          key: 'finished',
          title: 'Finished',
          absent: 'Nothing.',
          lines: [{ key: 'act-1', words: [{ person: 3 }, ' made a ring.'] }],
        },
      ],
      thanks: [{ person: 3, for: 'making' }],
      finishOn: '2026-09-01',
      finishBefore: null,
      title: 'Old',
      opening: 'Hello',
      closing: '',
    };
    const at = test.context.clock.now();
    await test.context.db.write.bulletin.create({
      data: { week: '2026-02-22', frozen: JSON.stringify(old), publishedAt: at, createdAt: at },
    });
    const [one] = await publishedBulletins(test.context.db.read, { limit: 5, baseUrl: 'https://o.example' });
    expect(one!.text).toBe(
      'Hello\n\nThe finish is expected on 1 Sep.\n\nFinished\n- Imre Kovacs made a ring.\n\nThanks\n- Imre Kovacs, for making',
    );
    const page = (await test.visitor().get('/bulletin/2026-02-22')).text;
    expect(page).toContain('<li>Imre Kovacs made a ring.</li>');
    expect(page).toContain('16 Feb to 22 Feb 2026');
  });

  it('gives what others read elsewhere, with absolute links', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    const week = '/bulletin/2026-03-08';
    const opening = 'We [need hands](/offers) & <eyes>.';
    expect((await lead.post(week, { title: 'First', opening, closing: '', version: '0' })).status).toBe(303);
    const { read } = test.context.db;
    const of = { limit: 5, baseUrl: 'https://orrery.example' };
    expect(await publishedBulletins(read, of)).toEqual([]);
    expect((await lead.post(`${week}/publish`, { version: '1' })).status).toBe(303);
    const [one, ...more] = await publishedBulletins(read, of);
    expect(more).toEqual([]);
    expect(one).toMatchObject({
      week: '2026-03-08',
      title: 'First',
      publishedAt: test.context.clock.now(),
      updatedAt: test.context.clock.now(),
      address: 'https://orrery.example/bulletin/2026-03-08',
      summary: 'We need hands & <eyes>.',
    });
    expect(one!.html).toContain('<a href="https://orrery.example/offers">need hands</a> &amp; &lt;eyes&gt;.');
    expect(one!.text).toContain('We need hands (https://orrery.example/offers) & <eyes>.');
    expect(await publishedBulletins(read, { ...of, week: '2026-03-01' })).toEqual([]);
  });
});
