import { describe, expect, it } from 'vitest';
import { calendarName, readCalendarName } from '../../src/feeds/calendar-address.ts';
import {
  claimEntries,
  decisionEntry,
  type EntryMaker,
  type GatheringToTell,
  gatheringEntry,
  isTold,
  neededEntry,
  trialEntry,
} from '../../src/feeds/calendar-entries.ts';
import { type CalendarEntry, calendarFile } from '../../src/feeds/calendar-file.ts';
import { stableUuid } from '../../src/feeds/stable-id.ts';
import type { ClaimFacts } from '../../src/jobs/index.ts';
import { addDays, dayOf } from '../../src/platform/day.ts';
import { calendarFaults, readCalendar } from './calendar-rules.ts';

const since = new Date('2026-01-05T09:00:00Z');
const make: EntryMaker = {
  uuidOf: (name) => stableUuid(since, name),
  baseUrl: 'https://orrery.example',
  computedAt: new Date('2026-03-02T08:00:00Z'),
  computedChanges: 7,
};
const head = { name: 'Orrery', open: false, freshHours: 4 };
const entry = (fields: Partial<CalendarEntry> = {}): CalendarEntry => ({
  uuid: stableUuid(since, 'one'),
  kind: 'gatherings',
  title: 'Spring fit-up',
  fromOn: '2026-03-14',
  untilOn: '2026-03-16',
  description: '',
  place: '',
  href: '',
  calledOff: false,
  takesTime: true,
  changedAt: new Date('2026-03-02T08:00:00Z'),
  changes: 0,
  ...fields,
});

describe('calendarFile', () => {
  it('keeps RFC 5545, empty or not, and is read back by another reader', () => {
    const empty = calendarFile(head, []);
    expect(calendarFaults(empty)).toEqual([]);
    expect(readCalendar(empty)).toEqual({ name: 'Orrery', events: [] });
    const text = calendarFile(head, [
      entry({ place: 'The dairy, Fjord road 3', href: 'https://orrery.example/g/1', changes: 2 }),
    ]);
    expect(calendarFaults(text)).toEqual([]);
    expect(readCalendar(text).events).toEqual([
      {
        uid: stableUuid(since, 'one'),
        title: 'Spring fit-up',
        description: '',
        place: 'The dairy, Fjord road 3',
        href: 'https://orrery.example/g/1',
        from: '2026-03-14',
        end: '2026-03-17',
        isDate: true,
        status: 'CONFIRMED',
        sequence: 2,
        stamp: '2026-03-02T08:00:00Z',
        transparency: 'OPAQUE',
      },
    ]);
  });

  it('is checked by rules that find what is broken', () => {
    const text = calendarFile(head, [entry({ title: 'a, b' })]);
    const broken: [string, string, RegExp][] = [
      ['\r\n', '\n', /^3\.1: lines end/m],
      ['VERSION:2.0', 'VERSION:1.0', /3\.7\.4/],
      ['DTEND;VALUE=DATE:20260317', 'DTEND;VALUE=DATE:20260314', /3\.8\.2\.2: the end comes after/],
      ['DTSTART;VALUE=DATE:', 'DTSTART:', /3\.3\.4/],
      ['\\,', ',', /3\.3\.11: commas/],
      [`UID:${stableUuid(since, 'one')}\r\n`, '', /3\.6\.1: exactly one UID/],
      ['SUMMARY:', `SUMMARY:${'x'.repeat(80)}`, /75 octets/],
      ['END:VEVENT', 'END:VTODO', /3\.6: components nest/],
      ['SUMMARY:', 'SUMMARY:\u0007', /control characters/],
    ];
    for (const [part, instead, rule] of broken) {
      expect(text).toContain(part);
      expect(calendarFaults(text.replaceAll(part, instead)).join('\n')).toMatch(rule);
    }
    expect(calendarFaults('BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nEND:VCALENDAR\r\n')).toEqual([
      '3.6: a calendar has at least one component',
    ]);
  });

  it('folds and escapes any text so that it comes back whole', () => {
    const pieces = [
      'ü',
      '😀',
      ',',
      ';',
      '\\',
      '"',
      ':',
      'é'.repeat(40),
      ' ',
      '漢字',
      '\\n',
      'Räder; „groß“, \\ schwer',
    ];
    for (let length = 1; length < 130; length += 1) {
      const title = Array.from({ length }, (_, n) => pieces[(n * 7 + length) % pieces.length]).join('');
      const text = calendarFile({ ...head, name: title }, [
        entry({ title, description: `${title}\n${title}`, place: title }),
      ]);
      expect(calendarFaults(text)).toEqual([]);
      const [event] = readCalendar(text).events;
      expect(event).toMatchObject({ title, description: `${title}\n${title}`, place: title });
    }
    const [event] = readCalendar(calendarFile(head, [entry({ title: 'a\u0000b\u0007c\r\nd\ud800' })])).events;
    expect(event?.title).toBe('abc\nd\ufffd');
  });

  it('gives each day of sixty years as it is, leap days and years’ ends too, in whatever zone the server is', () => {
    const zone = process.env.TZ;
    try {
      for (const at of ['Pacific/Kiritimati', 'Pacific/Pago_Pago', 'Europe/Oslo']) {
        process.env.TZ = at;
        for (let number = 19_000; number < 41_000; number += 97) {
          const day = dayOf(number);
          const text = calendarFile(head, [entry({ fromOn: day, untilOn: day })]);
          const [event] = readCalendar(text).events;
          expect([event?.from, event?.end]).toEqual([day, addDays(day, 1)]);
        }
      }
    } finally {
      process.env.TZ = zone;
    }
  });

  it('says that something is called off, and leaves its days free', () => {
    const [event] = readCalendar(calendarFile(head, [entry({ calledOff: true })])).events;
    expect(event).toMatchObject({ status: 'CANCELLED', transparency: 'TRANSPARENT' });
  });
});

const gathering: GatheringToTell = {
  id: 3,
  title: 'Spring fit-up',
  fromOn: '2026-03-14',
  untilOn: '2026-03-16',
  place: 'The dairy',
  beginsAt: '09:00',
  droppedAt: null,
  changedAt: since,
  changes: 1,
};

describe('gatheringEntry', () => {
  it('tells everyone title and days, and the place to those who come', () => {
    const open = gatheringEntry(gathering, { open: true }, make);
    expect(JSON.stringify(open)).not.toMatch(/dairy|begins at/);
    expect(open).toMatchObject({
      title: 'Spring fit-up',
      fromOn: '2026-03-14',
      untilOn: '2026-03-16',
      place: '',
    });
    const there = { fromOn: '2026-03-15', untilOn: '2026-03-16' };
    const own = gatheringEntry(gathering, { open: false, there }, make);
    expect(own).toMatchObject({
      fromOn: '2026-03-15',
      untilOn: '2026-03-16',
      place: 'The dairy',
      uuid: open.uuid,
    });
    const off = gatheringEntry({ ...gathering, droppedAt: since }, { open: false, there: null }, make);
    expect(off).toMatchObject({ title: 'Called off: Spring fit-up', calledOff: true, place: '' });
  });

  it('stays for a year after it is over, and thirty days when it was called off', () => {
    const told = (today: string, droppedAt: Date | null = null) =>
      isTold({ untilOn: '2026-03-16', droppedAt }, today);
    expect([told('2026-03-10'), told('2027-03-16'), told('2027-03-17')]).toEqual([true, true, false]);
    expect([told('2026-04-15', since), told('2026-04-16', since)]).toEqual([true, false]);
  });
});

describe('claimEntries', () => {
  const claim: ClaimFacts = {
    id: 9,
    jobId: 12,
    personId: 3,
    revisionId: 1,
    milli: 4000,
    backMilli: 0,
    doneMilli: 2000,
    travellingMilli: 1000,
    arrivedMilli: 0,
    shortMilli: 0,
    acceptedMilli: 0,
    rejectedMilli: 0,
    soonestDays: 5,
    likelyDays: 10,
    latestDays: 20,
    claimedAt: '2026-03-02T08:00:00.000Z',
    startedAt: null,
    lastWordAt: '2026-03-02T08:00:00.000Z',
    lastSentAt: null,
    lastArrivedAt: null,
  };
  const job = { id: 12, title: 'Planet gear' };
  const of = (fields: Partial<ClaimFacts>, needByOn: string | null = '2026-03-30') =>
    claimEntries(
      job,
      { ...claim, ...fields },
      { quantity: '3 pieces', claimedOn: '2026-03-02', needByOn },
      make,
    );

  it('tells the likely and the latest day, and the day it is needed by', () => {
    expect(of({}).map(({ title, fromOn, takesTime }) => [title, fromOn, takesTime])).toEqual([
      ['Likely to post: Planet gear', '2026-03-12', false],
      ['Latest to post: Planet gear', '2026-03-22', false],
      ['Needed in the post: Planet gear', '2026-03-30', false],
    ]);
    expect(of({})[0]?.description).toBe('The likely day of your promise. Still to post: 3 pieces. Job 12.');
    expect(of({ latestDays: 10 }, null)).toHaveLength(1);
  });

  it('tells nothing once all is posted or handed back', () => {
    expect(of({ doneMilli: 4000, travellingMilli: 3000, arrivedMilli: 1000 })).toEqual([]);
    expect(of({ backMilli: 4000, doneMilli: 0, travellingMilli: 0 })).toEqual([]);
  });
});

describe('entries of jobs, decisions and trials', () => {
  it('stand on the day they press, with where they lead', () => {
    const job = { id: 4, title: 'Hang the arms', kind: 'fit-up' as const };
    expect(neededEntry(job, { needByOn: '2026-04-01', critical: true }, make)[0]).toMatchObject({
      title: 'Needed done: Hang the arms',
      fromOn: '2026-04-01',
      href: 'https://orrery.example/jobs/4',
      description: 'Job 4. Later than this, the finish moves. It drives the finish.',
      changes: 7,
    });
    expect(neededEntry(job, { needByOn: null, critical: false }, make)).toEqual([]);
    expect(neededEntry(job, null, make)).toEqual([]);
    const decision = {
      id: 5,
      question: 'Oil or grease?',
      byOn: '2026-03-20',
      because: 'Job 4 can begin then',
    };
    expect(decisionEntry(decision, make)[0]).toMatchObject({
      title: 'To decide: Oil or grease?',
      fromOn: '2026-03-20',
    });
    expect(decisionEntry({ ...decision, byOn: null }, make)).toEqual([]);
    expect(
      trialEntry({ id: 6, title: 'Noise', measured: 'level', plannedOn: '2026-03-21' }, make),
    ).toMatchObject({
      title: 'Trial: Noise',
      description: 'Measured: level.',
      takesTime: true,
    });
  });
});

describe('calendarName', () => {
  const turns = new Map([
    [3, 0],
    [4, 2],
  ]);
  const read = (name: string, secret = 'key') =>
    readCalendarName(name, secret, (id) => turns.get(id) ?? null);

  it('opens for its person at their present turn only', () => {
    const name = calendarName({ personId: 3, turn: 0 }, 'key');
    expect(name).toMatch(/^3-[0-9a-f]{32}$/);
    expect(read(name)).toBe(3);
    expect(read(name, 'other key')).toBeNull();
    expect(read(calendarName({ personId: 4, turn: 2 }, 'key'))).toBe(4);
    expect(read(calendarName({ personId: 4, turn: 1 }, 'key'))).toBeNull();
    expect(read(calendarName({ personId: 5, turn: 0 }, 'key'))).toBeNull();
    expect(read(calendarName({ personId: 5, turn: -1 }, 'key'))).toBeNull();
    for (const bad of [
      '',
      '3',
      '3-',
      name.replace(/^3/, '4'),
      name.replace(/^3/, '03'),
      `${name}0`,
      name.toUpperCase().replace(/[A-F]/g, 'z'),
    ])
      expect(read(bad), bad).toBeNull();
  });
});
