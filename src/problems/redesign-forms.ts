import { z } from 'zod';
import { ids, line, number, optionalId, optionalNumber, words } from '../platform/http/fields.ts';
import { title } from './forms.ts';

/** More hours than a lead has in a year are a slip of the key. */
const MOST_HOURS = 2000;

export const RedesignForm = z.object({
  title: title('Say in one line what the redesign is for.'),
  change: words(4000),
  problemIds: ids,
  parts: words(2000),
  hours: optionalNumber({ min: 0, max: MOST_HOURS, unit: ' h' }),
  trialId: optionalId('Choose a trial of the list.'),
});

/** Which change the editor saw, so that the second of two is told. */
const seen = number({ min: 0, max: 1_000_000_000, whole: true });

/** Once it is released the form has no box for the parts: they stay. */
export const ChangeRedesignForm = RedesignForm.extend({
  parts: words(2000).optional(),
  seen,
});

export const BeginForm = z.object({ partIds: ids });

/** The drafts that the page showed, each by number and version: 12.3 40.1; none where the page had none. */
export const ReleaseForm = z.object({
  drafts: line(4000).transform((text, check) => {
    const versions = new Map<number, number>();
    for (const one of text.split(' ').filter((token) => token !== '')) {
      const [, id, version] = /^(\d{1,9})\.(\d{1,9})$/.exec(one) ?? [];
      if (!id || !version) {
        check.addIssue('What was released could not be read: open the page again.');
        return z.NEVER;
      }
      versions.set(Number(id), Number(version));
    }
    return versions;
  }),
});

/** Why a trial counts that was made before the release; empty where it was made after. */
export const CloseForm = z.object({ reason: words(1000), seen: seen.optional() });
