import { Feed } from 'feed';
import { cleanText, htmlText } from './clean-text.ts';

/** One thing told: a bulletin or an offer. */
export interface FeedEntry {
  /** a UUID that never changes: stableUuid */
  uuid: string;
  kind: 'bulletin' | 'offer';
  /** plain text */
  title: string;
  /** absolute address of its page */
  href: string;
  publishedAt: Date;
  /** when it last changed in what a reader would look at again for */
  updatedAt: Date;
  /** plain text, one or two sentences */
  summary: string;
  /** HTML with absolute addresses */
  html: string;
}

export interface FeedHead {
  uuid: string;
  title: string;
  subtitle: string;
  author: string;
  /** absolute addresses: the feed's own, and the page it goes with */
  selfHref: string;
  pageHref: string;
  /** what `updated` says while there is no entry */
  since: Date;
}

export const MOST_ENTRIES = 50;

type Dated = Pick<FeedEntry, 'uuid' | 'updatedAt'>;

/** What changed last comes first. */
export const newestFirst = (a: Dated, b: Dated) =>
  b.updatedAt.getTime() - a.updatedAt.getTime() || (a.uuid < b.uuid ? -1 : 1);

/**
 * An Atom document (RFC 4287): the entries newest first, at most MOST_ENTRIES of them. An empty one is valid too, and
 * says when its build began.
 */
export function atomDocument(head: FeedHead, entries: readonly FeedEntry[]): string {
  const shown = [...entries].sort(newestFirst).slice(0, MOST_ENTRIES);
  const feed = new Feed({
    id: `urn:uuid:${head.uuid}`,
    title: cleanText(head.title),
    ...(head.subtitle ? { description: cleanText(head.subtitle) } : {}),
    updated: shown[0]?.updatedAt ?? head.since,
    author: { name: cleanText(head.author) },
    link: head.pageHref,
    feed: head.selfHref,
    generator: 'Farwright',
  });
  for (const entry of shown) {
    feed.addItem({
      id: `urn:uuid:${entry.uuid}`,
      title: htmlText(entry.title),
      link: entry.href,
      published: entry.publishedAt,
      date: entry.updatedAt,
      description: htmlText(entry.summary),
      content: cleanText(entry.html),
      category: [{ name: entry.kind, term: entry.kind }],
    });
  }
  return feed.atom1();
}
