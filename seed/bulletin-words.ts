import type { PersonKey } from './types.ts';

// What the lead added to the drafts of some weeks, by the day of their opening in telling.ts.

export const additions: {
  on: number;
  /** Markdown to the computed sections, by section */
  own?: Record<string, string>;
  /** put right so many days after it was published */
  correction?: { after: number; words: string };
  /** thanked for what the log does not know */
  thanked?: { who: PersonKey; for: string };
}[] = [
  {
    on: -278,
    own: {
      failed:
        'The seat is four hundredths too wide. It was measured *three times* before anybody believed it.',
    },
    correction: {
      after: 3,
      words: 'The seat was bored in one setting, not in two as I wrote in my letter to some of you.',
    },
  },
  {
    on: -140,
    thanked: { who: 'blaz', for: 'the bread' },
    own: { fitted: 'A ring of eight, down in one afternoon; the other three days went into the floor.' },
  },
  {
    on: -46,
    own: {
      failed: 'Nobody’s part is wrong. The drawing leaves no room for the heat of a summer evening.',
      needed: 'Whoever can hone a bore of 32 mm: please write, even if you have never done it for others.',
    },
  },
  {
    on: -19,
    own: { moved: 'The clamps have a *second letter*: look at your route card before you cut anything.' },
    correction: {
      after: 2,
      words: 'The thread of the clamp is M6, not M5. The drawing was right, the bulletin was not.',
    },
  },
  { on: -6, own: { arrived: 'The biscuit tin held the arm, wrapped in a tea towel. Both are in use.' } },
];
