import { describe, expect, it } from 'vitest';
import { finishJob, linkJobs } from '../../src/jobs/index.ts';
import { loopThrough } from '../../src/schedule/loop-through.ts';
import { facts, frame, job, part } from '../schedule/derive-facts.ts';
import { startApp } from '../support/app.ts';
import { anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly } from '../support/parts.ts';

describe('links by hand, by the form', () => {
  it('has all four types, with lags before and after', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const a = await anotherJob(app, { title: 'Pour', days: 4 });
    const words = {
      FS: 'begins when it is finished',
      SS: 'begins when it begins',
      FF: 'finishes when it is finished',
      SF: 'finishes when it begins',
    };
    // Monday 2 March: 'Pour' goes on until Thursday the 5th
    const dates = { FS: '4 Mar', SS: '2 Mar', FF: '3 Mar', SF: '2 Mar' };
    for (const [type, sentence] of Object.entries(words)) {
      const b = await anotherJob(app, { title: `After ${type}`, days: 1 });
      const lag = type === 'FS' ? '-2' : type === 'FF' ? '-2' : type === 'SS' ? '0' : '+1';
      const sent = await crew.post(`/jobs/${b}/link`, { other: a, direction: 'waits', type, lag });
      expect(`${type} ${sent.status}`).toBe(`${type} 303`);
      const page = (await crew.get(`/jobs/${b}`)).text;
      expect(page).toContain(sentence);
      if (lag === '-2') expect(page).toContain('2 working days earlier');
      const step = (await crew.get(`/schedule/nodes/job-${b}`)).text;
      expect(/<dt>Begins<\/dt><dd[^>]*>([^<]*?)\s*</.exec(step)?.[1]?.trim()).toBe(
        dates[type as keyof typeof dates],
      );
    }
    expect((await app.context.db.read.jobLink.findMany()).map(({ type, lag }) => [type, lag])).toEqual([
      ['FS', -2],
      ['SS', 0],
      ['FF', -2],
      ['SF', 1],
    ]);
  });

  it('is refused when it closes a loop through parts and trials, with all of it named', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const { id, childIds } = await anAssembly(app, {
      name: 'Frame',
      children: [{ name: 'Rail', kind: 'bought' }],
    });
    const bought = await anotherJob(app, { kind: 'purchase', title: 'Rail', partId: childIds[0]! });
    const fitUp = await anotherJob(app, { kind: 'fit-up', title: 'Frame', partId: id });
    const trial = await anotherJob(app, { kind: 'trial', title: 'Shake it', partId: id });
    const whole = await anotherJob(app, { kind: 'trial', title: 'Run the machine' });
    const link = (jobId: number, other: number, type = 'FS') =>
      crew.post(`/jobs/${jobId}/link`, { other, direction: 'waits', type, lag: '0' });
    const links = () => app.context.db.read.jobLink.count();
    for (const [waits, other, loop] of [
      [fitUp, trial, `job ${fitUp} before ${trial} before ${fitUp}`],
      [bought, trial, `job ${bought} before ${fitUp} before ${trial} before ${bought}`],
      [
        bought,
        whole,
        `job ${bought} before Rail ready to fit before job ${fitUp} before Frame ready to fit before job ${whole} before job ${bought}`,
      ],
    ] as const) {
      for (const type of ['FS', 'SS', 'FF', 'SF']) {
        const { status, text } = await link(waits, other, type);
        expect(status).toBe(409);
        expect(text).toContain(`That would go round in a loop: ${loop}.`);
      }
    }
    expect(await links()).toBe(0);
    // through a link by hand and the structure together
    const paint = await anotherJob(app, { title: 'Paint' });
    expect((await link(paint, fitUp)).status).toBe(303);
    const { status, text } = await link(bought, paint);
    expect(status).toBe(409);
    expect(text).toContain(`job ${bought} before ${fitUp} before ${paint} before ${bought}`);
    expect((await crew.get('/schedule')).text).not.toContain('is left out');
  });

  it('does not go round through what is finished', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const [a, b] = [await anotherJob(app), await anotherJob(app)];
    const link = (toId: number, fromId: number) =>
      crew.post(`/jobs/${toId}/link`, { other: fromId, direction: 'waits', type: 'FS', lag: '0' });
    expect((await link(b, a)).status).toBe(303);
    await asPerson(app, 'lead', (act) =>
      finishJob(act, { jobId: b, result: 'done', ready: true, atBench: false }),
    );
    expect((await link(a, b)).status).toBe(303);
    const over = await link(b, a);
    expect(over.status).toBe(409);
    await asPerson(app, 'lead', (act) => linkJobs(act, { fromId: b, toId: a, type: 'SS', lag: 0 }));
    const c = await anotherJob(app);
    const late = await link(b, c);
    expect(late.status).toBe(409);
    expect(late.text).toContain(`Job ${b} is finished: it waits for nothing any more.`);
  });
});

describe('loopThrough', () => {
  const post = part(2, { kind: 'bought', name: 'Post' });
  const given = {
    parts: [frame, post],
    uses: [[1, 2, 4]] as [number, number, number][],
    jobs: [
      job(3, { kind: 'purchase', partId: 2, milli: 4000 }),
      job(9, { kind: 'trial', partId: 1 }),
      job(5, { kind: 'other' }),
    ],
  };

  it('names the way through parts that no job answers for', () => {
    expect(loopThrough(facts(given), { fromId: 9, toId: 3, type: 'FS', lag: 0 })).toEqual([
      'job 3',
      'Post ready to fit',
      'Fit up Frame',
      'Frame ready to fit',
      'job 9',
      'job 3',
    ]);
  });

  it('is none where the link only goes with the work, or beside it', () => {
    expect(loopThrough(facts(given), { fromId: 3, toId: 9, type: 'SS', lag: -2 })).toBeNull();
    expect(loopThrough(facts(given), { fromId: 5, toId: 3, type: 'FS', lag: 0 })).toBeNull();
    const finished = {
      ...given,
      jobs: given.jobs.map((one) => ({ ...one, finishedAt: '2026-02-20T08:00:00.000Z' })),
    };
    expect(loopThrough(facts(finished), { fromId: 9, toId: 3, type: 'FS', lag: 0 })).toBeNull();
  });
});
