import { z } from 'zod';
import { line, number, words } from '../platform/http/fields.ts';

const days = number({ min: 0, max: 730, whole: true, unit: ' days' });

interface Promised {
  soonestDays: number;
  likelyDays: number;
  latestDays: number;
}

function inOrder({ soonestDays, likelyDays, latestDays }: Promised, check: z.core.$RefinementCtx): void {
  if (likelyDays < soonestDays) {
    check.addIssue({
      code: 'custom',
      path: ['likelyDays'],
      message: `Not before the soonest, ${soonestDays} days.`,
    });
  } else if (latestDays < likelyDays) {
    check.addIssue({
      code: 'custom',
      path: ['latestDays'],
      message: `Not before the likely, ${likelyDays} days.`,
    });
  }
}

/** What a stranger writes who would like to make something. */
export const AskForm = z
  .object({
    name: line(80, 'Say how you are called.'),
    reach: line(200, 'Say how the lead can reach you: a mail address or a telephone number.'),
    country: line(2, 'Two letters, as on parcels: NO, DE, NZ.').transform((value, check) => {
      const code = value.toUpperCase();
      if (value && !/^[A-Z]{2}$/.test(code)) check.addIssue('Two letters, as on parcels: NO, DE, NZ.');
      return code;
    }),
    tools: words(1000, 'Say what you would make it with.'),
    quantity: line(20, 'Say how many.'),
    soonestDays: days,
    likelyDays: days,
    latestDays: days,
    words: words(2000),
    shown: z.string().max(60).default(''),
    website: z.string().max(500).default(''),
  })
  .superRefine(inOrder);

/** What the lead settles when taking a stranger's offer. */
export const TakeForm = z.object({ quantity: line(20, 'Say how many.') });
