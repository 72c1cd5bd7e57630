import { describe, expect, it } from 'vitest';
import { answerQuery, askQuery, holdJob, linkJobs } from '../../src/jobs/index.ts';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import {
  aClaim,
  aFabrication,
  anOfferedJob,
  anotherJob,
  asPerson,
  finished,
  jobNow,
} from '../support/jobs.ts';

const ADDRESS = 'The old dairy, 5 Fjord Road';

describe('GET /jobs/:number', () => {
  it('shows what is made, of what, how many, the files, limits and cautions of exactly that revision', async () => {
    const app = await startApp();
    const { jobId, number, letter } = await anOfferedJob(app, {
      quantity: 12,
      part: {
        name: 'Planet gear <48>',
        characteristics: ['25 H7', { text: 'Ø8 h6', label: 'pin', isKey: true }],
      },
    });
    const imre = await app.as('imre');
    const { status, text } = await imre.get(`/jobs/${jobId}`);
    expect(status).toBe(200);
    for (const words of [
      'Planet gear &lt;48&gt;',
      number,
      '12 pieces',
      `${number}-${letter}.pdf`,
      '25.021',
      'Local codes',
      'Claim some of it',
      'Ask about the drawing',
    ]) {
      expect(text).toContain(words);
    }
    expect(text).not.toContain('<48>');
    expect(text).not.toContain('Drop this job');
    expect(text).toMatch(/<img|documents\/\d+/);
    expect((await imre.get('/jobs/999')).status).toBe(404);
    expect((await imre.get('/jobs/1x')).status).toBe(404);
    expect((await app.visitor().get(`/jobs/${jobId}`)).headers.location).toContain('/sign-in');
  });

  it('names the address to post to only to a maker who has something to post', async () => {
    const app = await startApp();
    await app.context.db.write.build.update({ where: { id: 1 }, data: { postAddress: ADDRESS } });
    const { jobId, claimId } = await aClaim(app);
    const see = async (who: 'imre' | 'sunniva' | 'crew') =>
      (await (await app.as(who)).get(`/jobs/${jobId}`)).text;
    expect(await see('imre')).toContain(ADDRESS);
    expect(await see('sunniva')).not.toContain(ADDRESS);
    expect(await see('crew')).not.toContain(ADDRESS);
    await finished(app, { claimId, quantity: 4 });
    expect(await see('imre')).toContain(ADDRESS);
    const items = { create: { claimId, milli: 4000 } };
    await app.context.db.write.parcel.create({
      data: { fromId: castId.imre, sentAt: app.context.clock.now(), items },
    });
    const after = await see('imre');
    expect(after).not.toContain(ADDRESS);
    expect(after).toContain('posted 2 Mar, 20 days before the likely day');
    expect(after).not.toContain('1 Hill Road');
  });

  it('shows a draft job to the shop with what it lacks, and no drawing to makers', async () => {
    const app = await startApp();
    const { jobId, revisionId, number, letter } = await aFabrication(app);
    await app.context.db.write.revision.update({
      where: { id: revisionId },
      data: { state: 'draft', releasedAt: null },
    });
    const maker = (await (await app.as('farid')).get(`/jobs/${jobId}`)).text;
    expect(maker).toContain('not released yet');
    expect(maker).not.toContain(`${number}-${letter}.pdf`);
    const crew = (await (await app.as('crew')).get(`/jobs/${jobId}`)).text;
    expect(crew).toContain(`${number}-${letter}.pdf`);
    expect(crew).toContain(`release revision ${letter}`);
    expect(crew).toContain(`href="/revisions/${revisionId}"`);
    await app.context.db.write.revision.update({ where: { id: revisionId }, data: { materialId: null } });
    expect((await (await app.as('crew')).get(`/jobs/${jobId}`)).text).toContain('no material chosen');
    expect((await (await app.as('farid')).get(`/jobs/${jobId}`)).text).not.toContain('no material chosen');
  });

  it('tells holds, queries with answers, links and history', async () => {
    const app = await startApp();
    const { jobId } = await aClaim(app);
    const other = await anotherJob(app, { title: 'Paint <it>' });
    await asPerson(app, 'lead', (act) => linkJobs(act, { fromId: other, toId: jobId, type: 'FS', lag: 3 }));
    const queryId = await asPerson(app, 'imre', (act) =>
      askQuery(act, { jobId, question: 'Which <way> up?' }),
    );
    const crew = await app.as('crew');
    expect((await crew.get(`/jobs/${jobId}`)).text).toContain('a question waits');
    await asPerson(app, 'crew', (act) => answerQuery(act, { queryId, answer: 'Long side up.' }));
    await asPerson(app, 'lead', (act) => holdJob(act, { jobId, reason: 'The bore may change.' }));
    const { text } = await (await app.as('imre')).get(`/jobs/${jobId}`);
    expect(text).toContain('Which &lt;way&gt; up?');
    expect(text).toContain('Long side up.');
    expect(text).toContain('The bore may change.');
    expect(text).toContain(`${other} Paint &lt;it&gt;`);
    expect(text).toContain('3 working days later');
    expect(text).toContain('Imre Kovacs</b> claimed 4 pieces of this job');
    expect((await jobNow(app, jobId)).heldAt).not.toBeNull();
  });
});
