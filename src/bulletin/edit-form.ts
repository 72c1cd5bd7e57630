import { z } from 'zod';
import { ids, line, number, optionalId, optionalNumber, words } from '../platform/http/fields.ts';
import type { BulletinText } from './bulletin-acts.ts';
import { SECTIONS } from './telling.ts';
import type { ThanksChange } from './thanks.ts';

/** Sections the lead may add words to. */
export const OWN_SECTIONS = ['finish', ...SECTIONS.map(([key]) => key), 'late', 'next', 'needed'] as const;

/** Names of fields that there is one of for each section, photo or person. */
export const fieldOf = {
  own: (section: string) => `own-${section}`,
  said: (photoId: number) => `said-${photoId}`,
  why: (personId: number) => `why-${personId}`,
  for: (personId: number) => `for-${personId}`,
};

const OWN_LENGTH = 5000;
const several = (length: number) =>
  z.preprocess(
    (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
    z.array(z.string().max(length, 'This line is not known.')).max(5000, 'At most 5000 lines.'),
  );
const keys = several(120);

const version = number({ min: 0, max: 1_000_000, whole: true });

const ONE_OF = {
  own: words(OWN_LENGTH),
  said: line(200),
  why: line(200, 'Say why, for yourself: nobody else reads it.'),
  for: line(120),
};

/** The whole text of a week as it is sent; fields of sections, photos and people beside the named ones. */
export const EditForm = z
  .looseObject({
    title: line(120),
    opening: words(10_000),
    closing: words(10_000),
    minutes: optionalNumber({ min: 0.5, max: 240, unit: ' minutes' }),
    version,
    /** computed lines: those shown, and those ticked */
    all: keys,
    kept: keys,
    photo: ids,
    /** people who can be taken off: those shown, and those ticked */
    thankable: ids,
    thank: ids,
    /** people thanked by hand */
    handed: ids,
    newPerson: optionalId('Choose a person of the list.'),
    newFor: line(120),
    /** fields of a text that was kept meanwhile which go before one's own */
    take: keys,
  })
  .transform((body, check): { text: BulletinText; version: number; take: string[] } => {
    const one = <K extends keyof typeof ONE_OF>(kind: K, name: string): string => {
      const read = ONE_OF[kind].safeParse(body[name]);
      if (read.success) return read.data;
      check.addIssue({ code: 'custom', path: [name], message: read.error.issues[0]!.message });
      return '';
    };
    const kept = new Set(body.kept);
    const thanked = new Set(body.thank);
    const thanks: ThanksChange[] = [];
    for (const person of new Set(body.thankable)) {
      // Thanked by hand goes before taken off.
      if (!thanked.has(person) && person !== body.newPerson)
        thanks.push({ person, why: one('why', fieldOf.why(person)) });
    }
    for (const person of new Set(body.handed)) {
      const reason = one('for', fieldOf.for(person));
      if (reason && person !== body.newPerson) thanks.push({ person, for: reason });
    }
    if (body.newPerson !== null) {
      if (!body.newFor) {
        check.addIssue({ code: 'custom', path: ['newFor'], message: 'Say what they are thanked for.' });
      }
      thanks.push({ person: body.newPerson, for: body.newFor });
    } else if (body.newFor) {
      check.addIssue({ code: 'custom', path: ['newPerson'], message: 'Choose who is thanked for this.' });
    }
    return {
      text: {
        title: body.title,
        opening: body.opening,
        closing: body.closing,
        own: Object.fromEntries(OWN_SECTIONS.map((key) => [key, one('own', fieldOf.own(key))])),
        omitted: body.all.filter((key) => !kept.has(key)),
        photos: [...new Set(body.photo)].map((id) => ({ id, words: one('said', fieldOf.said(id)) })),
        thanks,
        minutes: body.minutes,
      },
      version: body.version,
      take: body.take,
    };
  });

export const PublishForm = z.object({
  version,
  /** what the lead saw: published only when nothing was added to it since */
  seen: line(100),
});

/** What is left out: the keys of lines, those of a whole section in one value with blanks between. */
export const CutForm = z.object({ version, cut: several(10_000) });

export const CorrectionForm = z.object({
  words: words(2000, 'Say what is put right.'),
});
