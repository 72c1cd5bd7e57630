import { expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { anOfferedJob, jobNow } from '../support/jobs.ts';
import { secondServer } from '../support/second-server.ts';

const claim = { quantity: 1, soonestDays: 5, likelyDays: 10, latestDays: 20 };

it('of two people who claim the last piece at the same moment, at two servers, exactly one gets it', async () => {
  const app = await startApp();
  const starting = secondServer(app);
  const jobs: number[] = [];
  for (let n = 0; n < 3; n += 1) jobs.push((await anOfferedJob(app, { quantity: 1 })).jobId);
  const far = await starting;
  const [imre, sunniva, farid] = [await app.as('imre'), await far.as('sunniva'), await far.as('farid')];
  for (const jobId of jobs) {
    const path = `/jobs/${jobId}/claims`;
    const answers = await Promise.all([
      imre.post(path, claim),
      sunniva.post(path, claim),
      farid.post(path, claim),
    ]);
    expect(answers.map(({ status }) => status).toSorted()).toEqual([303, 409, 409]);
    for (const { status, text } of answers) if (status === 409) expect(text).toContain('All of job');
    const { claims } = await jobNow(app, jobId);
    expect(claims).toHaveLength(1);
    const winner = answers.findIndex(({ status }) => status === 303);
    expect(claims[0]?.personId).toBe([castId.imre, castId.sunniva, castId.farid][winner]);
    const told = await app.context.db.read.act.count({ where: { jobId, kind: 'claim-job' } });
    expect(told).toBe(1);
  }
}, 120_000);
