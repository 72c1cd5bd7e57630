import { describe, expect, it } from 'vitest';
import { changeRedesign, finishTrial } from '../../src/problems/index.ts';
import { type Browser, startApp } from '../support/app.ts';
import { aFabrication, asPerson } from '../support/jobs.ts';
import { aProblem, aRedesign, aTrial } from '../support/problems.ts';

/** What a page shows as text in its main block, without markup. */
const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('the redesigns’ pages', () => {
  const form = (fields: Record<string, unknown> = {}) => ({
    title: 'More backlash',
    change: '',
    parts: '',
    hours: '',
    trialId: '',
    ...fields,
  });

  async function opened(lead: Browser, fields: Record<string, unknown>) {
    return lead.post('/redesigns', form(fields));
  }

  it('open one for chosen problems, with their parts named', async () => {
    const app = await startApp();
    const part = await aFabrication(app);
    const id = await aProblem(app, { partId: part.partId, title: 'Binds' });
    const lead = await app.as('lead');
    const page = (await lead.get(`/redesigns/new?problem=${id}&problem=x&problem=99`)).text;
    expect(page).toContain(`value="${id}" checked`);
    expect(page).toMatch(new RegExp(`<textarea[^>]*name="parts"[^>]*>\\n${part.number}</textarea>`));
    const sent = await opened(lead, {
      problemIds: [id],
      parts: `${part.number}\n ${part.number.toLowerCase()};`,
    });
    expect(sent.status).toBe(303);
    const shownPage = shown((await lead.get(sent.headers.location!)).text);
    expect(shownPage).toContain('Begin');
    expect(shownPage).toContain(
      `${part.number} preparing 4 pieces that nobody has claimed: made to the new revision`,
    );
    expect(shownPage).toContain('None is named.');
  });

  it('say at the field what does not fit, and open nothing', async () => {
    const app = await startApp();
    const id = await aProblem(app);
    const lead = await app.as('lead');
    const cases: [Record<string, unknown>, number, string][] = [
      [{ problemIds: [] }, 422, 'Choose the problems it is to cure'],
      [{ problemIds: [999] }, 422, 'There is no problem 999.'],
      [{ problemIds: ['x'] }, 422, 'Choose from the list.'],
      [{ problemIds: [id], title: '' }, 422, 'Say in one line what the redesign is for.'],
      [{ problemIds: [id], title: '...' }, 422, 'Say in one line what the redesign is for.'],
      [{ problemIds: [id], parts: 'TB-0001\nTB-9998' }, 422, 'No part has the number'],
      [{ problemIds: [id], trialId: '77' }, 422, 'Choose a trial of the list.'],
      [{ problemIds: [id], change: 'x\u0000' }, 422, 'characters that cannot be seen'],
      [{ problemIds: [id], hours: '-1' }, 422, 'At least 0 h; this is -1.'],
      [{ problemIds: [id], hours: '1e3' }, 422, 'Type a number.'],
      [{ problemIds: [id], hours: '5000' }, 422, 'At most 2000 h; this is 5000.'],
    ];
    for (const [fields, status, sentence] of cases) {
      const sent = await opened(lead, fields);
      expect(sent.status).toBe(status);
      expect(sent.text).toContain(sentence);
      if (fields.hours) expect(sent.text).toContain(`value="${fields.hours}"`);
    }
    expect(await app.context.db.read.redesign.count()).toBe(0);
  });

  it('go from revisions to release to cure; a release that is not complete is refused with each hindrance', async () => {
    const app = await startApp();
    const part = await aFabrication(app);
    const id = await aRedesign(app, {
      problemIds: [await aProblem(app, { partId: part.partId })],
      partIds: [part.partId],
    });
    const lead = await app.as('lead');
    const here = `/redesigns/${id}`;
    expect((await lead.post(`${here}/revisions`, {})).text).toContain('Choose the parts');
    expect((await lead.post(`${here}/revisions`, { partIds: part.partId })).headers.location).toBe(here);
    const page = shown((await lead.get(here)).text);
    expect(page).toContain(`when ${part.number} B is drawn, release the redesign`);
    expect(page).toContain(`${part.number} is a draft`);
    expect((await lead.get(here)).text).toContain(`began ${part.number} B for a redesign: Looser planets`);
    expect((await lead.post(`${here}/release`, { drafts: '' })).text).toContain(
      `Nothing is released. ${part.number} B was begun while you were at it`,
    );
    const [, drafts] = /name="drafts" value="([^"]+)"/.exec((await lead.get(here)).text)!;
    const refused = await lead.post(`${here}/release`, { drafts });
    expect(refused.status).toBe(409);
    expect(refused.text).toContain(
      `Nothing is released. ${part.number}: Revision B can&#39;t be released yet`,
    );
    const early = await lead.post(`${here}/close`);
    expect(early.status).toBe(409);
    expect(early.text).toContain('Release its revisions first');
    expect((await lead.post(`${here}/drop`, { reason: '' })).status).toBe(422);
    expect((await lead.post(`${here}/drop`, { reason: 'No time.' })).status).toBe(303);
    const dropped = shown((await lead.get(here)).text);
    expect(dropped).toContain('No time.');
    expect(dropped).toContain('open again when it was dropped');
    expect((await lead.get('/redesigns')).text).toContain('dropped');
    expect((await lead.get('/redesigns/77')).status).toBe(404);
  });

  it('ask for a word where the trial was made too early, keep it, and show it when it is closed', async () => {
    const app = await startApp();
    const trialId = await aTrial(app);
    const finish = (passed: boolean) =>
      asPerson(app, 'crew', (act) =>
        finishTrial(act, { trialId, before: [], after: [1], passed, words: '' }),
      );
    await finish(true);
    app.passDays(1);
    const id = await aRedesign(app, { trialId });
    const crew = await app.as('crew');
    const here = `/redesigns/${id}`;
    const page = shown((await crew.get(here)).text);
    expect(page).toContain('the trial passed, but it was made before this redesign was opened');
    expect(page).toContain('Plan another trial'.toLowerCase());
    const without = await crew.post(`${here}/close`, { reason: ' ' });
    expect(without.status).toBe(422);
    expect(without.text).toContain('say why it counts all the same');
    const long = await crew.post(`${here}/close`, { reason: `<b>${'x'.repeat(1000)}` });
    expect(long.status).toBe(422);
    expect(long.text).toContain('At most 1000 characters');
    expect(long.text).toContain('&lt;b&gt;xxx');
    expect((await app.context.db.read.redesign.findUniqueOrThrow({ where: { id } })).closedAt).toBeNull();
    const sent = await Promise.all([1, 2].map(() => crew.post(`${here}/close`, { reason: 'Same <gear>.' })));
    expect(sent.map(({ status }) => status).sort()).toEqual([303, 409]);
    const closed = (await crew.get(here)).text;
    expect(closed).toContain('It counted all the same: <q>Same &lt;gear&gt;.</q>');
    expect(closed).toContain('closed a redesign by a trial made before it: Looser planets');
    expect(await app.context.db.read.act.count({ where: { kind: 'cure-problem' } })).toBe(1);
  });

  it('change keeps the parts of a released one, and tells the second editor', async () => {
    const app = await startApp();
    const id = await aRedesign(app);
    const { problems } = await app.context.db.read.redesign.findUniqueOrThrow({
      where: { id },
      include: { problems: true },
    });
    const lead = await app.as('lead');
    const send = (title: string) =>
      lead.post(`/redesigns/${id}/change`, form({ title, problemIds: [problems[0]!.id], seen: '0' }));
    expect((await send('First')).status).toBe(303);
    expect((await send('Second')).status).toBe(409);
    await app.context.db.write.redesign.update({ where: { id }, data: { releasedAt: new Date() } });
    expect((await lead.get(`/redesigns/${id}/change`)).text).not.toContain('name="parts"');
  });

  it('keep a part that was taken out of the build, and a trial that is older than the newest hundred', async () => {
    const app = await startApp();
    const [gone, other] = [await aFabrication(app), await aFabrication(app)];
    const trialId = await aTrial(app, { title: 'The first of all' });
    const id = await aRedesign(app, { partIds: [gone.partId], trialId });
    const { write, read } = app.context.db;
    await write.part.update({ where: { id: gone.partId }, data: { removedAt: new Date() } });
    await write.part.update({ where: { id: other.partId }, data: { removedAt: new Date() } });
    const later = { measured: 'torque', createdAt: new Date('2026-03-02') };
    await write.trial.createMany({
      data: Array.from({ length: 120 }, (_, n) => ({ ...later, title: `Trial ${n}` })),
    });
    const lead = await app.as('lead');
    const here = `/redesigns/${id}`;
    const page = (await lead.get(`${here}/change`)).text;
    expect(page).toContain(`<option value="${trialId}" selected>The first of all`);
    const { problems } = await read.redesign.findUniqueOrThrow({
      where: { id },
      include: { problems: true },
    });
    const seen = /name="seen" value="(\d+)"/.exec(page)![1];
    const send = (parts: string) =>
      lead.post(
        `${here}/change`,
        form({ title: 'New words', problemIds: [problems[0]!.id], parts, trialId, seen }),
      );
    const refused = await send(`${gone.number}\n${other.number}`);
    expect([refused.status, refused.text.includes(`No part has the number ${other.number}.`)]).toEqual([
      422,
      true,
    ]);
    expect((await send(gone.number)).status).toBe(303);
    expect(await read.redesign.findUniqueOrThrow({ where: { id }, include: { parts: true } })).toMatchObject({
      title: 'New words',
      trialId,
      parts: [{ partId: gone.partId }],
    });
    // What is taken out of the build gets no new revision: nobody is asked to begin it.
    expect((await lead.get(here)).text).not.toContain('name="partIds"');
  });

  it('cure nothing that was gathered while somebody was about to close it', async () => {
    const app = await startApp();
    const trialId = await aTrial(app);
    const id = await aRedesign(app, { trialId });
    app.passDays(1);
    await asPerson(app, 'crew', (act) =>
      finishTrial(act, { trialId, before: [], after: [1], passed: true, words: '' }),
    );
    const crew = await app.as('crew');
    const here = `/redesigns/${id}`;
    const seenOn = async () => /name="seen" value="(\d+)"/.exec((await crew.get(here)).text)![1];
    const seen = await seenOn();
    const { read } = app.context.db;
    const { problems } = await read.redesign.findUniqueOrThrow({
      where: { id },
      include: { problems: true },
    });
    const late = await aProblem(app, { title: 'Not tried at all' });
    await asPerson(app, 'lead', (act) =>
      changeRedesign(act, { redesignId: id, title: 'Wider', problemIds: [problems[0]!.id, late] }),
    );
    const refused = await crew.post(`${here}/close`, { seen });
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('Somebody changed this redesign while you were at it');
    expect(await read.problem.count({ where: { curedAt: { not: null } } })).toBe(0);
    expect((await crew.post(`${here}/close`, { seen: await seenOn() })).status).toBe(303);
    expect(await read.problem.count({ where: { curedAt: { not: null } } })).toBe(2);
  });
});
