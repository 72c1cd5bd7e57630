import ICAL from 'ical.js';

export interface ReadEvent {
  uid: string;
  title: string;
  description: string;
  place: string | null;
  href: string | null;
  /** whole days; the end is the first day after it */
  from: string;
  end: string;
  isDate: boolean;
  status: string | null;
  sequence: number;
  stamp: string;
  transparency: string | null;
}

/** The events of a calendar as an independent reader finds them. */
export function readCalendar(text: string): { name: string; events: ReadEvent[] } {
  const calendar = new ICAL.Component(ICAL.parse(text));
  return {
    name: String(calendar.getFirstPropertyValue('x-wr-calname')),
    events: calendar.getAllSubcomponents('vevent').map((component) => {
      const event = new ICAL.Event(component);
      const text = (name: string) => {
        const value = component.getFirstPropertyValue(name);
        return value === null ? null : String(value);
      };
      return {
        uid: event.uid,
        title: event.summary,
        description: event.description ?? '',
        place: event.location ?? null,
        href: text('url'),
        from: event.startDate.toString(),
        end: event.endDate.toString(),
        isDate: event.startDate.isDate && event.endDate.isDate,
        status: text('status'),
        sequence: event.sequence,
        stamp: text('dtstamp') ?? '',
        transparency: text('transp'),
      };
    }),
  };
}

/**
 * What of RFC 5545 a file does not keep, each with its section (numbers and rules from memory), beside what the reader above
 * finds by reading it: nothing when it is valid.
 */
export function calendarFaults(text: string): string[] {
  const faults = new Set<string>();
  const must = (holds: boolean, rule: string) => {
    if (!holds) faults.add(rule);
  };
  must(text.endsWith('\r\n') && !/(?<!\r)\n|\r(?!\n)/.test(text), '3.1: lines end in CR LF');
  for (const line of text.split('\r\n')) {
    must(Buffer.byteLength(line) <= 75, '3.1: a line is no longer than 75 octets');
    must(Buffer.from(line, 'utf8').toString('utf8') === line, '3.1: folding leaves characters whole');
  }
  const lines = text
    .replace(/\r\n[ \t]/g, '')
    .split('\r\n')
    .slice(0, -1);
  // CONTROL: all but the tab, as section 3.1 defines it.
  must(!lines.some((line) => /[\u0000-\u0008\u000a-\u001f\u007f]/.test(line)), '3.1: no control characters');
  must(lines[0] === 'BEGIN:VCALENDAR' && lines.at(-1) === 'END:VCALENDAR', '3.4: one calendar object');
  const named = (of: readonly string[], name: string) =>
    of.filter((line) => new RegExp(`^${name}[;:]`).test(line));
  const components: { name: string; lines: string[] }[] = [];
  const head: string[] = [];
  const open: string[] = [];
  for (const line of lines.slice(1, -1)) {
    const begun = /^BEGIN:(.+)$/.exec(line)?.[1];
    const ended = /^END:(.+)$/.exec(line)?.[1];
    if (begun) {
      if (open.length === 0) components.push({ name: begun, lines: [] });
      open.push(begun);
    } else if (ended) must(open.pop() === ended, '3.6: components nest');
    else if (open.length === 0) {
      must(components.length === 0, '3.6: the properties of the calendar come before its components');
      head.push(line);
    } else components.at(-1)!.lines.push(line);
  }
  must(components.length > 0, '3.6: a calendar has at least one component');
  for (const name of ['PRODID', 'VERSION']) must(named(head, name).length === 1, `3.6: exactly one ${name}`);
  must(head.includes('VERSION:2.0'), '3.7.4: the version is 2.0');
  must(named(head, 'METHOD').length === 0, '3.7.2: nothing is asked of the reader');
  const uids: string[] = [];
  for (const { name, lines: of } of components) {
    if (name !== 'VEVENT') continue;
    for (const required of ['UID', 'DTSTAMP', 'DTSTART'])
      must(named(of, required).length === 1, `3.6.1: exactly one ${required}`);
    for (const single of [
      'SUMMARY',
      'LOCATION',
      'URL',
      'STATUS',
      'SEQUENCE',
      'LAST-MODIFIED',
      'DTEND',
      'CLASS',
      'TRANSP',
    ])
      must(named(of, single).length <= 1, `3.6.1: at most one ${single}`);
    for (const stamp of ['DTSTAMP', 'LAST-MODIFIED'])
      must(
        named(of, stamp).every((line) => /:\d{8}T\d{6}Z$/.test(line)),
        `3.8.7: ${stamp} is in UTC`,
      );
    const [start] = named(of, 'DTSTART');
    const [end] = named(of, 'DTEND');
    must(/^DTSTART;VALUE=DATE:\d{8}$/.test(start ?? ''), '3.3.4: a whole day is a DATE');
    must(/^DTEND;VALUE=DATE:\d{8}$/.test(end ?? ''), '3.8.2.2: the end is of the type of the start');
    must((start ?? '').slice(-8) < (end ?? '').slice(-8), '3.8.2.2: the end comes after the start');
    must(
      named(of, 'STATUS').every((line) => /:(TENTATIVE|CONFIRMED|CANCELLED)$/.test(line)),
      '3.8.1.11: the status',
    );
    must(
      named(of, 'SEQUENCE').every((line) => /:\d+$/.test(line)),
      '3.8.7.4: a sequence is a whole number',
    );
    for (const line of [...named(of, 'SUMMARY'), ...named(of, 'DESCRIPTION'), ...named(of, 'LOCATION')]) {
      const value = line.slice(line.indexOf(':') + 1);
      must(!/(?<!\\)(\\\\)*[;,]/.test(value), '3.3.11: commas and semicolons are escaped');
      must(!/(?<!\\)(\\\\)*\\[^\\;,nN]/.test(value), '3.3.11: a backslash escapes something');
    }
    uids.push(...named(of, 'UID'));
  }
  must(new Set(uids).size === uids.length, '3.8.4.7: each component has an identifier of its own');
  return [...faults];
}
