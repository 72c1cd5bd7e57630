import { describe, expect, it } from 'vitest';
import { receiveParcel } from '../../src/receiving/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aClaim, anOfferedJob, asPerson } from '../support/jobs.ts';
import { aPostedParcel, todayIn } from '../support/receiving.ts';

const page = async (app: TestApp, path = '/schedule/durations') => {
  const { status, text } = await (await app.as('lead')).get(path);
  expect(status).toBe(200);
  return text;
};

const words = (text: string) => text.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');

/** The rows of the tables, as they are read. */
const rowsOf = (text: string) =>
  [...text.matchAll(/<tr>\s*<th scope="row">.*?<\/tr>/gs)].map(([row]) => words(row).trim());

describe('GET /schedule/durations', () => {
  it('is for lead and crew, and the schedule leads to it', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/durations')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/durations')).status).toBe(403);
    expect((await (await app.as('crew')).get('/schedule/durations')).status).toBe(200);
    expect(await page(app, '/schedule')).toContain('<a href="/schedule/durations">');
  });

  it('says what an empty build goes by', async () => {
    const text = await page(await startApp());
    expect(words(text)).toContain('No history yet Promises are taken as they are given');
    expect(words(text)).toContain('correlation 0.30 . no two promises of one maker overlapped yet');
    expect(text).not.toContain('<table');
  });

  it('tells how much history there is of each, and what it comes to', async () => {
    const app = await startApp();
    const held = await anOfferedJob(app, { quantity: 4 });
    app.passDays(5);
    // claimed after five days, posted the same day, against 20 days promised; six days on its way
    const { parcelId, lineId } = await aPostedParcel(app, { job: held });
    app.passDays(6);
    const arrivedOn = await todayIn(app);
    await asPerson(app, 'crew', (act) =>
      receiveParcel(act, { parcelId, arrivedOn, note: '', counts: [{ lineId, milli: 4000 }] }),
    );
    await aClaim(app, { who: 'sunniva', quantity: 2 });
    const rows = rowsOf(await page(app));
    expect(rows).toContain('Imre Kovacs 1 0 at once at once own 1, others 1, promise 2 1.0 times 1.3 times');
    expect(rows.find((row) => row.startsWith('Sunniva'))).toMatch(
      / 0 1 not yet not yet own 1, others 1, promise 2 /,
    );
    expect(rows.find((row) => row.startsWith('all offers'))).toMatch(
      /^all offers 2 0 0 days 5 days own 2, no others, usual 2 5 days 8 days$/,
    );
    expect(rows.find((row) => row.startsWith('NZ to NO'))).toMatch(
      /^NZ to NO 1 0 6 days 6 days own 1, no others, usual 2 7 days 9 days$/,
    );
    // the schedule reckons with it and says so
    expect(words(await page(app, '/schedule'))).toMatch(
      /Sunniva [^;]* promised [^;]*; by 1 promise of others half come by [\d.]+ times the days promised: counted as/,
    );
  });
});
