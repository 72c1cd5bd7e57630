import type { LogRow } from '../../src/log/index.ts';

let lastId = 0;

/** A row of the log with good defaults: person 3 and two gears of job 7. */
export function row(kind: string, fields: Partial<LogRow> = {}): LogRow {
  lastId += 1;
  return {
    id: lastId,
    at: '2026-03-03T08:00:00.000+00:00',
    kind,
    personId: 3,
    who: 'Imre Kovacs',
    partId: 1,
    partNumber: 'TB-0001',
    partName: 'Gear',
    partUnit: 'piece',
    jobId: 7,
    jobTitle: 'Gear, 48 teeth',
    jobKind: 'fabricate',
    aboutId: null,
    about: null,
    thingType: null,
    thingId: null,
    milli: 2000,
    before: null,
    after: null,
    ...fields,
  };
}

export const json = JSON.stringify;
