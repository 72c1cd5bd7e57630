import { describe, expect, it } from 'vitest';
import { reportWork } from '../../src/jobs/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, anotherJob, asPerson } from '../support/jobs.ts';
import { aDeliveredClaim, checked } from '../support/receiving.ts';

const words = (html: string) =>
  html
    .replace(/<svg[\s\S]*?<\/svg>/g, ' ')
    .replace(/<[^>]+>/g, ' ')
    .replace(/&[a-z#0-9]+;/g, ' ')
    .replace(/\s+/g, ' ');
const main = (html: string) => words(html.slice(html.indexOf('<main'), html.indexOf('</main>')));
const get = async (app: TestApp, path = '/year') => app.visitor().get(path);

describe('GET /year', () => {
  it('is there for everyone, and says what will come in an empty build', async () => {
    const app = await startApp();
    const answer = await get(app);
    expect(answer.status).toBe(200);
    expect(main(answer.text)).toContain('No year to show yet');
    expect(main(answer.text)).toContain('Apr 2025 to Mar 2026, which is still running: 12 months');
    expect((await app.visitor().get('/bulletin')).text).toContain('href="/year"');
  });

  it('tells pieces, promises and hours of the months they happened in, by the build’s own days', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 5, part: { name: 'Moon arm', quantity: 5 } });
    const { lineId, claimId } = await aDeliveredClaim(app, { job, quantity: 5 });
    await checked(app, { lineId, units: [1, 2, 3] });
    await checked(app, { lineId, units: [4], disposition: 'scrap' });
    await asPerson(app, 'imre', (act) =>
      reportWork(act, app.context.files, { claimId, milli: 0, words: 'five evenings', hours: 12.5 }),
    );
    // The last evening of March in Oslo is the first hour of April nowhere but in UTC's east.
    app.setNow('2026-03-31T22:30:00Z');
    await checked(app, { lineId, units: [5] });
    const crew = await app.as('crew');
    const { text } = await crew.get('/year');
    const page = main(text);
    expect(page).toContain('4 of 5 pieces that makers make are accepted, 80 %');
    expect(page).toContain('12.5 hours. Of 2 reports 1 said how many hours');
    expect(page).toContain('Promises that fell due: 1. Of them 1 kept');
    expect(page).toMatch(/Mar 2026 3 3 /);
    expect(page).toMatch(/Apr 2026 4 1 /);
    expect(text).toContain('role="img"');
    // One maker's hours are nobody else's business.
    expect(main((await crew.get('/year?from=2026-03&until=2026-03')).text)).toContain('12.5');
    for (const query of ['', '?from=2026-03&until=2026-03', '?from=2026-04']) {
      const outside = main((await get(app, `/year${query}`)).text);
      expect(outside).not.toContain('12.5');
      expect(outside).toContain('until Mar 2026, whichever months are shown above');
    }
    expect(text).not.toMatch(/ style=|<script>/);
  });

  it('pools countries for outsiders and makers, tells the shop each, and names nobody', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 2, part: { quantity: 2 } });
    const { lineId } = await aDeliveredClaim(app, { job, quantity: 2 });
    await checked(app, { lineId, units: [1, 2] });
    expect(main((await get(app)).text)).toContain('is told when the first month is over');
    app.setNow('2026-04-02T08:00:00Z');
    for (const browser of [app.visitor(), await app.as('sunniva')]) {
      const page = main((await browser.get('/year')).text);
      expect(page).toContain('elsewhere');
      expect(page).not.toContain('New Zealand');
      expect(page).not.toContain('Imre');
    }
    const page = main((await (await app.as('crew')).get('/year')).text);
    expect(page).toContain('New Zealand');
    expect(page).not.toContain('Imre');
  });

  it('tells outsiders hours of months that three makers told theirs of, the same whatever months they ask for', async () => {
    const app = await startApp();
    const job = await anOfferedJob(app, { quantity: 9, part: { name: 'Moon arm', quantity: 9 } });
    const makers = ['imre', 'sunniva', 'farid'] as const;
    const claims: number[] = [];
    for (const who of makers)
      claims.push((await aClaim(app, { who, jobId: job.jobId, quantity: 1 })).claimId);
    const report = (at: number, hours: number) =>
      asPerson(app, makers[at]!, (act) =>
        reportWork(act, app.context.files, { claimId: claims[at]!, milli: 0, words: 'on', hours }),
      );
    for (const [at, hours] of [10.5, 20, 30].entries()) await report(at, hours);
    app.setNow('2026-04-10T08:00:00Z');
    await report(0, 7.25);
    app.setNow('2026-05-02T08:00:00Z');
    const inside = main((await (await app.as('crew')).get('/year')).text);
    expect(inside).toContain('67.8 hours');
    for (const query of ['', '?from=2026-03&until=2026-03', '?from=2026-03&until=2026-04', '?from=2026-04']) {
      const page = main((await get(app, `/year${query}`)).text);
      expect(page, query).not.toMatch(/67\.8|7\.25|7\.3|68 /);
      if (query !== '?from=2026-04') expect(page, query).toContain('60.5 hours');
      expect(page.slice(page.indexOf('By country')), query).toContain('elsewhere');
      expect(page.slice(page.indexOf('By country')), query).toContain('60.5');
      expect(page, query).toMatch(query === '?from=2026-03&until=2026-03' ? /60\.5/ : /few people/);
    }
  });

  it('draws the finish of a build that makers have no part in', async () => {
    const app = await startApp();
    await anotherJob(app, { title: 'Sweep', days: 5 });
    const lead = await app.as('lead');
    await lead.get('/schedule');
    app.passDays(1);
    await lead.get('/schedule');
    const page = main((await get(app)).text);
    expect(page).not.toContain('No year to show yet');
    expect(page).toContain('The finish, as estimated on');
  });

  it('draws the kept plan and what is needed by when', async () => {
    const app = await startApp();
    await aClaim(app, { quantity: 3 });
    const lead = await app.as('lead');
    await lead.get('/schedule');
    await lead.post('/schedule/baselines', { name: 'Spring plan', note: '' });
    const page = main((await get(app)).text);
    expect(page).toContain('needed by then for the finish to hold');
    expect(page).toContain('by the kept plan of 2 Mar 2026');
    expect(page).toContain('Spring plan');
  });

  it('shows the months that are asked for, with links to those before and after', async () => {
    const app = await startApp();
    await anOfferedJob(app);
    app.setNow('2027-05-10T08:00:00Z');
    const asked = await get(app, '/year?from=2026-03&until=2026-08');
    expect(main(asked.text)).toContain('Mar 2026 to Aug 2026: 6 months');
    expect(asked.text).toContain('/year?from=2026-09&amp;until=2027-02');
    expect(asked.text).not.toContain('>Earlier<');
    expect(main((await get(app, '/year?from=2026-09')).text)).toContain('Sep 2026 to May 2027');
    expect(main((await get(app, '/year?until=2026-04')).text)).toContain('May 2025 to Apr 2026');
  });

  it('says at the field what is wrong with a month, keeps what was typed, and shows the usual year', async () => {
    const app = await startApp();
    await anOfferedJob(app);
    for (const [query, sentence] of [
      ['from=soon', 'Type a month as year and number, like 2026-03.'],
      ['from=2026-04', 'This month is still to come.'],
      ['from=2026-02&until=2026-01', 'This month lies before the first one.'],
      ['from=2011-01&until=2026-01', 'At most 60 months at a time.'],
      ['from=2026-01&until=2026-09', 'This month is still to come.'],
    ] as const) {
      const answer = await get(app, `/year?${query}`);
      expect(answer.status, query).toBe(422);
      expect(main(answer.text), query).toContain(sentence);
      expect(main(answer.text)).toContain('Apr 2025 to Mar 2026');
    }
    expect((await get(app, '/year?from=%3Cb%3E')).text).toContain('value="&lt;b&gt;"');
    expect((await get(app, '/year?from=a&from=b')).status).toBeLessThan(500);
  });
});
