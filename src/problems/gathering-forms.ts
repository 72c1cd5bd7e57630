import { z } from 'zod';
import {
  day,
  id,
  line,
  number,
  optionalDay,
  optionalId,
  optionalNumber,
  words,
} from '../platform/http/fields.ts';
import { title } from './forms.ts';
import { LEAST_DAY_HOURS, MOST_DAY_HOURS, minutesOfTime, timeWords } from './gathering-days.ts';
import { MOST_PLACES } from './gathering-rules.ts';

const time = line(10, 'Type a time of the day, like 09:00.').transform((text, check) => {
  const minutes = minutesOfTime(text);
  if (text !== '' && minutes === null) check.addIssue('Type a time of the day, like 09:00.');
  return timeWords(minutes ?? 0);
});

export const GatheringForm = z.object({
  title: title('Name the gathering.'),
  fromOn: day,
  untilOn: day,
  place: words(500),
  places: number({ min: 1, max: MOST_PLACES, whole: true }),
  beginsAt: time,
  dayHours: number({ min: LEAST_DAY_HOURS, max: MOST_DAY_HOURS, unit: ' h' }),
  note: words(4000),
});

/** `seen`: which change the editor saw, so that the second of two is told. */
export const ChangeGatheringForm = GatheringForm.extend({
  seen: number({ min: 0, max: 1_000_000_000, whole: true }),
});

export const ComeForm = z.object({
  skills: line(200),
  fromOn: optionalDay,
  untilOn: optionalDay,
  hours: optionalNumber({ min: LEAST_DAY_HOURS, max: MOST_DAY_HOURS, unit: ' h' }),
});

export const ComerForm = ComeForm.extend({ personId: id('Choose a person of the list.') });

export const LeaveForm = z.object({ personId: id('Choose a person of the list.') });

/** What is to be brought, written down, and who brings it. */
export const PackingLineForm = z.object({
  words: line(200, 'Say what is to be brought.'),
  personId: optionalId('Choose a person of the list.'),
});

export const PackingKeyForm = z.object({ key: line(40, 'Choose a line of the list.') });

export const BringForm = PackingKeyForm.extend({ personId: optionalId('Choose a person of the list.') });
