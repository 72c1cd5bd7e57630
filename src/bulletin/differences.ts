import { createHash } from 'node:crypto';
import type { BulletinText } from './bulletin-acts.ts';
import type { ThanksChange } from './thanks.ts';

/** A field of a bulletin in which two texts differ, as both are to be read. */
export interface Difference {
  field: string;
  label: string;
  theirs: string;
  yours: string;
  /** whether theirs is ticked: one's own was not touched */
  taken: boolean;
}

type WholeText = Required<BulletinText>;

/** Names of what stands in a text by key. */
export interface Names {
  section(key: string): string;
  line(key: string): string;
  photo(id: number): string;
  person(id: number): string;
}

/** Fields that one text can take from the other, with how each is read. */
function fieldsOf(text: WholeText, names: Names): Map<string, { label: string; words: string }> {
  const fields = new Map<string, { label: string; words: string }>();
  const add = (field: string, label: string, words: string) => fields.set(field, { label, words });
  add('title', 'Title', text.title);
  add('opening', 'Opening', text.opening);
  for (const [key, words] of Object.entries(text.own))
    add(`own-${key}`, `Your words: ${names.section(key)}`, words);
  add('closing', 'Closing', text.closing);
  add('lines', 'Lines left out', [...text.omitted].sort().map(names.line).join('\n'));
  add(
    'photos',
    'Photos',
    text.photos.map(({ id, words }) => `${names.photo(id)}${words ? `: ${words}` : ''}`).join('\n'),
  );
  add('thanks', 'Thanks', text.thanks.map((one) => thanksLine(one, names)).join('\n'));
  add('minutes', 'Minutes to say', text.minutes === null ? '' : `${text.minutes} minutes`);
  return fields;
}

function thanksLine(one: ThanksChange, { person }: Names): string {
  return 'why' in one
    ? `${person(one.person)} not thanked: ${one.why}`
    : `${person(one.person)} thanked for ${one.for}`;
}

/** What is typed in fields of one text each, by field. */
function typedFields(text: WholeText, sections: readonly string[]): [string, string][] {
  return [
    ['title', text.title],
    ['opening', text.opening],
    ...sections.map((key): [string, string] => [`own-${key}`, text.own[key] ?? '']),
    ['closing', text.closing],
    ['minutes', String(text.minutes ?? '')],
  ];
}

/** One mark for each typed field, with blanks between: sent along with a form, it tells what was not touched in it. */
export function fieldMarks(text: WholeText, sections: readonly string[]): string {
  return typedFields(text, sections)
    .map(([field, words]) => {
      const mark = createHash('sha256').update(`${field} ${words}`).digest('base64url');
      return mark.slice(0, 16);
    })
    .join(' ');
}

/** Names of the typed fields that say what they said when the marks were made. */
export function untouchedFields(yours: WholeText, sections: readonly string[], marks: string): Set<string> {
  const before = new Set(marks.split(' '));
  const now = fieldMarks(yours, sections).split(' ');
  return new Set(
    typedFields(yours, sections).flatMap(([field], at) => (before.has(now[at]!) ? [field] : [])),
  );
}

/**
 * Where two texts of one week differ, field by field.
 *
 * @param taken  fields in which theirs is ticked
 */
export function differences(
  theirs: WholeText,
  yours: WholeText,
  names: Names,
  taken: ReadonlySet<string>,
): Difference[] {
  const own = [...Object.keys(theirs.own), ...Object.keys(yours.own)];
  const filled = (text: WholeText): WholeText => ({
    ...text,
    own: Object.fromEntries([...new Set(own)].map((key) => [key, text.own[key] ?? ''])),
  });
  const right = fieldsOf(filled(yours), names);
  return [...fieldsOf(filled(theirs), names)].flatMap(([field, { label, words }]) => {
    const other = right.get(field)!.words;
    return other === words ? [] : [{ field, label, theirs: words, yours: other, taken: taken.has(field) }];
  });
}

/** One's own text with the named fields as somebody else kept them. */
export function withTaken(yours: WholeText, theirs: WholeText, fields: readonly string[]): WholeText {
  const taken = { ...yours, own: { ...yours.own } };
  for (const field of fields) {
    if (field === 'title' || field === 'opening' || field === 'closing') taken[field] = theirs[field];
    else if (field === 'lines') taken.omitted = theirs.omitted;
    else if (field === 'photos') taken.photos = theirs.photos;
    else if (field === 'thanks') taken.thanks = theirs.thanks;
    else if (field === 'minutes') taken.minutes = theirs.minutes;
    else if (field.startsWith('own-')) {
      const key = field.slice('own-'.length);
      taken.own[key] = theirs.own[key] ?? '';
    }
  }
  return taken;
}
