import { describe, expect, it } from 'vitest';
import { readBuildWeek, readDraft } from '../../src/bulletin/index.ts';
import type { JobTimes } from '../../src/jobs/index.ts';
import { actKinds } from '../../src/log/sentence.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

const times: JobTimes = { of: () => null, ofPart: () => null, finishOn: () => null };
const WEEK = { from: '2026-03-23', until: '2026-03-29' };

describe('nobody of the week is forgotten', () => {
  it('by a second way over the log: whoever stands in it is thanked, or listed with why not', async () => {
    const app = await startApp();
    const { db } = app.context;
    app.setNow('2026-04-01T08:00:00Z');
    let seed = 11;
    const random = (below: number) => {
      seed = (seed * 1103515245 + 12345) % 2147483648;
      return Math.floor((seed / 2147483648) * below);
    };
    const people = await db.write.person.createManyAndReturn({
      data: Array.from({ length: 40 }, (_, n) => ({
        name: `Helper ${n}`,
        role: 'maker',
        createdAt: new Date(0),
      })),
    });
    const who = () => (random(3) === 0 ? null : people[random(people.length)]!.id);
    // Clocks go forward in Oslo in the night to 29 March 2026: the week is an hour short (UTC+1, then UTC+2).
    const [begin, end] = [Date.parse('2026-03-22T23:00:00Z'), Date.parse('2026-03-29T22:00:00Z')];
    await db.write.act.createMany({
      data: Array.from({ length: 120 }, (_, n) => {
        const inWeek = n % 3 === 0;
        const at = inWeek ? begin + random(end - begin) : begin - 1 - random(5e8);
        return {
          at: new Date(at),
          kind: actKinds[random(actKinds.length)]!,
          personId: who(),
          aboutId: who(),
        };
      }),
    });
    const [first, last, before, after] = people.slice(0, 4).map(({ id }) => id);
    const edges = [
      [begin, first],
      [end - 1, last],
      [begin - 1, before],
      [end, after],
    ] as const;
    await db.write.act.createMany({
      data: edges.map(([at, personId]) => ({ at: new Date(at), kind: 'start-work', personId: personId! })),
    });
    const build = { ...(await readBuildWeek(app.context)), timeZone: 'Europe/Oslo' };
    const { thanks, notThanked } = await readDraft(app.context, { times }, WEEK, build);
    const rows = await db.read.act.findMany({ where: { at: { gte: new Date(begin), lt: new Date(end) } } });
    const there = new Set(
      rows.flatMap(({ personId, aboutId }) => [personId, aboutId]).filter((id) => id !== null),
    );
    const found = [...thanks, ...notThanked].map(({ person }) => person);
    expect(found).toContain(first);
    expect(found).toContain(last);
    expect([...new Set(found)].sort()).toEqual([...there].sort());
    expect(found.length).toBe(there.size);
    for (const { why } of notThanked) expect(why.length).toBeGreaterThan(5);
  });

  it('not even whoever did a job that the lead wrote down as done', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const job = await app.context.db.write.job.create({
      data: {
        kind: 'other',
        title: 'Sweep the shop',
        milli: 1000,
        personId: castId.crew,
        createdAt: app.context.clock.now(),
      },
    });
    await app.context.db.write.act.create({
      data: { at: app.context.clock.now(), kind: 'finish-job', personId: castId.lead, jobId: job.id },
    });
    const { text } = await lead.get('/bulletin/2026-03-08');
    expect(text).toContain('Sweep the shop.');
    expect(text).toContain('Tor Eide, for finishing work');
  });
});

describe('the finish of a week that is over', () => {
  it('is that of its end, which the next week begins with, whatever has moved it since', async () => {
    const app = await startApp();
    const { write } = app.context.db;
    const days = [
      ['2026-03-22', '2026-09-01'],
      ['2026-03-29', '2026-09-05'],
      ['2026-04-01', '2026-09-20'],
    ] as const;
    for (const [day, finishOn] of days) {
      await write.finishRecord.create({ data: { day, finishOn, open: 1, critical: 1, at: new Date(day) } });
    }
    app.setNow('2026-04-01T08:00:00Z');
    const build = await readBuildWeek(app.context);
    const now: JobTimes = { ...times, finishOn: () => '2026-09-20' };
    const over = await readDraft(app.context, { times: now }, WEEK, build);
    expect(over).toMatchObject({ finishOn: '2026-09-05', finishBefore: '2026-09-01' });
    const running = { from: '2026-03-30', until: '2026-04-05' };
    const next = await readDraft(app.context, { times: now }, running, build);
    expect(next).toMatchObject({ finishOn: '2026-09-20', finishBefore: over.finishOn });
  });
});
