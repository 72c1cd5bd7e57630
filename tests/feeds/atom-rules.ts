import { XMLParser, XMLValidator } from 'fast-xml-parser';

type Node = Record<string, unknown>;

const ATOM = 'http://www.w3.org/2005/Atom';
const LISTS = new Set([
  'entry',
  'link',
  'author',
  'category',
  'id',
  'title',
  'updated',
  'published',
  'summary',
  'content',
  'name',
  'subtitle',
  'generator',
  'rights',
  'icon',
  'logo',
  'source',
]);

const parser = new XMLParser({
  ignoreAttributes: false,
  attributeNamePrefix: '@',
  parseTagValue: false,
  parseAttributeValue: false,
  processEntities: true,
  isArray: (name) => LISTS.has(name),
});

const list = (node: Node, name: string): unknown[] => (node[name] as unknown[] | undefined) ?? [];
const textOf = (value: unknown): string =>
  typeof value === 'string' ? value : String((value as Node | undefined)?.['#text'] ?? '');
const attribute = (value: unknown, name: string): string | undefined =>
  typeof value === 'object' && value !== null
    ? ((value as Node)[`@${name}`] as string | undefined)
    : undefined;

/** The feed and its entries as an independent reader finds them. */
export function readAtom(xml: string) {
  const { feed } = parser.parse(xml) as { feed: Node };
  return {
    feed,
    title: textOf(list(feed, 'title')[0]),
    updated: textOf(list(feed, 'updated')[0]),
    id: textOf(list(feed, 'id')[0]),
    entries: (list(feed, 'entry') as Node[]).map((entry) => ({
      id: textOf(list(entry, 'id')[0]),
      title: textOf(list(entry, 'title')[0]),
      updated: textOf(list(entry, 'updated')[0]),
      published: textOf(list(entry, 'published')[0]),
      summary: textOf(list(entry, 'summary')[0]),
      content: textOf(list(entry, 'content')[0]),
      href: attribute(list(entry, 'link')[0], 'href') ?? '',
    })),
  };
}

function isAbsolute(iri: string): boolean {
  return /^[a-z][a-z0-9+.-]*:[^\s]+$/i.test(iri) && URL.canParse(iri);
}

// RFC 3339 date-time with upper case T and Z, as section 3.3 asks.
const DATE = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$/;

/**
 * What of RFC 4287 a document does not keep, each with its section (numbers and rules from memory): nothing when it is valid.
 */
export function atomFaults(xml: string): string[] {
  const faults: string[] = [];
  const must = (holds: boolean, rule: string) => {
    if (!holds) faults.push(rule);
  };
  const formed = XMLValidator.validate(xml);
  must(formed === true, '2: an Atom document is well-formed XML');
  if (formed !== true) return faults;
  must(/^<\?xml version="1\.0" encoding="utf-8"\?>/.test(xml), '2: the declaration says what the bytes are');
  const { feed } = parser.parse(xml) as { feed?: Node };
  must(feed?.['@xmlns'] === ATOM, '1.2: the elements are of the Atom namespace');
  if (!feed) return faults;

  const one = (node: Node, name: string, rule: string) => must(list(node, name).length === 1, rule);
  const most = (node: Node, name: string, rule: string) => must(list(node, name).length <= 1, rule);
  const texts = (node: Node) => {
    for (const name of ['title', 'subtitle', 'summary', 'rights'])
      for (const value of list(node, name)) {
        const type = attribute(value, 'type') ?? 'text';
        must(['text', 'html', 'xhtml'].includes(type), `3.1.1: the type of ${name} is text, html or xhtml`);
        // Child elements of text and html would be other keys than the text and the type.
        const others =
          typeof value === 'object'
            ? Object.keys(value as Node).filter((key) => !/^(#text|@type)$/.test(key))
            : [];
        must(others.length === 0, `3.1.1: ${name} has no child elements`);
      }
  };
  const dates = (node: Node) => {
    for (const name of ['updated', 'published'])
      for (const value of list(node, name))
        must(DATE.test(textOf(value)), `3.3: ${name} is an RFC 3339 moment`);
  };
  const people = (node: Node) => {
    for (const author of list(node, 'author') as Node[]) {
      one(author, 'name', '3.2.1: a person has exactly one name');
    }
  };
  const links = (node: Node) => {
    const alternates: string[] = [];
    for (const link of list(node, 'link')) {
      must(isAbsolute(attribute(link, 'href') ?? ''), '4.2.7.1: a link has an href that is an IRI');
      if ((attribute(link, 'rel') ?? 'alternate') === 'alternate')
        alternates.push(`${attribute(link, 'type')} ${attribute(link, 'hreflang')}`);
    }
    must(
      new Set(alternates).size === alternates.length,
      '4.1.1, 4.1.2: one alternate of a type and language',
    );
    return alternates.length;
  };
  const ids = (node: Node) => {
    for (const id of list(node, 'id')) must(isAbsolute(textOf(id)), '4.2.6: an id is an absolute IRI');
  };
  const categories = (node: Node) => {
    for (const category of list(node, 'category'))
      must((attribute(category, 'term') ?? '') !== '', '4.2.2.1: a category has a term');
  };

  for (const name of ['id', 'title', 'updated']) one(feed, name, `4.1.1: a feed has exactly one ${name}`);
  for (const name of ['generator', 'icon', 'logo', 'rights', 'subtitle'])
    most(feed, name, `4.1.1: at most one ${name}`);
  const entries = list(feed, 'entry') as Node[];
  must(
    list(feed, 'author').length > 0 || entries.every((entry) => list(entry, 'author').length > 0),
    '4.1.1: a feed has an author, or each entry has',
  );
  must(
    list(feed, 'link').some((link) => attribute(link, 'rel') === 'self'),
    '4.1.1: a feed should have a link to itself',
  );
  for (const node of [feed, ...entries]) {
    texts(node);
    dates(node);
    people(node);
    ids(node);
    categories(node);
    const alternates = links(node);
    if (node === feed) continue;
    for (const name of ['id', 'title', 'updated']) one(node, name, `4.1.2: an entry has exactly one ${name}`);
    for (const name of ['content', 'published', 'rights', 'source', 'summary'])
      most(node, name, `4.1.2: at most one ${name}`);
    must(list(node, 'content').length === 1 || alternates > 0, '4.1.2: content, or an alternate link');
    for (const content of list(node, 'content')) {
      const type = attribute(content, 'type') ?? 'text';
      must(['text', 'html', 'xhtml'].includes(type), '4.1.3.1: the type of content told in place');
      must(
        typeof content === 'string' ||
          !Object.keys(content as Node).some((key) => !/^(#text|@type)$/.test(key)),
        '4.1.3.3: html content has no child elements',
      );
    }
  }
  const seen = entries.map((entry) => textOf(list(entry, 'id')[0]));
  must(new Set(seen).size === seen.length, '4.1.1: entries of one id differ');
  return [...new Set(faults)];
}
