import { describe, expect, it } from 'vitest';
import { finishJob } from '../../src/jobs/index.ts';
import { startApp } from '../support/app.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';

const words = (text: string) => text.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');

describe('GET /schedule/soundness', () => {
  it('is for lead and crew', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/soundness')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/soundness')).status).toBe(403);
    const crew = await app.as('crew');
    expect((await crew.get('/schedule/soundness')).status).toBe(200);
    const { text } = await crew.get('/schedule');
    for (const page of ['soundness', 'baselines', 'closures']) {
      expect(text).toContain(`<a href="/schedule/${page}"`);
    }
  });

  it('says what to do first in an empty build, and when nothing is left', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const page = async () => (await lead.get('/schedule/soundness')).text;
    expect(await page()).toContain('There is no plan to look at yet');
    const jobId = await anotherJob(app);
    await asPerson(app, 'lead', (act) => finishJob(act, { jobId, result: '', ready: true, atBench: false }));
    expect(await page()).toContain('Nothing is left to plan');
  });

  it('goes through the ten practices, with what to do and where', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { number } = await anAssembly(app, { name: 'Frame', children: [{ name: 'Post' }] });
    const loose = await aPart(app, { name: '<i>Lost</i>' });
    const box = await anAssembly(app, { name: 'Box' });
    const sweep = await anotherJob(app, { title: 'Sweep' });
    const { text } = await lead.get('/schedule/soundness');
    for (let n = 1; n <= 10; n += 1) expect(text).toMatch(new RegExp(`<h2>${n}\\. [A-Z]`));
    expect(text).toContain(`<a href="/parts/${loose.number}">${loose.number} &lt;i&gt;Lost&lt;/i&gt;</a>`);
    expect(text).toContain(`<a href="/parts/${box.number}">${box.number} Box</a>`);
    expect(text).toContain(`<a href="/jobs/${sweep}">${sweep} Sweep</a>`);
    expect(text).toMatch(/<h3><a href="#empty-fit-ups">Fit-ups with nothing to fit<\/a><\/h3>/);
    expect(words(text)).toContain('Write down what goes into each.');
    expect(words(text)).toContain('No plan is kept.');
    expect(words(text)).toContain('The last thing was written down today.');
    expect(words(text)).toContain('GAO-16-89G');
    expect(text).not.toMatch(/ style=/);
    expect(text).not.toContain('undefined');
    expect(text).toContain(number);
    // a kept plan is seen by the check the next time
    await lead.post('/schedule/baselines', { name: 'Spring' });
    expect(words((await lead.get('/schedule/soundness')).text)).toContain('Spring, kept today.');
  });

  it('names makers to the crew without the way to their pages', async () => {
    const app = await startApp();
    for (let n = 0; n < 5; n += 1) {
      const { jobId } = await anOfferedJob(app, { quantity: 1 });
      await aClaim(app, { jobId });
    }
    const lead = (await (await app.as('lead')).get('/schedule/soundness')).text;
    expect(lead).toContain('<a href="/makers/3">Imre Kovacs</a>');
    const crew = (await (await app.as('crew')).get('/schedule/soundness')).text;
    expect(crew).toContain('Imre Kovacs');
    expect(crew).not.toContain('/makers/3');
    expect(crew).not.toContain('imre@example.org');
  });

  it('folds what is long', async () => {
    const app = await startApp();
    for (let n = 0; n < 9; n += 1) await aPart(app, { name: `Spare ${n}` });
    await anotherJob(app);
    const { text } = await (await app.as('lead')).get('/schedule/soundness');
    const section = text.slice(text.indexOf('id="loose-parts"'), text.indexOf('id="unneeded-jobs"'));
    expect(section).toContain('<summary>3 more</summary>');
    expect([...section.matchAll(/Spare \d/g)]).toHaveLength(9);
  });
});
