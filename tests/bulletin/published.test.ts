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
