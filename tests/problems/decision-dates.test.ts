import { describe, expect, it } from 'vitest';
import { byDate, daysLeftWords, decisionDate, type Waiting } from '../../src/problems/decision-dates.ts';
import { mayDecide } from '../../src/problems/decision-rules.ts';
import { waitingPart } from '../../src/problems/decision-waiting.ts';
import { job as aJob, claim } from '../schedule/derive-facts.ts';

const waiting: Waiting = {
  name: 'Job 7, Moon arm',
  over: false,
  begun: false,
  startOn: '2026-03-09',
  lateStartOn: '2026-03-12',
};
const gathering = { title: 'Spring fit-up', fromOn: '2026-03-14', untilOn: '2026-03-15', off: false };
const today = '2026-03-02';

describe('decisionDate', () => {
  it('is the latest day on which what waits may begin, with the earliest beside it', () => {
    expect(decisionDate({ waiting, gathering: null }, today)).toEqual({
      byOn: '2026-03-12',
      daysLeft: 10,
      usefulOn: '2026-03-09',
      because: 'Job 7, Moon arm, can begin on 9 Mar and must begin by 12 Mar, or the finish moves',
      warning: null,
    });
    const critical = { ...waiting, startOn: waiting.lateStartOn };
    expect(decisionDate({ waiting: critical, gathering: null }, today).because).toBe(
      'Job 7, Moon arm, can begin then and drives the finish',
    );
  });

  it('warns of a gathering that comes too late, is over or is called off', () => {
    const warning = (of: object) =>
      decisionDate({ waiting, gathering: { ...gathering, ...of } }, today).warning;
    expect(warning({})).toBe('Spring fit-up begins on 14 Mar, 2 days after that: the finish would move.');
    // A gathering between the earliest and the latest start costs nothing.
    expect(warning({ fromOn: '2026-03-12' })).toBeNull();
    expect(warning({ fromOn: '2026-03-13' })).toContain('1 day after that');
    expect(warning({ off: true })).toContain('called off');
    expect(warning({ fromOn: '2026-02-14', untilOn: '2026-02-15' })).toContain('is over');
  });

  it('follows the gathering where nothing waits, and has no day where nothing is named', () => {
    expect(decisionDate({ waiting: null, gathering }, today)).toMatchObject({
      byOn: '2026-03-15',
      daysLeft: 13,
      usefulOn: null,
    });
    expect(decisionDate({ waiting: { ...waiting, over: true }, gathering }, today)).toMatchObject({
      byOn: '2026-03-15',
    });
    expect(decisionDate({ waiting: null, gathering: { ...gathering, off: true } }, today)).toMatchObject({
      byOn: null,
      daysLeft: null,
      because: 'Nothing is named that waits for it',
    });
    expect(decisionDate({ waiting: { ...waiting, over: true }, gathering: null }, today).because).toBe(
      'Job 7, Moon arm, is over: nothing waits for it any more',
    );
    expect(
      decisionDate({ waiting: { ...waiting, lateStartOn: null }, gathering: null }, today),
    ).toMatchObject({
      byOn: null,
      because: 'Job 7, Moon arm, waits for it; the schedule can’t date that yet',
    });
    expect(decisionDate({ waiting: { ...waiting, begun: true }, gathering: null }, today)).toMatchObject({
      byOn: today,
      daysLeft: 0,
      because: 'Job 7, Moon arm, has begun without it',
    });
  });

  it('is said in words, and puts the nearest first', () => {
    expect([null, 0, 1, 12, -3].map(daysLeftWords)).toEqual([
      'no date',
      'today',
      '1 day',
      '12 days',
      '3 days past',
    ]);
    const rows = [
      { id: 1, byOn: null },
      { id: 2, byOn: '2026-04-01' },
      { id: 3, byOn: '2026-03-01' },
      { id: 4, byOn: null },
    ];
    expect(rows.sort(byDate).map(({ id }) => id)).toEqual([3, 2, 1, 4]);
  });
});

describe('waitingPart', () => {
  const part = { id: 5, number: 'TB-0005', name: 'Moon arm' };
  const time = (startOn: string, lateStartOn: string) => ({
    startOn,
    lateStartOn,
    likelyOn: null,
    needByOn: null,
    floatDays: 1,
    critical: false,
    ready: true,
  });

  it('takes of all the work on a part what must begin first, with a job or without', () => {
    const jobs = [
      aJob(1, { kind: 'fabricate' }),
      aJob(2, { kind: 'design' }),
      aJob(3, { kind: 'design', finishedAt: '2026-03-01T08:00:00.000Z' }),
      aJob(4, { kind: 'trial' }),
    ];
    const times = {
      of: (id: number) =>
        [
          null,
          time('2026-04-01', '2026-04-09'),
          time('2026-03-03', '2026-03-20'),
          null,
          time('2026-03-02', '2026-03-03'),
        ][id] ?? null,
      ofPart: () => null,
    };
    const facts = { one: () => null, ofPart: () => jobs };
    expect(waitingPart(part, { facts, times })).toEqual({
      name: 'The work on TB-0005, Moon arm',
      over: false,
      begun: false,
      startOn: '2026-03-03',
      lateStartOn: '2026-03-20',
    });
    const without = { startOn: '2026-03-04', lateStartOn: '2026-03-10', floatDays: 4 };
    expect(waitingPart(part, { facts, times: { ...times, ofPart: () => without } })).toMatchObject({
      startOn: '2026-03-04',
      lateStartOn: '2026-03-10',
    });
  });

  it('has begun when any of its jobs has, and is over when nothing is left', () => {
    const begun = [aJob(1, { claims: [claim(9, { jobId: 1, startedAt: '2026-03-01T08:00:00.000Z' })] })];
    const none = { of: () => null, ofPart: () => null };
    expect(waitingPart(part, { facts: { one: () => null, ofPart: () => begun }, times: none })).toMatchObject(
      {
        name: 'Job 1, Job 1',
        begun: true,
        over: false,
      },
    );
    const over = [aJob(1, { droppedAt: '2026-03-01T08:00:00.000Z' })];
    expect(waitingPart(part, { facts: { one: () => null, ofPart: () => over }, times: none })).toMatchObject({
      over: true,
      lateStartOn: null,
    });
  });
});

describe('mayDecide', () => {
  const open = { answer: '', decidedAt: null, droppedAt: null, deciderId: 2 };
  const code = (decision: object, role: 'lead' | 'crew', personId: number) =>
    mayDecide({ ...open, ...decision }, { role, personId })?.code ?? null;

  it('lets who is named decide, and the lead, and nobody else', () => {
    expect(code({}, 'crew', 2)).toBeNull();
    expect(code({}, 'lead', 1)).toBeNull();
    expect(code({}, 'crew', 6)).toBe('not-yours-to-decide');
    expect(code({ deciderId: null }, 'crew', 2)).toBe('not-yours-to-decide');
    expect(code({ deciderId: null }, 'lead', 1)).toBeNull();
    expect(code({ decidedAt: new Date() }, 'lead', 1)).toBe('decided-already');
    expect(code({ droppedAt: new Date() }, 'crew', 2)).toBe('decision-dropped');
  });
});
