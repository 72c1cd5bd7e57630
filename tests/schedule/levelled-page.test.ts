import { describe, expect, it, vi } from 'vitest';
import { finishJob } from '../../src/jobs/index.ts';
import { Workers } from '../../src/platform/workers.ts';
import { comeToGathering, leaveGathering } from '../../src/problems/index.ts';
import { type ScheduleService, scheduleOf } from '../../src/schedule/index.ts';
import { LevelledService } from '../../src/schedule/levelled-service.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';
import { aGathering } from '../support/problems.ts';
import { facts, job } from './derive-facts.ts';

const page = async (app: TestApp) => {
  const { status, text } = await (await app.as('lead')).get('/schedule/levelled');
  expect(status).toBe(200);
  return text;
};
const words = (text: string) =>
  text
    .replace(/<svg.*?<\/svg>/gs, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('GET /schedule/levelled', () => {
  it('is for lead and crew', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/levelled')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/levelled')).status).toBe(403);
    expect((await (await app.as('crew')).get('/schedule/levelled')).status).toBe(200);
  });

  it('says where to begin in an empty build, and when nothing is left', async () => {
    const app = await startApp();
    expect(await page(app)).toContain('Nothing to schedule yet');
    const jobId = await anotherJob(app);
    await asPerson(app, 'lead', (act) => finishJob(act, { jobId, result: '', ready: true, atBench: false }));
    expect(await page(app)).toContain('Nothing is left to do');
  });

  it('is a page with one job only', async () => {
    const app = await startApp();
    const id = await anotherJob(app, { title: 'Build a crate', days: 3, hours: 2 });
    const text = await page(app);
    expect(words(text)).toContain('Hours, spots and places leave the finish where it is');
    expect(words(text)).toContain('Nothing: whoever and whatever is needed is free when its turn comes.');
    expect(text).toContain(`<a href="/schedule/nodes/job-${id}">Build a crate</a>`);
    expect(words(text)).toMatch(/Week of 2 Mar 2 h of \d+ h Build a crate job 1 2 Mar to 4 Mar, 2 h/);
    expect(words(text)).toContain('No two jobs need the same spot. ');
  });

  it('tells what is lost to whose hours, week by week, and draws it on dates', async () => {
    const app = await startApp();
    const draw = { kind: 'design', hours: 10, personId: castId.lead } as const;
    await anotherJob(app, { ...draw, title: 'Draw the frame' });
    await anotherJob(app, { ...draw, title: 'Draw the lid' });
    const text = await page(app);
    expect(words(text)).toMatch(/Levelled 13 Mar .* Without limits 6 Mar .* Lost 7 days/);
    expect(words(text)).toMatch(/To hours of people 7 days .* To spots at the machine nothing/);
    expect(words(text)).toMatch(/Draw the lid job \d waits 7 days for \S+(?: \S+)*’s hours 9 Mar 13 Mar/);
    expect(words(text)).toMatch(
      /Week of 2 Mar 10 h of 10 h Draw the frame .* Week of 9 Mar 10 h of 10 h Draw the lid/,
    );
    expect(text.match(/class="bar-plan"/g)!.length).toBe(3); // two steps and the key
  });

  it('tells the order in a spot, and who is where at a gathering', async () => {
    const app = await startApp();
    const gatheringId = await aGathering(app, { title: 'Spring meeting', places: 1 });
    await anotherJob(app, {
      title: 'Wire the lamp',
      spot: 'Inside',
      hours: 1,
      days: 2,
      personId: castId.lead,
    });
    await anotherJob(app, {
      title: 'Glue the rail',
      spot: 'inside',
      hours: 1,
      days: 2,
      personId: castId.crew,
    });
    await anotherJob(app, { title: 'Lift the ring', gatheringId, hours: 2, days: 1 });
    const text = words(await page(app));
    expect(text).toMatch(/waits 2 days for Inside to be free/);
    expect(text).toMatch(/Spots at the machine Inside .*job 1 2 Mar to 3 Mar.*job 2 4 Mar to 5 Mar/);
    expect(text).toMatch(/At gatherings Spring meeting .* 1 of 1 place Lift the ring job 3 whoever is there/);
  });

  it('keeps to the hours that somebody said when they said that they come', async () => {
    const app = await startApp();
    const gatheringId = await aGathering(app, { title: 'Spring meeting' });
    for (const title of ['Lift the ring', 'Turn the ring']) {
      await anotherJob(app, { title, gatheringId, hours: 2, days: 1, personId: castId.crew });
    }
    const there = async () => words(await page(app)).split('At gatherings')[1]!;
    expect((await there()).match(/1 of 4 places/g)).toHaveLength(1);
    const person = { gatheringId, personId: castId.crew };
    await asPerson(app, 'crew', (act) => comeToGathering(act, { ...person, hours: 3 }));
    expect((await there()).match(/1 of 4 places/g)).toHaveLength(2);
    await asPerson(app, 'crew', (act) => leaveGathering(act, person));
    expect((await there()).match(/1 of 4 places/g)).toHaveLength(1);
  });

  it('says so where nobody wrote hours down', async () => {
    const app = await startApp();
    await app.context.db.write.person.update({ where: { id: castId.crew }, data: { weeklyHours: 0 } });
    await anotherJob(app, { title: 'Sweep', hours: 2, personId: castId.crew });
    expect(words(await page(app))).toMatch(
      /has no hours a week written down: an hour on each working day is counted, 5 h a week/,
    );
  });

  it('shows typed text as text', async () => {
    const app = await startApp();
    await anAssembly(app, { name: '<b>bold</b> & "quoted"' });
    await anotherJob(app, { title: '<i>x</i>', spot: '<u>y</u>', hours: 1, personId: castId.crew });
    await anotherJob(app, { title: '<i>x</i>', spot: '<u>y</u>', hours: 1, personId: castId.lead });
    const text = await page(app);
    for (const mark of ['<b>bold', '<i>x', '<u>y']) expect(text).not.toContain(mark);
    expect(text).toContain('&lt;u&gt;y&lt;/u&gt;');
  });
});

describe('LevelledService', () => {
  const withSchedule = (schedule: ReturnType<typeof scheduleOf> | null) =>
    ({ snapshot: () => ({ schedule, trouble: null }) }) as unknown as ScheduleService;
  const open = () => scheduleOf(facts({ jobs: [job(1, { kind: 'other' })] }));

  it('keeps a plan while the schedule stays the same, and tells of an earlier one until the next is there', async () => {
    const schedules = { schedule: open() };
    const workers = new Workers({ threads: 1 });
    const run = vi.spyOn(workers, 'run');
    const service = new LevelledService(
      { snapshot: () => ({ ...schedules, trouble: null }) } as unknown as ScheduleService,
      workers,
      (fault) => expect.fail(String(fault)),
    );
    const first = await service.within(5000);
    expect(first).toMatchObject({ isCurrent: true, hasFailed: false });
    expect((await service.within(5000)).levelled).toBe(first.levelled);
    expect(run).toHaveBeenCalledTimes(1);
    const { outcome } = first.levelled!;
    let finish = () => {};
    run.mockReturnValueOnce(
      new Promise((resolve) => {
        finish = () => resolve(outcome);
      }),
    );
    schedules.schedule = open();
    expect(await service.within(1)).toMatchObject({ levelled: first.levelled, isCurrent: false });
    finish();
    const next = await service.within(5000);
    expect(next.isCurrent).toBe(true);
    expect(next.levelled).not.toBe(first.levelled);
    expect(run).toHaveBeenCalledTimes(2);
  });

  it('reports once what went wrong, and says so', async () => {
    const workers = new Workers({ threads: 1 });
    vi.spyOn(workers, 'run').mockRejectedValue(new Error('no thread'));
    const report = vi.fn();
    const service = new LevelledService(withSchedule(open()), workers, report);
    expect(await service.within(5000)).toMatchObject({ levelled: null, hasFailed: true });
    expect(await service.within(5000)).toMatchObject({ hasFailed: true });
    expect(report).toHaveBeenCalledTimes(1);
    expect(await new LevelledService(withSchedule(null), workers, report).within(0)).toMatchObject({
      levelled: null,
      hasFailed: false,
    });
  });
});
