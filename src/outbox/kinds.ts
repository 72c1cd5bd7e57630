/** What a letter may be about. The lead can switch each off for everybody, a person for themselves. */
export const LETTER_KINDS = [
  'invitation',
  'query',
  'answer',
  'reminder',
  'revision',
  'bulletin',
  'gathering',
] as const;
export type LetterKind = (typeof LETTER_KINDS)[number];

/** A test letter is no kind that can be switched off. */
export type AnyLetterKind = LetterKind | 'test';

/** How each kind is called for the lead and for who gets it, and why it comes, for its foot. */
export const LETTER_WORDS: Record<LetterKind, { label: string; own: string; why: string }> = {
  invitation: {
    label: 'Invitations, to the address they were made for',
    own: 'Invitations',
    why: 'You were invited.',
  },
  query: { label: 'Queries, to lead and crew', own: 'Queries on any job', why: 'You lead or are crew.' },
  answer: {
    label: 'Answers to queries, to everyone on the job',
    own: 'Answers to queries on your jobs',
    why: 'You are on the job.',
  },
  reminder: {
    label: 'Reminders of promises, of silence, of new revisions and of gatherings',
    own: 'Reminders of what you have in hand, and of gatherings that you come to',
    why: 'You have something in hand, or come to a gathering.',
  },
  revision: {
    label: 'New revisions, to those who are making the part',
    own: 'New revisions of what you are making',
    why: 'You have a claim on the part.',
  },
  bulletin: {
    label: 'The weekly bulletin, to everyone with an account',
    own: 'The weekly bulletin',
    why: 'You have an account.',
  },
  gathering: {
    label: 'Gatherings moved or called off, to those who come',
    own: 'Gatherings that you come to, when they are moved or called off',
    why: 'You said that you come.',
  },
};

/** The kinds a person with this role gets; nobody with an account is sent an invitation. */
export function kindsFor(role: string): LetterKind[] {
  return LETTER_KINDS.filter((kind) => {
    if (kind === 'invitation') return false;
    return kind !== 'query' || role !== 'maker';
  });
}

/** Whether a text names a kind of letter. */
export function isLetterKind(text: string): text is LetterKind {
  return (LETTER_KINDS as readonly string[]).includes(text);
}

/** What a web hook may be told, by the name its payload carries. */
export const HOOK_KINDS = [
  'bulletin.published',
  'offer.opened',
  'offer.closed',
  'revision.released',
  'problem.seen',
  'problem.cured',
  'gathering.planned',
  'gathering.moved',
  'gathering.called_off',
  'finish.moved',
] as const;
export type HookKind = (typeof HOOK_KINDS)[number];

/** How each is called on the pages, and what its `data` holds beside `href`, the page that tells more. */
export const HOOK_WORDS: Record<HookKind, { label: string; fields: string }> = {
  'bulletin.published': { label: 'A bulletin is published', fields: 'week (the day that closes it), title' },
  'offer.opened': {
    label: 'An offer is open to strangers, or open again',
    fields: 'job, title, part, revision, openQuantity (with its unit)',
  },
  'offer.closed': { label: 'An offer is taken, or taken back', fields: 'job, title, part' },
  'revision.released': { label: 'A revision is released', fields: 'part, name, revision' },
  'problem.seen': { label: 'A problem is written down', fields: 'problem, title, part' },
  'problem.cured': { label: 'A problem is cured', fields: 'problem, title, part' },
  'gathering.planned': { label: 'A gathering is planned', fields: 'gathering, title, from, until' },
  'gathering.moved': { label: 'A gathering is moved', fields: 'gathering, title, from, until' },
  'gathering.called_off': { label: 'A gathering is called off', fields: 'gathering, title, from, until' },
  'finish.moved': {
    label: 'The finish of the build moved from one day to the next',
    fields: 'day, finish, before, days (later above 0)',
  },
};

export const TEST_CALL = 'test';

/** Whether a text names something a hook may be told. */
export function isHookKind(text: string): text is HookKind {
  return (HOOK_KINDS as readonly string[]).includes(text);
}

/** A stored JSON list of words; what is no list of words counts as empty. */
export function storedWords(json: string): string[] {
  const parsed: unknown = JSON.parse(json || '[]');
  return Array.isArray(parsed) ? parsed.filter((word) => typeof word === 'string') : [];
}
