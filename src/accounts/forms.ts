import { z } from 'zod';
import { isTimeZone } from '../platform/day.ts';
import { choice, line, number, optionalEmail, optionalNumber, tick, words } from '../platform/http/fields.ts';

/** A password that is being chosen: length is what helps; the rest is up to its owner. */
const newPassword = z
  .preprocess((value) => value ?? '', z.string('Type a password.'))
  .superRefine((value, check) => {
    if (value.length < 10) check.addIssue('At least 10 characters.');
    else if (value.length > 200) check.addIssue('At most 200 characters.');
  });

const email = optionalEmail.transform((value, check) => {
  if (value === null) check.addIssue('Type your mail address: you sign in with it.');
  return value ?? '';
});

const country = line(2, 'Choose a country.').transform((value, check) => {
  const code = value.toUpperCase();
  if (value && !/^[A-Z]{2}$/.test(code)) check.addIssue('Two letters, as on parcels: NO, DE, NZ.');
  return code;
});

const build = {
  name: line(80, 'Name the machine you are building.'),
  about: words(2000),
  partPrefix: line(8, 'Choose a prefix, like OR for OR-0001.').transform((value, check) => {
    const prefix = value.toUpperCase();
    if (!/^[A-Z][A-Z0-9]{0,7}$/.test(prefix))
      check.addIssue('Letters and digits, beginning with a letter: OR.');
    return prefix;
  }),
  country,
  timeZone: line(60, 'Name a time zone, like Europe/Oslo.').superRefine((value, check) => {
    if (value && !isTimeZone(value))
      check.addIssue('No such time zone. Write it like Europe/Oslo or Pacific/Auckland.');
  }),
  currency: line(3, 'Three letters, like EUR.').transform((value, check) => {
    const code = value.toUpperCase();
    if (value && !/^[A-Z]{3}$/.test(code)) check.addIssue('Three letters, like EUR.');
    return code;
  }),
  leadWeeklyHours: number({ min: 0.5, max: 120, unit: ' hours' }),
};

export const SetUpForm = z.object({
  ...build,
  leadName: line(80, 'Type your name.'),
  email,
  password: newPassword,
});

export const BuildForm = z.object({
  ...build,
  weekdays: z.preprocess(
    (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
    z
      .array(choice(['1', '2', '3', '4', '5', '6', '7']))
      .min(1, 'At least one day of the week must be worked.'),
  ),
  bulletinWeekday: choice(['1', '2', '3', '4', '5', '6', '7']).transform(Number),
  speakPace: number({ min: 80, max: 220, whole: true, unit: ' words a minute' }).optional(),
  bulletinMinutes: optionalNumber({ min: 0.5, max: 240, unit: ' minutes' }).optional(),
  silentAfterDays: number({ min: 1, max: 365, whole: true, unit: ' days' }),
  postAddress: words(500),
  postContact: line(120),
});

export const SignInForm = z.object({
  email: line(200, 'Type your mail address.').transform((value) => value.toLowerCase()),
  password: z.preprocess(
    (value) => value ?? '',
    z.string().min(1, 'Type your password.').max(200, 'At most 200 characters.'),
  ),
});

export const InvitationForm = z.object({
  role: choice(['lead', 'crew', 'maker'], 'Choose what they will be.'),
  note: line(120),
  email: optionalEmail.transform((value) => value ?? ''),
});

export const AcceptForm = z.object({
  name: line(80, 'Type your name.'),
  email,
  country,
  password: newPassword,
});

export const NewPasswordForm = z.object({ password: newPassword });

/** What a person says of themselves. */
export const PersonForm = z
  .object({
    name: line(80, 'Type a name.'),
    email: optionalEmail,
    reach: line(200),
    address: words(500),
    country,
    thanksBy: choice(['name', 'alias', 'none'], 'Choose how you are thanked.'),
    alias: line(80),
    weeklyHours: number({ min: 0, max: 120, unit: ' hours' }),
    lengthUnit: choice(['mm', 'in']),
    about: words(1000),
  })
  .superRefine((person, check) => {
    if (person.thanksBy === 'alias' && !person.alias) {
      check.addIssue({
        code: 'custom',
        path: ['alias'],
        message: 'Type the name you want to be thanked by.',
      });
    }
  });

export const RoleForm = z.object({ role: choice(['lead', 'crew', 'maker'], 'Choose a role.') });
/** A form of buttons and hidden fields only. */
export const PlainForm = z.object({});
export const ForgetForm = z.object({
  sure: tick.refine((ticked) => ticked, 'Tick this to say that you are sure.'),
  presentPassword: z.preprocess((value) => value ?? '', z.string().max(200, 'At most 200 characters.')),
});

/** What somebody made, in their own words. */
export const ThanksWordsForm = z.object({ thanksWords: words(300) });
