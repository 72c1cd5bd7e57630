import { isIP } from 'node:net';
import { z } from 'zod';
import { choice, id, line, number, optionalEmail, tick } from '../platform/http/fields.ts';
import { LETTER_KINDS } from './kinds.ts';

const host = line(253).superRefine((value, check) => {
  const isName =
    /^(?=.{1,253}$)([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*\.?$/i;
  if (value && !isName.test(value) && !isIP(value)) {
    check.addIssue('Type the name of the server alone, like smtp.example.org: no port, no slash.');
  }
});

/** Several ticked words of one name; a single one arrives as text. */
export const several = <const T extends readonly [string, ...string[]]>(of: T) =>
  z.preprocess(
    (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
    z.array(choice(of)).max(of.length * 2, 'Choose from the list.'),
  );

/** How letters leave. */
export const MailForm = z
  .object({
    on: tick,
    host,
    port: number({ min: 1, max: 65535, whole: true }),
    secure: choice(['starttls', 'tls', 'none'], 'Choose how the connection is protected.'),
    user: line(200),
    // Spaces at its ends belong to a password.
    password: z
      .preprocess((value) => value ?? '', z.string().max(500, 'At most 500 characters.'))
      .superRefine((value, check) => {
        if (/[\u0000-\u001f\u007f]/.test(value)) {
          check.addIssue('This holds characters that cannot be seen; type it again.');
        }
      }),
    fromName: line(80),
    fromEmail: optionalEmail.transform((value) => value ?? ''),
    kinds: several(LETTER_KINDS),
    open: tick,
    seen: line(40),
  })
  .superRefine((mail, check) => {
    const wrong = (path: string, message: string) =>
      check.addIssue({ code: 'custom', path: [path], message });
    if (mail.on && !mail.host) wrong('host', 'Name the server, or letters can’t leave.');
    if (mail.on && !mail.fromEmail) wrong('fromEmail', 'Type the address that letters come from.');
    if (!mail.user && mail.password) wrong('user', 'Type the user that this password belongs to.');
    if (mail.host && mail.secure === 'none' && !mail.open) {
      wrong(
        'open',
        'Without protection letters, user and password can be read by everyone on the way. Tick this if the server stands in your own network.',
      );
    }
  });

/** What the lead decides on a letter. */
export const LetterForm = z.object({ letter: id(), what: choice(['send', 'drop']) });

/** What the lead decides on many letters at once. What waits goes by itself. */
export const LettersForm = z
  .object({ which: choice(['refused', 'waiting']), what: choice(['send', 'drop']) })
  .superRefine(({ which, what }, check) => {
    if (which === 'waiting' && what === 'send') {
      check.addIssue({ code: 'custom', path: ['what'], message: 'What waits leaves by itself.' });
    }
  });

/** A form of buttons and hidden fields only. */
export const PlainForm = z.object({});

/** Which letters a person wants. */
export const ChoiceForm = z.object({ kinds: several(LETTER_KINDS) });
