import ical, {
  type ICalCalendar,
  ICalEventClass,
  ICalEventStatus,
  ICalEventTransparency,
} from 'ical-generator';
import { addDays, type Day } from '../platform/day.ts';
import { cleanText } from './clean-text.ts';

/** Something on whole days. */
export interface CalendarEntry {
  /** never changes for one thing: stableUuid */
  uuid: string;
  kind: CalendarKind;
  title: string;
  fromOn: Day;
  /** its last day; the same as the first for one day */
  untilOn: Day;
  description: string;
  /** told to who comes; empty: not told */
  place: string;
  /** absolute address; empty: none */
  href: string;
  calledOff: boolean;
  /** whether the days are taken by it; a need-by date leaves them free */
  takesTime: boolean;
  /** when it last changed, and how often before: rises with each change */
  changedAt: Date;
  changes: number;
}

export const CALENDAR_KINDS = ['gatherings', 'promises', 'needed', 'decisions', 'trials'] as const;
export type CalendarKind = (typeof CALENDAR_KINDS)[number];

const EMPTY_ZONE = [
  'BEGIN:VTIMEZONE',
  'TZID:Etc/UTC',
  'BEGIN:STANDARD',
  'DTSTART:19700101T000000',
  'TZOFFSETFROM:+0000',
  'TZOFFSETTO:+0000',
  'END:STANDARD',
  'END:VTIMEZONE',
].join('\r\n');

/**
 * A calendar file (RFC 5545) of whole days. It names no METHOD: it is a calendar to look at, not an invitation.
 *
 * An empty one holds a time zone and nothing else, because a calendar has at least one component (section 3.6).
 *
 * @param freshHours  readers are asked to look again after so long (RFC 7986, section 5.7)
 */
export function calendarFile(
  {
    name,
    open,
    freshHours,
  }: { name: string /** public, or for one person */; open: boolean; freshHours: number },
  entries: readonly CalendarEntry[],
): string {
  const calendar: ICalCalendar = ical({
    name: cleanText(name),
    prodId: { company: 'Farwright', product: 'Calendar', language: 'EN' },
    ttl: freshHours * 3600,
  });
  for (const entry of entries) {
    calendar.createEvent({
      id: entry.uuid,
      start: entry.fromOn,
      // The end is the first day that is not in it any more (section 3.6.1).
      end: addDays(entry.untilOn, 1),
      allDay: true,
      summary: cleanText(entry.title),
      ...(entry.description ? { description: cleanText(entry.description) } : {}),
      ...(entry.place ? { location: cleanText(entry.place) } : {}),
      ...(entry.href ? { url: entry.href } : {}),
      stamp: entry.changedAt,
      lastModified: entry.changedAt,
      sequence: entry.changes,
      status: entry.calledOff ? ICalEventStatus.CANCELLED : ICalEventStatus.CONFIRMED,
      transparency:
        entry.takesTime && !entry.calledOff
          ? ICalEventTransparency.OPAQUE
          : ICalEventTransparency.TRANSPARENT,
      class: open ? ICalEventClass.PUBLIC : ICalEventClass.PRIVATE,
      categories: [{ name: entry.kind }],
    });
  }
  const text = calendar.toString();
  const whole = entries.length ? text : text.replace(/END:VCALENDAR$/, `${EMPTY_ZONE}\r\nEND:VCALENDAR`);
  return whole.endsWith('\r\n') ? whole : `${whole}\r\n`;
}
