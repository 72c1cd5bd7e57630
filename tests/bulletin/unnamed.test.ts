import { describe, expect, it } from 'vitest';
import { publishedBulletins } from '../../src/bulletin/index.ts';
import { actKinds } from '../../src/log/sentence.ts';
import { startApp } from '../support/app.ts';
import { cast, castId } from '../support/cast.ts';
import { aClaim } from '../support/jobs.ts';

const WEEK = '/bulletin/2026-03-08';
const TEXT = { title: 'First', opening: '', closing: '', version: '0' };

/** A week in which everyone did one of everything, on a job of the build. */
async function fullWeek() {
  const app = await startApp();
  const { jobId } = await aClaim(app, {});
  const { write, read } = app.context.db;
  const { partId } = await read.job.findUniqueOrThrow({ where: { id: jobId } });
  const after = JSON.stringify({
    title: 'Lid',
    question: 'Brass?',
    answer: 'Steel',
    letter: 'B',
    passed: true,
  });
  const at = app.context.clock.now();
  await write.act.createMany({
    data: actKinds.flatMap((kind) =>
      Object.values(castId).flatMap((personId) => [
        { at, kind, personId, jobId, partId, milli: 1000, after },
        { at, kind, personId: castId.crew, aboutId: personId, jobId, partId, milli: 1000, after },
      ]),
    ),
  });
  await write.gathering.create({
    data: {
      title: 'Fitting',
      place: 'Secret barn 5',
      fromOn: '2026-03-02',
      untilOn: '2026-03-04',
      createdAt: at,
      comers: { create: [{ personId: castId.imre }, { personId: castId.sunniva }] },
    },
  });
  await write.person.update({ where: { id: castId.imre }, data: { thanksBy: 'none' } });
  await write.person.update({
    where: { id: castId.sunniva },
    data: { thanksBy: 'alias', alias: 'The Lake' },
  });
  return { app, lead: await app.as('lead'), jobId };
}

const PRIVATE = [
  cast.imre.name,
  'Imre',
  'Kovacs',
  cast.sunniva.name,
  'Sunniva',
  cast.imre.address,
  'Hill Road',
  'Lake Street',
  'Mill Lane',
  '@example.org',
  'Secret barn',
];

describe('what anybody may read', () => {
  it('names nobody who would rather not be named, and says no address: page, feed, letter, script, credits', async () => {
    const { app, lead } = await fullWeek();
    await lead.post(WEEK, TEXT);
    expect((await lead.post(`${WEEK}/publish`, { version: '1' })).status).toBe(303);
    const visitor = app.visitor();
    const [letter] = await publishedBulletins(app.context.db.read, {
      limit: 1,
      baseUrl: 'https://b.example',
    });
    const texts = {
      page: (await visitor.get(WEEK)).text,
      list: (await visitor.get('/bulletin')).text,
      feed: (await visitor.get('/feed.atom')).text,
      letter: `${letter!.html}${letter!.text}${letter!.summary}`,
      script: (await lead.get(`${WEEK}/script.txt`)).text,
      description: (await lead.get(`${WEEK}/description.txt`)).text,
      credits: (await lead.get(`${WEEK}/credits.txt`)).text,
      byWork: (await lead.get(`${WEEK}/credits.txt?by=work`)).text,
    };
    for (const [name, text] of Object.entries(texts)) {
      for (const secret of PRIVATE) expect(text.includes(secret), `${secret} in ${name}`).toBe(false);
    }
    for (const name of ['page', 'feed', 'letter', 'script', 'description', 'credits', 'byWork'] as const)
      expect(texts[name], name).toContain('The Lake');
    // Whoever is only a visitor takes along none of the lead's texts.
    for (const name of ['order', 'script.txt', 'description.txt', 'credits.txt', 'preview'])
      expect((await visitor.get(`${WEEK}/${name}`)).status, name).toBe(303);
    for (const name of ['order', 'script.txt', 'credits.txt'])
      expect((await (await app.as('imre')).get(`${WEEK}/${name}`)).status, name).toBe(403);
  });

  it('stands still once published, whatever is done to jobs, parts, gatherings, settings and the log', async () => {
    const { app, lead, jobId } = await fullWeek();
    await lead.post(WEEK, { ...TEXT, opening: 'Dear all.', 'own-made': 'By hand.' });
    await lead.post(`${WEEK}/publish`, { version: '1' });
    const article = async () => /<article[\s\S]*<\/article>/.exec((await app.visitor().get(WEEK)).text)![0];
    const before = await article();
    expect(before).toContain('Dear all.');
    const { write } = app.context.db;
    await write.job.update({ where: { id: jobId }, data: { title: 'Renamed', droppedAt: new Date() } });
    await write.part.updateMany({ data: { name: 'Renamed' } });
    await write.gathering.updateMany({
      data: { title: 'Renamed', fromOn: '2026-05-01', untilOn: '2026-05-02' },
    });
    await write.finishRecord.deleteMany();
    await write.build.update({
      where: { id: 1 },
      data: {
        bulletinWeekday: 2,
        speakPace: 90,
        bulletinMinutes: 1,
        country: 'NZ',
        timeZone: 'Pacific/Auckland',
      },
    });
    await write.act.create({
      data: { at: app.context.clock.now(), kind: 'see-problem', personId: 2, after: '{"title":"Late"}' },
    });
    app.setNow('2026-03-12T08:00:00Z');
    expect(await article()).toBe(before);
    expect((await lead.post(WEEK, { ...TEXT, version: '1' })).status).toBe(409);
    expect((await lead.post(`${WEEK}/cut`, { version: '1', cut: 'late-1' })).status).toBe(409);
    expect(await article()).toBe(before);
  });
});
