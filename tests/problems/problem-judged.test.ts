import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import {
  acceptProblem,
  changeProblem,
  closeRedesign,
  finishTrial,
  mergeProblems,
  openProblems,
  takeUpProblem,
} from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { aProblem, aRedesign, aTrial } from '../support/problems.ts';

const problem = ({ context }: TestApp, id: number) =>
  context.db.read.problem.findUniqueOrThrow({ where: { id } });

const lastAct = ({ context }: TestApp, kind: string) =>
  context.db.read.act.findFirstOrThrow({ where: { kind }, orderBy: { id: 'desc' } });

/** What a page shows as text in its main block, without markup. */
const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

const typed = { title: 'Gear binds', severity: '5', words: '', part: '', job: '' };

describe('the scales', () => {
  it('are shown whole, with their source and what they can’t tell, to everybody signed in', async () => {
    const app = await startApp();
    for (const who of ['lead', 'crew', 'imre'] as const) {
      const { status, text } = await (await app.as(who)).get('/problems/scales');
      expect(status).toBe(200);
      expect(text.match(/<th scope="row">/g)).toHaveLength(30);
      for (const words of ['IEC 60812:2006', 'MIL-STD-1629A', 'from memory', 'counts as 10']) {
        expect(text).toContain(words);
      }
    }
    expect((await app.visitor().get('/problems/scales')).status).toBe(303);
  });
});

describe('a problem', () => {
  it('is listed by what can hurt, then by its number; what is not judged counts as 10 and is marked', async () => {
    const app = await startApp();
    await aProblem(app, { title: 'Stops', severity: 8, occurrence: 10, detection: 10 });
    await aProblem(app, { title: 'Hurts', severity: 9, occurrence: 1, detection: 1 });
    await aProblem(app, { title: 'Unjudged', severity: 3 });
    await aProblem(app, { title: 'Judged', severity: 4, occurrence: 5, detection: 5 });
    const lead = await app.as('lead');
    const list = shown((await lead.get('/problems')).text);
    const order = ['Hurts', 'Stops', 'Unjudged', 'Judged'].map((title) => list.indexOf(title));
    expect([...order].sort((a, b) => a - b)).toEqual(order);
    expect(list).toContain('300 3 × 10 × 10* 3, a nuisance');
    expect(list).toContain('100 4 × 5 × 5 4, asks for a touch');
    const open = await openProblems(app.context.db, '2026-03-02');
    expect(open.map(({ title, priority, grave }) => [title, priority, grave])).toEqual([
      ['Hurts', 9, true],
      ['Stops', 800, true],
      ['Unjudged', 300, false],
      ['Judged', 100, false],
    ]);
    const page = shown((await lead.get('/problems/3')).text);
    expect(page).toContain('How often not judged: counted as 10');
    expect(page).not.toContain('Take care.');
    expect(shown((await lead.get('/problems/1')).text)).toContain('Take care.');
  });

  it('says how often in words, and which rank the words would have where nobody judged it', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    const sent = await crew.upload('/problems', { ...typed, often: '1 of 20 runs', detection: '4' }, []);
    const page = shown((await crew.get(sent.headers.location!)).text);
    expect(page).toContain(
      '1 of 20 runs; not judged: counted as 10 by the words it would be 9, again and again',
    );
    expect(page).toContain('200 5 × 10 × 4');
    const change = `${sent.headers.location}/change`;
    const form = (await crew.get(change)).text;
    expect(form).toMatch(/<option value="4" selected>4: found at the fit-up/);
    expect(form).toContain('value="1 of 20 runs"');
    const fields = { ...typed, seen: '0', often: '1 of 20 runs', occurrence: '9', detection: '' };
    expect((await crew.upload(change, fields, [])).status).toBe(303);
    expect(await problem(app, 1)).toMatchObject({ occurrence: 9, detection: null, often: '1 of 20 runs' });
    const act = await lastAct(app, 'change-problem');
    expect(JSON.parse(act.before!)).toEqual({ occurrence: null, detection: 4 });
    expect(JSON.parse(act.after!)).toEqual({ title: 'Gear binds', occurrence: 9, detection: null });
  });

  it('is somebody else’s to have seen where lead or crew say so, and never where a maker does', async () => {
    const app = await startApp();
    const crew = await app.as('crew');
    expect((await crew.get('/problems/new')).text).toContain('>Imre Kovacs</option>');
    const sent = await crew.upload(
      '/problems',
      { ...typed, seenById: String(castId.imre), seenOn: '2026-02-20' },
      [],
    );
    expect(await problem(app, 1)).toMatchObject({ seenById: castId.imre });
    const act = await lastAct(app, 'see-problem');
    expect(act).toMatchObject({ personId: castId.crew, aboutId: castId.imre });
    expect(JSON.parse(act.after!)).toEqual({ title: 'Gear binds', severity: 5, seenOn: '2026-02-20' });
    const page = (await crew.get(sent.headers.location!)).text;
    expect(page).toContain('seen <span class="num">20 Feb</span> by Imre Kovacs');
    expect(shown((await crew.get('/log')).text)).toContain(
      'wrote down a problem that Imre Kovacs saw: Gear binds',
    );
    // Who saw it may say it better; the change keeps finder and day.
    const imre = await app.as('imre');
    const form = (await imre.get('/problems/1/change')).text;
    expect(form).not.toContain('seenById');
    const fields = { ...typed, title: 'Gear sticks', seen: '0', seenOn: '2026-02-20' };
    expect((await imre.upload('/problems/1/change', fields, [])).status).toBe(303);
    expect(await problem(app, 1)).toMatchObject({ title: 'Gear sticks', seenById: castId.imre });
    const own = { ...typed, seenById: String(castId.farid) };
    const refused = await imre.upload('/problems', own, []);
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('Only lead and crew write down what somebody else saw.');
    // Nobody who has left is named.
    await app.context.db.write.person.update({
      where: { id: castId.farid },
      data: { deactivatedAt: new Date() },
    });
    expect((await crew.upload('/problems', own, [])).text).toContain('Choose a person of the list.');
    expect((await crew.get('/problems/new')).text).not.toContain('Farid');
    const to = { ...typed, seen: '999', seenById: String(castId.sunniva) };
    expect((await crew.upload('/problems/1/change', to, [])).status).toBe(409);
    const seen = /name="seen" value="(\d+)"/.exec((await crew.get('/problems/1/change')).text)![1]!;
    expect((await crew.upload('/problems/1/change', { ...to, seen }, [])).status).toBe(303);
    expect(await problem(app, 1)).toMatchObject({ seenById: castId.sunniva });
    expect(await lastAct(app, 'change-problem')).toMatchObject({ aboutId: castId.sunniva });
  });

  it.each(['Pacific/Kiritimati', 'Pacific/Pago_Pago', 'Europe/Oslo'])(
    'is seen on the day that was said, where the build is: %s',
    async (timeZone) => {
      const app = await startApp();
      await app.context.db.write.build.update({ where: { id: 1 }, data: { timeZone } });
      const id = await aProblem(app, { seenOn: '2026-02-20' });
      const page = (await (await app.as('crew')).get(`/problems/${id}`)).text;
      expect(page).toContain('seen <span class="num">20 Feb</span>');
      const { seenAt } = await problem(app, id);
      await asPerson(app, 'crew', (act) =>
        changeProblem(act, app.context.files, {
          problemId: id,
          title: 'x',
          severity: 4,
          seenOn: '2026-02-20',
        }),
      );
      expect((await problem(app, id)).seenAt).toEqual(seenAt);
    },
  );
});

describe('a problem that is merged', () => {
  it('gives its worse ranks, and its words, photos and finder stay to be seen on the one that stands', async () => {
    const app = await startApp();
    const jpeg = await sharp({ create: { width: 9, height: 9, channels: 3, background: '#777' } })
      .jpeg()
      .toBuffer();
    const photos = [{ jpeg, width: 9, height: 9 }];
    const stands = await aProblem(app, { title: 'Stands', severity: 5, occurrence: 6, photos });
    const merged = await aProblem(app, {
      who: 'lead',
      title: 'Merged <b>',
      words: 'My own words',
      often: '2 of 5',
      severity: 3,
      occurrence: 8,
      detection: 2,
      photos,
    });
    await asPerson(app, 'crew', (act) => mergeProblems(act, { problemId: merged, sameAsId: stands }));
    expect(await problem(app, stands)).toMatchObject({ severity: 5, occurrence: 8, detection: 2 });
    expect(await problem(app, merged)).toMatchObject({ severity: 3, words: 'My own words', often: '2 of 5' });
    const act = await lastAct(app, 'change-problem');
    expect(JSON.parse(act.before!)).toEqual({ occurrence: 6, detection: null });
    expect(JSON.parse(act.after!)).toEqual({ title: 'Stands', occurrence: 8, detection: 2, because: merged });
    const { text } = await (await app.as('crew')).get(`/problems/${stands}`);
    expect(text.match(/<img src="\/photos\/\d+"/g)).toHaveLength(2);
    expect(text).toContain(`from problem ${merged}`);
    expect(shown(text)).toContain(
      `Also seen by Ottilie Brandt , 2 Mar : ${merged} Merged &lt;b&gt; 2 of 5 My own words`,
    );
    // Nothing is worse in the second one: nothing is changed, and the log does not say so.
    const small = await aProblem(app, { severity: 1, occurrence: 1, detection: 1 });
    await asPerson(app, 'crew', (act) => mergeProblems(act, { problemId: small, sameAsId: stands }));
    expect((await lastAct(app, 'change-problem')).id).toBe(act.id);
  });

  it('goes into one only, whoever is second', async () => {
    const app = await startApp();
    const [one, two, three] = [await aProblem(app), await aProblem(app), await aProblem(app)];
    const crew = await app.as('crew');
    const answers = await Promise.all([
      crew.post(`/problems/${one}/merge`, { sameAsId: two }),
      crew.post(`/problems/${one}/merge`, { sameAsId: three }),
    ]);
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
    expect(answers.find(({ status }) => status === 409)!.text).toContain(
      `Problem ${one} is the same as problem`,
    );
  });
});

describe('what became of a problem', () => {
  it('is said with who accepted it as it is, from the log where that was not stored', async () => {
    const app = await startApp();
    const id = await aProblem(app);
    const accept = () =>
      asPerson(app, 'lead', (act) => acceptProblem(act, { problemId: id, reason: 'It runs in.' }));
    await accept();
    expect(await problem(app, id)).toMatchObject({ acceptedById: castId.lead });
    const crew = await app.as('crew');
    const words = 'Accepted as it is by Ottilie Brandt, 2 Mar: It runs in.';
    expect(shown((await crew.get(`/problems/${id}`)).text)).toContain(words);
    await app.context.db.write.problem.update({ where: { id }, data: { acceptedById: null } });
    expect(shown((await crew.get(`/problems/${id}`)).text)).toContain(words);
    await asPerson(app, 'lead', (act) => takeUpProblem(act, id));
    expect(await problem(app, id)).toMatchObject({ acceptedAt: null, acceptedById: null });
  });

  it('is said with the trial that cured it', async () => {
    const app = await startApp();
    const id = await aProblem(app);
    const redesignId = await aRedesign(app, { problemIds: [id] });
    const trialId = await aTrial(app, { title: 'Turn it <by hand>', redesignId });
    const crew = await app.as('crew');
    expect(shown((await crew.get(`/problems/${id}`)).text)).toContain(
      'It is cured when the trial named there',
    );
    await asPerson(app, 'crew', (act) =>
      finishTrial(act, { trialId, before: [], after: [], passed: true, words: 'It turns.' }),
    );
    await asPerson(app, 'crew', (act) => closeRedesign(act, { redesignId }));
    const { text } = await crew.get(`/problems/${id}`);
    expect(text).toContain(`href="/trials/${trialId}"`);
    expect(shown(text)).toContain(
      'Cured 2 Mar: the trial Turn it &lt;by hand&gt; was passed, by the redesign Looser planets',
    );
  });
});
