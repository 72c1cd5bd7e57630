import { publicName } from '../bulletin/index.ts';
import { countryName } from '../platform/country.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { type Contribution, countLines, shareLines, together } from './contribution.ts';

/** A person as the thanks page needs them. */
export interface Thanked {
  id: number;
  name: string;
  role: string;
  country: string;
  thanksBy: string;
  alias: string;
  thanksWords: string;
  forgottenAt: Date | null;
}

export interface NamedThanks {
  /** for the lead's own way to the person; not shown */
  id: number;
  name: string;
  isLead: boolean;
  country: string;
  /** 'Mar 2025' */
  since: string;
  words: string;
  made: string[];
  inHand: string[];
  also: string[];
}

export interface UnnamedThanks {
  count: number;
  made: string[];
  also: string[];
}

export interface ThanksPage {
  named: NamedThanks[];
  /** who would rather not be named, together */
  unnamed: UnnamedThanks;
  /** who has left and is forgotten, together */
  left: UnnamedThanks;
}

const collator = new Intl.Collator('en', { sensitivity: 'base', numeric: true });

/**
 * Everyone who gave something, in the form each chose: by name, by a name of their choosing, or only counted. Named ones
 * stand in the order of the name that is shown, so that the place in the list tells nothing about another name; country is
 * told of those alone who stand with their own.
 */
export function thanksPage(
  people: readonly Thanked[],
  contributions: readonly Contribution[],
  timeZone: string,
): ThanksPage {
  const given = new Map(contributions.map((contribution) => [contribution.personId, contribution]));
  const named: NamedThanks[] = [];
  const unnamed: Contribution[] = [];
  const left: Contribution[] = [];
  for (const person of people) {
    const contribution = given.get(person.id);
    if (!contribution) continue;
    const name = publicName(person);
    if (name === null) {
      (person.forgottenAt ? left : unnamed).push(contribution);
      continue;
    }
    const day = dayIn(timeZone, new Date(contribution.firstAt));
    const also = countLines(contribution.counts);
    named.push({
      id: person.id,
      name,
      isLead: person.role === 'lead',
      country: person.thanksBy === 'name' ? countryName(person.country) : '',
      since: dayWords(day).replace(/^\d+ /, ''),
      words: person.thanksWords,
      made: shareLines(contribution.made),
      inHand: shareLines(contribution.inHand),
      also:
        also.length || contribution.reasons.length
          ? [...also, ...contribution.reasons]
          : helped(contribution),
    });
  }
  named.sort((a, b) => collator.compare(a.name, b.name) || a.id - b.id);
  return { named, unnamed: unnamedThanks(unnamed), left: unnamedThanks(left) };
}

/** Where neither a count nor a reason says it: at least that they helped. */
function helped({ made, inHand }: Contribution): string[] {
  return made.length || inHand.length ? [] : ['helping'];
}

function unnamedThanks(contributions: readonly Contribution[]): UnnamedThanks {
  const { made, counts } = together(contributions);
  return { count: contributions.length, made: shareLines(made), also: countLines(counts) };
}
