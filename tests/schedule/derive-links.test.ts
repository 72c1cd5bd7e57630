import { describe, expect, it } from 'vitest';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { chainKeys, claim, facts, type Given, job, part, step } from './derive-facts.ts';

describe('deriveNetwork: links by hand', () => {
  const two = [job(1, { kind: 'other', days: 5 }), job(2, { kind: 'other', days: 3 })];
  const linked = (type: 'FS' | 'SS' | 'FF' | 'SF', lag: number, jobs = two) =>
    scheduleOf(facts({ jobs, links: [{ fromId: 1, toId: 2, type, lag }] }));

  it('holds the four types with their lags', () => {
    expect(step(linked('FS', 0), 'job-2').earlyStart).toBe('2026-03-09');
    expect(step(linked('FS', 2), 'job-2').earlyStart).toBe('2026-03-11');
    expect(step(linked('FS', -2), 'job-2').earlyStart).toBe('2026-03-05');
    expect(step(linked('SS', 2), 'job-2').earlyStart).toBe('2026-03-04');
    expect(step(linked('FF', 2), 'job-2').earlyEnd).toBe('2026-03-10');
    expect(step(linked('SF', 8), 'job-2').earlyEnd).toBe('2026-03-11');
  });

  it('keeps the lag that still runs after a job that is done, and holds nothing that has begun', () => {
    const done = [{ ...two[0]!, finishedAt: '2026-03-02T08:00:00Z' }, two[1]!];
    expect(step(linked('FS', 3, done), 'job-2').earlyStart).toBe('2026-03-06');
    expect(step(linked('FS', 0, done), 'job-2').earlyStart).toBe('2026-03-03');
    const begun = [two[0]!, { ...two[1]!, startedAt: '2026-03-02T07:00:00Z' }];
    expect(step(linked('FS', 0, begun), 'job-2').earlyStart).toBe('2026-03-02');
  });

  it('waits for all branches of a fabrication job', () => {
    const given: Given = {
      parts: [part(2)],
      released: [2],
      jobs: [
        job(1, {
          partId: 2,
          milli: 3000,
          offeredAt: '2026-03-02T08:00:00Z',
          claims: [claim(1, { milli: 2000, likelyDays: 50 })],
        }),
        job(2, { kind: 'other' }),
      ],
      links: [{ fromId: 1, toId: 2, type: 'FS', lag: 0 }],
    };
    const schedule = scheduleOf(facts(given));
    expect(step(schedule, 'job-2').earlyStart > step(schedule, 'claim-1-inspect').earlyEnd).toBe(true);
    expect(chainKeys(schedule, 'job-2')).toContain('job-1-end');
  });

  it('leaves out a link that closes a circle, says so, and still dates the rest', () => {
    const schedule = scheduleOf(
      facts({
        jobs: two,
        links: [
          { fromId: 1, toId: 2, type: 'FS', lag: 0 },
          { fromId: 2, toId: 1, type: 'SS', lag: 0 },
        ],
      }),
    );
    expect(schedule.leftOut.length).toBeGreaterThan(0);
    expect(schedule.leftOut[0]).toMatch(/^The link from job \d to job \d is left out: it closes a circle/);
    expect(schedule.finishOn).not.toBeNull();
  });
});
