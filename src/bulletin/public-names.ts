import type { Words } from './draft.ts';

export interface ThankedPerson {
  id: number;
  name: string;
  role?: string;
  thanksBy: string;
  alias: string;
  forgottenAt: Date | null;
}

/** How a person is named in public: by name, by a name of their choosing, or not at all (null). */
export function publicName(person: ThankedPerson | undefined): string | null {
  if (!person || person.forgottenAt || person.thanksBy === 'none') return null;
  return person.thanksBy === 'alias' && person.alias ? person.alias : person.name;
}

/** Words as the public reads them: who would rather not be named is 'a maker'. */
export function publicWords(words: Words, people: ReadonlyMap<number, ThankedPerson>): string {
  const text = words
    .map((piece) => (typeof piece === 'string' ? piece : (publicName(people.get(piece.person)) ?? 'a maker')))
    .join('');
  return text.charAt(0).toUpperCase() + text.slice(1);
}
