import { describe, expect, it } from 'vitest';
import type { LogRow } from '../../src/log/index.ts';
import { factGroups } from '../../src/schedule/finish-moved-groups.ts';
import { factWords, movedBy } from '../../src/schedule/finish-moved-words.ts';

let lastId = 0;

/** A row of the log about job 7, four Moon gears; made by the lead, for nobody, unless said otherwise. */
function row(kind: string, over: Partial<LogRow> & { was?: object; is?: object } = {}): LogRow {
  const { was, is, ...rest } = over;
  lastId += 1;
  return {
    id: lastId,
    at: `2026-03-02T08:00:${String(lastId % 60).padStart(2, '0')}.000Z`,
    kind,
    personId: 1,
    who: 'Lead',
    partId: 5,
    partNumber: 'TB-0005',
    partName: 'Moon gear',
    partUnit: 'piece',
    jobId: 7,
    jobTitle: 'Moon gear',
    jobKind: 'fabricate',
    aboutId: null,
    about: null,
    thingType: 'claim',
    thingId: 30,
    milli: null,
    before: was ? JSON.stringify(was) : null,
    after: is ? JSON.stringify(is) : null,
    ...rest,
  };
}

const said = (rows: LogRow[], days: number) =>
  factWords(rows, days)
    .map((word) => (typeof word === 'string' ? word : `<${word.person}>`))
    .join('');

const claim = { claimId: 30 };
const posted = (over: Partial<LogRow> = {}) =>
  row('post-parcel', { milli: 4000, personId: 3, thingType: 'parcel', thingId: 9, is: claim, ...over });
const arrived = (over: Partial<LogRow> = {}) =>
  row('receive-parcel', { milli: 4000, aboutId: 3, thingType: 'parcel', thingId: 9, is: claim, ...over });
const inspected = (milli: number, disposition: string, more: object = {}) =>
  row('inspect-units', {
    milli,
    aboutId: 3,
    thingType: 'check',
    thingId: 50 + lastId,
    is: { ...claim, disposition, ...more },
  });
const finished = (milli: number) =>
  row('report-work', {
    milli,
    personId: 3,
    thingType: 'report',
    thingId: 2,
    is: { ...claim, doneMilli: milli },
  });

describe('factWords', () => {
  it('says the furthest that units came to, and whose they are', () => {
    const all = [finished(4000), posted(), arrived()];
    expect(said(all, -3)).toBe('Moon gear: 4 pieces arrived, from <3>; 3 days sooner.');
    expect(said([finished(4000)], -1)).toBe('Moon gear: 4 pieces finished, by <3>; 1 day sooner.');
    expect(said([finished(4000), posted({ milli: 2000 })], 2)).toBe(
      'Moon gear: 2 pieces posted, 4 pieces finished, by <3>; 2 days later.',
    );
  });

  it('adds up what was accepted, by drawing or by concession, apart from what was not', () => {
    const rows = [
      arrived(),
      inspected(1000, 'accept'),
      inspected(2000, 'concession'),
      inspected(1000, 'scrap'),
    ];
    expect(said(rows, 7)).toBe(
      'Moon gear: 3 pieces accepted, 1 piece to be made good, from <3>; 7 days later.',
    );
  });

  it('says a renewed promise by how far it moved, an estimate by both', () => {
    const promise = (likelyDays: number) => ({ soonestDays: 1, likelyDays, latestDays: 90 });
    const renewed = row('renew-promise', { personId: 3, was: promise(10), is: promise(31) });
    expect(said([renewed], 20)).toBe('Moon gear: promised 21 days later, by <3>; 20 days later.');
    const changed = row('change-job', { was: { days: null }, is: { days: 9 } });
    expect(said([changed], 1)).toBe('Moon gear: working days not known before, 9 now; 1 day later.');
  });

  it('leaves out what goes without saying, and blames nobody for a job dropped', () => {
    const dropped = [
      row('end-claim', { aboutId: 3, milli: 4000, was: {}, is: {} }),
      row('drop-job', { thingType: null, thingId: null, is: { reason: 'bought' } }),
    ];
    expect(said(dropped, -2)).toBe('Moon gear: dropped; 2 days sooner.');
    const released = ['start-revision', 'add-document', 'release-revision'].map((kind) =>
      row(kind, { jobId: null, jobTitle: null, is: { letter: 'B' } }),
    );
    expect(said(released, 4)).toBe('Moon gear: revision B released; 4 days later.');
  });

  it('tells days away without whose they are, closures and gatherings by their days', () => {
    const none = { partId: null, partName: null, jobId: null, jobTitle: null };
    const range = { fromOn: '2026-06-05', untilOn: '2026-06-09' };
    expect(said([row('add-away', { ...none, aboutId: 3, is: range })], 3)).toBe(
      'Days away noted: 3 days later.',
    );
    expect(said([row('add-closure', { ...none, is: { ...range, name: 'Oiling' } })], 3)).toBe(
      'Closed 5 Jun 2026 to 9 Jun 2026, Oiling: 3 days later.',
    );
    const moved = (is: object) => row('change-gathering', { ...none, is: { title: 'Spring', ...is } });
    expect(said([moved(range)], 6)).toBe('Spring moved to 5 Jun 2026 to 9 Jun 2026: 6 days later.');
    expect(said([moved({ fromOn: '2026-06-05' })], 6)).toBe(
      'Spring moved to begin on 5 Jun 2026: 6 days later.',
    );
    expect(said([moved({ places: 3 })], 1)).toBe('Spring changed: 1 day later.');
    const day = { fromOn: '2026-06-05', untilOn: '2026-06-05' };
    expect(said([row('remove-closure', { ...none, was: day })], -1)).toBe(
      'Not closed 5 Jun 2026 after all: 1 day sooner.',
    );
  });

  it('names a line of the structure by the part that goes in', () => {
    const put = row('add-use', {
      jobId: null,
      jobTitle: null,
      milli: 3000,
      thingType: 'part',
      thingId: 8,
      is: { child: 'TB-0008', parent: 'TB-0005' },
    });
    expect(said([put], 12)).toBe('TB-0008: put into TB-0005; 12 days later.');
  });

  it('has words for every kind that is taken back', () => {
    expect(movedBy(-1)).toBe('1 day sooner');
    for (const kind of [
      'hold-job',
      'resume-job',
      'withdraw-offer',
      'unlink-jobs',
      'move-job-to-revision',
      'set-shelf',
      'count-parcel',
    ]) {
      expect(said([row(kind, { milli: 1000, was: {}, is: {} })], 1), kind).toMatch(
        /^Moon gear: .+; 1 day later\.$/,
      );
    }
  });
});

describe('factGroups', () => {
  const ids = (rows: LogRow[]) => factGroups(rows).map((group) => group.rows.map(({ id }) => id));

  it('keeps a parcel of two claims together, and one claim with all that came of it', () => {
    const other = { jobId: 8, is: { claimId: 31 } };
    const a = finished(4000);
    const b = row('report-work', { ...other, milli: 1000, is: { claimId: 31 } });
    const c = posted();
    const d = posted({ jobId: 8, after: JSON.stringify({ claimId: 31 }) });
    const e = row('hold-job', { jobId: 9, thingType: null, thingId: null });
    expect(ids([a, b, c, d, e])).toEqual([[a.id, b.id, c.id, d.id], [e.id]]);
  });

  it('keeps rejected units with the job that makes them good, and a new job with its claims', () => {
    const a = row('create-job', { jobId: 12, thingType: null, thingId: null, is: { fromJobId: 7 } });
    const b = inspected(1000, 'scrap', { followJobId: 12 });
    const c = row('offer-job', { jobId: 12, thingType: null, thingId: null });
    const d = row('claim-job', { jobId: 12, thingId: 40, milli: 1000, is: {} });
    const e = row('offer-job', { jobId: 13, thingType: null, thingId: null });
    expect(ids([a, b, c, d, e])).toEqual([[a.id, b.id, c.id, d.id], [e.id]]);
  });

  it('keeps apart what a job’s claims and the job itself went through, and leaves out what moves no date', () => {
    const a = row('change-job', { thingType: null, thingId: null, was: { days: 1 }, is: { days: 2 } });
    const b = finished(1000);
    const c = row('ask-query', { thingType: 'query', thingId: 1 });
    const d = row('change-person', { jobId: null, aboutId: 3 });
    expect(ids([a, b, c, d])).toEqual([[a.id], [b.id]]);
  });

  it('gives a group the same key while it grows', () => {
    const a = finished(1000);
    const b = posted({ milli: 1000 });
    expect(factGroups([a, b])[0]!.key).toBe(factGroups([a])[0]!.key);
  });

  it('is quick with twenty thousand acts', () => {
    const rows = Array.from({ length: 20_000 }, (_, at) =>
      row('change-job', { jobId: at % 900, thingType: null, thingId: null, was: {}, is: {} }),
    );
    expect(factGroups(rows)).toHaveLength(900);
  });
});
