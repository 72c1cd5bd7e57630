import { dayIn, dayWords } from '../platform/day.ts';

/** A moment for people, where the build is: '9 Jan 14:05', with the year when it is not this one. */
export function momentText(timeZone: string, moment: Date, now: Date): string {
  const day = dayWords(dayIn(timeZone, moment), dayIn(timeZone, now));
  const time = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  return `${day} ${time.format(moment)}`;
}
