import { describe, expect, it } from 'vitest';
import { atomDocument, type FeedEntry, type FeedHead, MOST_ENTRIES } from '../../src/feeds/atom.ts';
import { cleanText, htmlText } from '../../src/feeds/clean-text.ts';
import { alreadyHas } from '../../src/feeds/conditional.ts';
import { offerHtml, offerSummary, whatItTakes } from '../../src/feeds/offer-entry.ts';
import { stableUuid } from '../../src/feeds/stable-id.ts';
import type { OfferFacts, OpenOffer } from '../../src/offers/index.ts';
import { atomFaults, readAtom } from './atom-rules.ts';

const since = new Date('2026-01-05T09:00:00Z');
const head: FeedHead = {
  uuid: stableUuid(since, 'feed'),
  title: 'Orrery: bulletins',
  subtitle: 'A walk-in orrery',
  author: 'Orrery',
  selfHref: 'https://orrery.example/feed.atom',
  pageHref: 'https://orrery.example/bulletin',
  since,
};
const entry = (n: number, fields: Partial<FeedEntry> = {}): FeedEntry => ({
  uuid: stableUuid(since, `bulletin ${n}`),
  kind: 'bulletin',
  title: `Week ${n}`,
  href: `https://orrery.example/bulletin/${n}`,
  publishedAt: new Date(since.getTime() + n * 86_400_000),
  updatedAt: new Date(since.getTime() + n * 86_400_000),
  summary: 'A week.',
  html: '<p>A week.</p>',
  ...fields,
});

describe('atomDocument', () => {
  it('keeps RFC 4287 with entries and without', () => {
    expect(atomFaults(atomDocument(head, [entry(1), entry(2)]))).toEqual([]);
    const empty = atomDocument(head, []);
    expect(atomFaults(empty)).toEqual([]);
    expect(readAtom(empty).updated).toBe(since.toISOString());
  });

  it('is checked by rules that find what is broken', () => {
    const whole = atomDocument(head, [entry(1)]);
    const broken: [string, string, RegExp][] = [
      [' xmlns="http://www.w3.org/2005/Atom"', '', /^1\.2/],
      [`<id>urn:uuid:${head.uuid}</id>`, '', /^4\.1\.1: a feed has exactly one id/],
      ['<name>Orrery</name>', '', /^3\.2\.1/],
      ['rel="self"', 'rel="related"', /link to itself/],
      ['</feed>', '', /^2: /],
      [`<updated>${entry(1).updatedAt.toISOString()}</updated>`, '<updated>6 Jan</updated>', /^3\.3/],
      ['href="https://orrery.example/bulletin/1"', 'href="/bulletin/1"', /^4\.2\.7/],
      ['term="bulletin"', '', /^4\.2\.2/],
      ['<content type="html">', '<content type="html"><p/>', /^4\.1\.3\.3/],
    ];
    for (const [part, instead, rule] of broken) {
      expect(whole).toContain(part);
      expect(atomFaults(whole.replaceAll(part, instead)).join('\n')).toMatch(rule);
    }
    expect(atomFaults(atomDocument(head, [entry(1), entry(1)]))).toContain('4.1.1: entries of one id differ');
  });

  it('carries any text, and HTML as text that a reader turns back into it', () => {
    const nasty = 'Gear & “<b>wheel</b>” ]]> \u0007\u0000é 😀 \ud800 &amp;';
    const xml = atomDocument({ ...head, title: nasty, author: nasty, subtitle: nasty }, [
      entry(1, { title: nasty, summary: nasty, html: `<p>${htmlText(nasty)}</p>` }),
    ]);
    expect(atomFaults(xml)).toEqual([]);
    const [told] = readAtom(xml).entries;
    expect(told?.title).toBe(htmlText(nasty));
    expect(told?.content).toBe(`<p>${htmlText(nasty)}</p>`);
    expect(htmlText(nasty)).toBe('Gear &amp; “&lt;b&gt;wheel&lt;/b&gt;” ]]&gt; é 😀 \ufffd &amp;amp;');
    expect(Buffer.from(xml, 'utf8').toString('utf8')).toBe(xml);
  });

  it('shows the newest fifty, the last changed first', () => {
    const entries = Array.from({ length: 70 }, (_, n) => entry(n + 1));
    const told = readAtom(atomDocument(head, entries));
    expect(told.entries).toHaveLength(MOST_ENTRIES);
    expect(told.entries[0]?.title).toBe('Week 70');
    expect(told.entries.at(-1)?.title).toBe('Week 21');
    expect(told.updated).toBe(entry(70).updatedAt.toISOString());
  });

  it('names each thing by an id that neither order nor address changes', () => {
    const here = readAtom(atomDocument(head, [entry(1), entry(2)]));
    const moved = {
      ...head,
      selfHref: 'https://new.example/feed.atom',
      pageHref: 'https://new.example/bulletin',
    };
    const there = readAtom(
      atomDocument(moved, [entry(2), entry(1, { href: 'https://new.example/bulletin/1' })]),
    );
    expect(there.id).toBe(here.id);
    expect(there.entries.map(({ id }) => id)).toEqual(here.entries.map(({ id }) => id));
  });
});

describe('stableUuid', () => {
  it('has the shape of RFC 9562, version 8, and differs by build and by name', () => {
    const uuids = [
      stableUuid(since, 'offer 1'),
      stableUuid(since, 'offer 11'),
      stableUuid(new Date(since.getTime() + 1), 'offer 1'),
    ];
    for (const uuid of uuids) {
      expect(uuid).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    }
    expect(new Set(uuids).size).toBe(3);
    expect(stableUuid(new Date(since), 'offer 1')).toBe(uuids[0]);
  });
});

describe('cleanText', () => {
  it('leaves only what XML 1.0 allows, for every code unit', () => {
    for (let code = 0; code <= 0xffff; code += 1) {
      const kept = cleanText(`a${String.fromCharCode(code)}b`).slice(1, -1);
      // XML 1.0, section 2.2: Char
      expect(/^[\t\n\u0020-\ud7ff\ue000-\ufffd]?$/.test(kept), code.toString(16)).toBe(true);
    }
    expect(cleanText('a\r\nb\rc\td 😀')).toBe('a\nb\nc\td 😀');
  });
});

describe('alreadyHas', () => {
  const modifiedAt = new Date('2026-03-02T08:00:00.700Z');
  const has = (asked: Parameters<typeof alreadyHas>[0]) => alreadyHas(asked, { tag: 'W/"abc"', modifiedAt });

  // RFC 9110, sections 8.8.3.2, 13.1.2 and 13.1.3
  it('compares tags weakly, in lists, and lets them go before the moment', () => {
    expect(has({ ifNoneMatch: 'W/"abc"' })).toBe(true);
    expect(has({ ifNoneMatch: '"abc"' })).toBe(true);
    expect(has({ ifNoneMatch: '"x", W/"abc"' })).toBe(true);
    expect(has({ ifNoneMatch: '*' })).toBe(true);
    expect(has({ ifNoneMatch: '"x"', ifModifiedSince: 'Mon, 02 Mar 2026 09:00:00 GMT' })).toBe(false);
    expect(has({ ifModifiedSince: 'Mon, 02 Mar 2026 08:00:00 GMT' })).toBe(true);
    expect(has({ ifModifiedSince: 'Mon, 02 Mar 2026 07:59:59 GMT' })).toBe(false);
    expect(has({ ifModifiedSince: 'yesterday' })).toBe(false);
    expect(has({})).toBe(false);
  });
});

describe('an offer in a feed', () => {
  const offer: OpenOffer = {
    id: 12,
    title: 'Gear <48>',
    partNumber: 'OR-0041',
    letter: 'B',
    openMilli: 4000,
    openText: '4 pieces',
    unit: 'piece',
    processId: 2,
    process: 'Turning',
    material: 'brass & steel',
    revisionId: 3,
    needBy: '9 Jan',
    floatDays: 0,
    critical: true,
  };
  const facts: OfferFacts = {
    processId: 2,
    process: 'Turning',
    grades: { usual: 8, best: 6 },
    material: null,
    box: null,
    greatest: { mm: 120.04, text: 'Length, 120' },
    tightest: { grade: 7, text: 'Bore, 25 H7' },
    hours: 6.25,
    needByOn: '2026-01-09',
    reckonedPostDays: 5,
  };

  it('says what it takes, with units, and leaves out what is not known', () => {
    expect(whatItTakes({ offer, facts })).toEqual([
      ['Part', 'OR-0041, revision B'],
      ['Open', '4 pieces'],
      ['Process', 'Turning'],
      ['Material', 'brass & steel'],
      ['Size', 'at least 120 mm (Length, 120)'],
      ['Tightest tolerance', 'IT7 (Bore, 25 H7)'],
      ['Work', 'about 6.3 h for all of it'],
      ['To be posted by', '9 Jan'],
    ]);
    expect(whatItTakes({ offer: { ...offer, material: '' }, facts: null }).map(([name]) => name)).toEqual([
      'Part',
      'Open',
      'Process',
      'Material',
      'To be posted by',
    ]);
  });

  it('shows what was typed as text', () => {
    const html = offerHtml({ offer, facts, href: 'https://orrery.example/offers/12?a="' });
    expect(html).toContain('<dd>brass &amp; steel</dd>');
    expect(html).toContain('href="https://orrery.example/offers/12?a=&quot;"');
    expect(html).toContain('It drives the finish');
    expect(offerSummary({ offer })).toBe(
      '4 pieces open of Gear <48>: Turning in brass & steel, to be posted by 9 Jan.',
    );
  });
});
