import { describe, expect, it } from 'vitest';
import { createJob } from '../../src/jobs/index.ts';
import { removePart } from '../../src/parts/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { aFabrication, asPerson } from '../support/jobs.ts';
import { aPart, asLead } from '../support/parts.ts';
import { aRedesign, aTrial } from '../support/problems.ts';

/** What a page shows as text in its main block, without markup. */
const shown = (html: string) =>
  html
    .slice(html.indexOf('<main'), html.indexOf('</main>'))
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

const plan = {
  kind: 'other',
  title: 'Torque when warm',
  measured: 'torque',
  unit: 'Nm',
  how: '',
  passWhen: 'below 3 Nm',
  wantedMin: '',
  wantedMax: '',
  worthwhile: '',
  plannedOn: '2026-03-20',
  before: '4,1 3,8 4,6',
  noiseBefore: '',
  runsBefore: '',
  runsUnit: '',
  part: '',
  jobId: '',
  redesignId: '',
};
const result = { before: '4,1; 3,8; 4,6', after: '3.1 2.9 3.3', passed: 'yes', words: '' };

const row = (app: TestApp, id: number) => app.context.db.read.trial.findUniqueOrThrow({ where: { id } });
const idIn = (location: string | undefined) => Number(/\/trials\/(\d+)$/.exec(location ?? '')?.[1]);

describe('the trials’ pages', () => {
  it('ask first what is measured, and keep what it is for', async () => {
    const app = await startApp();
    const id = await aRedesign(app, { title: 'The cure' });
    const lead = await app.as('lead');
    expect((await lead.get('/trials')).text).toContain('No trial yet');
    const kinds = await lead.get(`/trials/new?redesign=${id}&part=TB-0002`);
    for (const word of [
      'A level',
      'A time',
      'A force',
      'A size',
      'Failures counted',
      'Yes or no',
      'Something else',
    ]) {
      expect(shown(kinds.text)).toContain(word);
    }
    expect(kinds.text).toContain(`href="/trials/new?kind=level&amp;redesign=${id}&amp;part=TB-0002"`);
    const form = (await lead.get(`/trials/new?kind=level&redesign=${id}&part=TB-0002`)).text;
    expect(form).toContain(`value="${id}" selected`);
    expect(form).toContain('name="noiseBefore"');
    expect(form).toMatch(/name="unit"[^>]*value="dB"/);
    expect(form).toContain(`href="/trials/new?kind=time&amp;redesign=${id}&amp;part=TB-0002"`);
    const yesNo = (await lead.get('/trials/new?kind=yes-no')).text;
    expect(yesNo).not.toContain('name="unit"');
    expect(yesNo).not.toContain('name="noiseBefore"');
    expect((await lead.get('/trials/new?kind=failures')).text).toContain('name="runsBefore"');
    expect(shown((await lead.get('/trials/new?kind=nonsense')).text)).toContain('What is measured?');
    expect((await (await app.as('imre')).get('/trials/new')).status).toBe(403);
  });

  it('plan one for a redesign, take its result with commas, and say what so few values show', async () => {
    const app = await startApp();
    const id = await aRedesign(app, { title: 'The cure' });
    const lead = await app.as('lead');
    const sent = await lead.post('/trials', { ...plan, redesignId: String(id) });
    const here = sent.headers.location!;
    expect(shown((await lead.get(`/redesigns/${id}`)).text)).toContain('Torque when warm planned for 20 Mar');
    expect(shown((await lead.get(here)).text)).toContain('the values after the change are still to come');
    expect((await lead.post(`${here}/result`, result)).headers.location).toBe(here);
    const page = (await lead.get(here)).text;
    expect(shown(page)).toContain('passed');
    expect(shown(page)).toContain('After is lower by');
    expect(shown(page)).toContain('do not show whether it holds on another day');
    expect(shown(page)).toMatch(/Mean before 4\.17 Nm 3 values/);
    expect(page).toContain('role="img" aria-label="After is lower by');
    expect((await lead.get('/trials')).text).toContain('3 before, 3 after');
    const closed = await lead.post(`/redesigns/${id}/close`);
    expect(closed.status).toBe(303);
    expect(shown((await lead.get('/problems')).text)).toContain('Cured 1');
    expect((await lead.post(`${here}/correct`, { ...result, passed: 'no' })).status).toBe(409);
  });

  it('say at the field what does not fit, and keep what was typed', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const { jobId } = await aFabrication(app);
    const cases: [Record<string, string>, string][] = [
      [{ title: ' ' }, 'Say in one line what is tried.'],
      [{ measured: '' }, 'Say what is measured'],
      [{ unit: 'x'.repeat(21) }, 'At most 20 characters'],
      [{ plannedOn: '2026-02-30' }, 'Type a day as year-month-day'],
      [{ plannedOn: '9999-01-01' }, 'Type a day between 2000 and 2099.'],
      [{ before: '4,1 vier' }, 'Line 1, value 2, “vier”, is not a number'],
      [
        { before: '4,1\n4,2 bar' },
        'Line 2, value 2, “bar”, is not a number. Only the unit Nm may stand after one.',
      ],
      [{ before: '1 '.repeat(10_001) }, 'At most 10,000 values'],
      [{ part: 'TB-9999' }, 'No part has the number TB-9999.'],
      [{ jobId: '999' }, 'There is no job 999.'],
      [{ jobId: String(jobId) }, `Job ${jobId} is no trial`],
      [{ redesignId: '9' }, 'Choose a redesign of the list.'],
      [{ kind: 'smell' }, 'Choose a kind of the list.'],
      [{ wantedMin: 'three' }, 'Type a number.'],
      [{ wantedMin: '3', wantedMax: '2,5' }, 'At least 3 and at most 2.5: no value can be both.'],
      [{ worthwhile: '0' }, 'More than 0, or leave it empty.'],
      [{ worthwhile: '-1' }, 'At least 0'],
      [{ kind: 'level', unit: 'Nm' }, 'A level is in dB'],
      [{ kind: 'level', unit: 'dB', noiseBefore: 'quiet' }, 'Line 1, value 1, “quiet”'],
      [{ kind: 'time', unit: '' }, 'Name the unit'],
      [{ kind: 'force', unit: 'Nm' }, 'A force is in'],
      [{ kind: 'yes-no', before: 'yes maybe' }, 'is neither yes nor no'],
      [{ kind: 'yes-no', before: '7 of 10', wantedMin: '101' }, 'At most 100 %'],
      [{ kind: 'failures', before: '2.5', runsBefore: '10' }, 'is no count'],
      [{ kind: 'failures', before: '2' }, 'Type in how many runs, hours or pieces they were counted.'],
      [{ kind: 'failures', before: '2', runsBefore: '0' }, 'in none nothing can be counted'],
      [{ kind: 'failures', before: '', runsBefore: '20' }, 'Type how many failures were counted'],
    ];
    for (const [wrong, sentence] of cases) {
      const { status, text } = await lead.post('/trials', { ...plan, how: 'My <way>', ...wrong });
      expect([status, sentence]).toEqual([422, sentence]);
      expect(text).toContain(sentence);
      expect(text).toContain('My &lt;way&gt;');
      for (const name of ['before', 'noiseBefore']) {
        const typed = wrong[name];
        if (typed && typed.length < 100) expect(text).toContain(typed);
      }
    }
    expect(await app.context.db.read.trial.count()).toBe(0);
    const here = `/trials/${await aTrial(app)}`;
    const wrong: [Record<string, string>, number, string][] = [
      [{ passed: '' }, 422, 'Say whether it was passed.'],
      [{ passed: 'perhaps' }, 422, 'Say whether it was passed.'],
      [{ after: '1,2,3' }, 422, 'is not a number'],
      [{ after: '', words: '' }, 409, 'Paste the values after the change'],
    ];
    for (const [fields, status, sentence] of wrong) {
      const sent = await lead.post(`${here}/result`, { ...result, ...fields });
      expect(sent.status).toBe(status);
      expect(sent.text).toContain(sentence);
      expect(sent.text).toContain('4,1; 3,8; 4,6');
    }
    expect((await lead.post('/trials/77/result', result)).status).toBe(404);
    expect((await lead.post('/trials/77/look', result)).status).toBe(404);
    expect((await lead.get('/trials/77/look')).headers.location).toBe('/trials/77');
    expect((await lead.get('/trials/77/values.csv')).status).toBe(404);
    expect(shown((await lead.get(here)).text)).toContain('planned');
  });

  it('show what values say before anything is written down', async () => {
    const app = await startApp();
    const id = await aTrial(app, { wantedMax: 3 });
    const lead = await app.as('lead');
    const looked = await lead.post(`/trials/${id}/look`, { ...result, passed: '', words: 'Warm <day>' });
    expect(looked.status).toBe(200);
    expect(shown(looked.text)).toContain('They are not written down yet.');
    expect(shown(looked.text)).toContain('After is lower by');
    expect(shown(looked.text)).toContain(
      'Wanted: at most 3 Nm. The mean after, 3.10 Nm, lies outside, but its 95 % interval',
    );
    expect(looked.text).toContain('4,1; 3,8; 4,6');
    expect(looked.text).toContain('Warm &lt;day&gt;');
    expect(await row(app, id)).toMatchObject({ before: '[]', after: '[]', passed: null });
    const wrong = await lead.post(`/trials/${id}/look`, { ...result, after: 'abc' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('“abc”, is not a number');
  });

  it('never judge, but say when the word and the numbers disagree', async () => {
    const app = await startApp();
    const id = await aTrial(app, { wantedMax: 3 });
    const lead = await app.as('lead');
    await lead.post(`/trials/${id}/result`, { ...result, after: '4,1 4,2 4' });
    expect(await row(app, id)).toMatchObject({ passed: true });
    expect(shown((await lead.get(`/trials/${id}`)).text)).toContain(
      'The word is passed, but the values after lie outside',
    );
  });

  it('change a plan until it is made, and correct a result afterwards', async () => {
    const app = await startApp();
    const jobId = await asPerson(app, 'lead', (act) =>
      createJob(act, { kind: 'trial', title: 'Warm run', partId: null, milli: 1000 }),
    );
    const id = await aTrial(app, { jobId });
    const crew = await app.as('crew');
    const { redesignId: _, ...change } = plan;
    const send = () => crew.post(`/trials/${id}/change`, { ...change, jobId: String(jobId), seen: '0' });
    expect((await send()).status).toBe(303);
    expect((await send()).status).toBe(409);
    expect((await crew.get(`/trials/${id}`)).text).toContain(`Its job ${jobId} is finished with it`);
    await crew.post(`/trials/${id}/result`, { ...result, passed: 'no', finishJob: 'yes' });
    expect(await app.context.db.read.job.findUniqueOrThrow({ where: { id: jobId } })).toMatchObject({
      result: 'Trial Torque when warm: failed.',
    });
    const late = await send();
    expect(late.status).toBe(409);
    // the result stays in its form
    expect(late.text).toMatch(/value="no" checked/);
    expect((await crew.post(`/trials/${id}/correct`, { ...result, after: '9 8 9,5' })).status).toBe(303);
    expect(shown((await crew.get(`/trials/${id}`)).text)).toContain('After is higher by');
  });

  it('take one result of two that are sent at the same moment', async () => {
    const app = await startApp();
    const id = await aTrial(app);
    const [lead, crew] = [await app.as('lead'), await app.as('crew')];
    const send = (who: typeof lead, words: string) => who.post(`/trials/${id}/result`, { ...result, words });
    const sent = await Promise.all([send(lead, 'Lead saw it'), send(crew, 'Crew saw it')]);
    expect(sent.map(({ status }) => status).sort()).toEqual([303, 409]);
    const refused = sent.find(({ status }) => status === 409)?.text ?? '';
    expect(refused).toContain('This trial is made already. Its result can be corrected.');
    expect(await app.context.db.read.act.count({ where: { kind: 'finish-trial' } })).toBe(1);
  });

  it('tell the second of two that somebody changed the plan, and keep what he typed', async () => {
    const app = await startApp();
    const id = await aTrial(app);
    const lead = await app.as('lead');
    const { redesignId: _, ...change } = plan;
    expect((await lead.post(`/trials/${id}/change`, { ...change, seen: '0' })).status).toBe(303);
    const crew = await app.as('crew');
    const second = await crew.post(`/trials/${id}/change`, { ...change, title: 'My plan', seen: '0' });
    expect([second.status, second.text.includes('value="My plan"')]).toEqual([409, true]);
    const told = /name="seen" value="(\d+)"/.exec(second.text)?.[1] ?? '';
    const sent = await crew.post(`/trials/${id}/change`, { ...change, title: 'My plan', seen: told });
    expect(sent.status).toBe(303);
    const late = await crew.post(`/trials/${id}/result`, { ...result, seen: '0', words: 'Mine' });
    expect(late.status).toBe(409);
    expect(late.text).toContain('Somebody changed this while you were at it.');
    expect(late.text).toContain('3.1 2.9 3.3');
    expect(late.text).toContain('Mine');
    // the page says what is there now, so sending it again is meant
    const seen = /name="seen" value="(\d+)"/.exec(late.text)?.[1] ?? '';
    expect((await crew.post(`/trials/${id}/result`, { ...result, seen, words: 'Mine' })).status).toBe(303);
    expect((await crew.post(`/trials/${id}/correct`, { ...result, seen, passed: 'no' })).status).toBe(303);
    expect((await crew.post(`/trials/${id}/correct`, { ...result, seen })).status).toBe(409);
  });
});

describe('a trial of each kind', () => {
  it('yes and no: is planned, tried and compared', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const sent = await lead.post('/trials', {
      ...plan,
      kind: 'yes-no',
      unit: 'ignored',
      before: '3 of 10',
      wantedMin: '80',
      worthwhile: '20',
    });
    const id = idIn(sent.headers.location);
    expect(await row(app, id)).toMatchObject({
      kind: 'yes-no',
      unit: '',
      before: '[1,1,1,0,0,0,0,0,0,0]',
      wantedMin: 80,
    });
    const planned = await lead.get(`/trials/${id}`);
    expect(shown(planned.text)).toContain('at least 80 %');
    expect(shown(planned.text)).toContain('20 percentage points');
    expect(
      (
        await lead.post(`/trials/${id}/result`, {
          ...result,
          before: '3 of 10',
          after: '1 1 1 1 1 1 1 1 1 0',
        })
      ).status,
    ).toBe(303);
    const page = (await lead.get(`/trials/${id}`)).text;
    expect(shown(page)).toContain('After, yes comes more often: 9 of 10 instead of 3 of 10');
    expect(shown(page)).toContain(
      'The share after, 90 %, lies within, but its 95 % interval, 60 % to 98 %, reaches beyond',
    );
    expect((await lead.get('/trials')).text).toContain('3 of 10 before, 9 of 10 after');
    const table = await lead.get(`/trials/${id}/values.csv`);
    expect(table.headers['content-type']).toContain('text/csv');
    expect(table.text.split('\r\n').slice(0, 3)).toEqual(['side,value', 'before,1', 'before,1']);
  });

  it('failures: are counted in hours', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const sent = await lead.post('/trials', {
      ...plan,
      kind: 'failures',
      before: '4 5',
      runsBefore: '60,5',
      runsUnit: 'hours',
      wantedMax: '2',
    });
    const id = idIn(sent.headers.location);
    expect(await row(app, id)).toMatchObject({
      before: '[4,5]',
      runsBefore: 60.5,
      runsUnit: 'hours',
      unit: '',
    });
    const edit = (await lead.get(`/trials/${id}/change`)).text;
    expect(edit).toMatch(/name="runsBefore"[^>]*value="60.5"/);
    const body = { before: '4 5', runsBefore: '60.5', after: '0', runsAfter: '', passed: 'yes', words: '' };
    const wrong = await lead.post(`/trials/${id}/result`, body);
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('Type in how many runs');
    expect((await lead.post(`/trials/${id}/result`, { ...body, runsAfter: '80' })).status).toBe(303);
    const page = shown((await lead.get(`/trials/${id}`)).text);
    expect(page).toContain('Failures come less often after');
    expect(page).toContain(
      'None seen does not show that it never fails: a rate of up to 4.61 in 100 hours fits as well.',
    );
    expect((await lead.get('/trials')).text).toContain('9 in 60.5 hours before, 0 in 80 hours after');
  });

  it('levels: stand above their noise', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const sent = await lead.post('/trials', {
      ...plan,
      kind: 'level',
      unit: 'dB(A)',
      before: '60 dB 61 60,5',
      noiseBefore: '54 55 54,5',
    });
    const id = idIn(sent.headers.location);
    expect(await row(app, id)).toMatchObject({ before: '[60,61,60.5]', noiseBefore: '[54,55,54.5]' });
    const body = {
      ...result,
      before: '60 61 60,5',
      noiseBefore: '54 55 54,5',
      after: '63 64 63,4',
      noiseAfter: '50 51 51,2',
    };
    expect((await lead.post(`/trials/${id}/result`, body)).status).toBe(303);
    const page = shown((await lead.get(`/trials/${id}`)).text);
    expect(page).toContain('The signal stands 7.7 dB further above its noise after the change.');
    expect(page).toContain('Without its noise, before 59.3 dB(A)');
  });

  it('another kind can be chosen until it is made; what does not belong to it is left out', async () => {
    const app = await startApp();
    const id = await aTrial(app, { kind: 'level', unit: 'dB', noiseBefore: [40], before: [60] });
    const lead = await app.as('lead');
    const form = (await lead.get(`/trials/${id}/change?kind=time`)).text;
    expect(form).toContain('name="kind" value="time"');
    expect(form).toMatch(/name="unit"[^>]*value="s"/);
    const seen = /name="seen" value="(\d+)"/.exec(form)?.[1] ?? '';
    const { redesignId: _, ...change } = plan;
    const sent = await lead.post(`/trials/${id}/change`, {
      ...change,
      kind: 'time',
      unit: 's',
      noiseBefore: '40',
      seen,
    });
    expect(sent.status).toBe(303);
    expect(await row(app, id)).toMatchObject({ kind: 'time', noiseBefore: '[]', before: '[4.1,3.8,4.6]' });
    // somebody had the old form open, whose values no longer fit
    await lead.post(`/trials/${id}/change`, {
      ...change,
      kind: 'yes-no',
      before: '',
      seen: String(await newest(app, id)),
    });
    const late = await lead.post(`/trials/${id}/result`, result);
    expect(late.status).toBe(422);
    expect(late.text).toContain('is neither yes nor no');
  });

  it('shows small limits as they were typed, keeps a part that was taken out, and wants a title', async () => {
    const app = await startApp();
    const { id: partId, number } = await aPart(app);
    const id = await aTrial(app, { partId });
    await asLead(app, (act) => removePart(act, partId, () => []));
    const lead = await app.as('lead');
    const { redesignId: _, ...change } = { ...plan, part: number };
    const sent = { ...change, wantedMin: '0.0000001', worthwhile: '0,00000025' };
    expect((await lead.post(`/trials/${id}/change`, { ...sent, seen: '0' })).status).toBe(303);
    expect(await row(app, id)).toMatchObject({ partId, wantedMin: 1e-7, worthwhile: 2.5e-7 });
    const form = (await lead.get(`/trials/${id}/change`)).text;
    expect(form).toMatch(/name="wantedMin"[^>]*value="0.0000001"/);
    expect(form).toMatch(/name="worthwhile"[^>]*value="0.00000025"/);
    expect(shown((await lead.get(`/trials/${id}`)).text)).toContain('mean at least 0.0000001 Nm');
    const nameless = await lead.post('/trials', { ...plan, title: '...' });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('Say in one line what is tried.');
  });

  it('takes ten thousand levels of every list, with nine decimals', async () => {
    const app = await startApp();
    const id = await aTrial(app, { kind: 'level', unit: 'dB' });
    const lead = await app.as('lead');
    const many = (middle: number) =>
      Array.from({ length: 10_000 }, (_, at) => (middle + (at % 97) / 1e4).toFixed(9)).join('\r\n');
    const levels = { before: many(60), after: many(61), noiseBefore: many(40), noiseAfter: many(41) };
    expect((await lead.post(`/trials/${id}/look`, levels)).status).toBe(200);
    const sent = await lead.post(`/trials/${id}/result`, { ...levels, passed: 'yes', words: '' });
    expect(sent.status).toBe(303);
  });

  it('takes readings that are all the same', async () => {
    const app = await startApp();
    const id = await aTrial(app, { wantedMax: 0.7 });
    const lead = await app.as('lead');
    const same = { ...result, before: '0.7 0.7 0.7', after: '0.7 0.7 0.7' };
    const looked = await lead.post(`/trials/${id}/look`, same);
    expect(looked.status).toBe(200);
    expect(shown(looked.text)).toContain('The mean after, 0.70 Nm, lies within');
    expect(shown(looked.text)).toContain('the instrument reads no finer');
    expect((await lead.post(`/trials/${id}/result`, same)).status).toBe(303);
    expect((await lead.get(`/trials/${id}`)).status).toBe(200);
  });

  it('takes ten thousand values a side, and its log does not', async () => {
    const app = await startApp();
    const id = await aTrial(app);
    const lead = await app.as('lead');
    const many = (middle: number) =>
      Array.from({ length: 10_000 }, (_, at) => (middle + (at % 97) / 100).toFixed(2)).join('\n');
    const began = performance.now();
    expect(
      (await lead.post(`/trials/${id}/result`, { ...result, before: many(4), after: many(3) })).status,
    ).toBe(303);
    const page = await lead.get(`/trials/${id}`);
    expect(performance.now() - began).toBeLessThan(3000);
    expect(page.text.length).toBeLessThan(200_000);
    expect(shown(page.text)).toContain('and 9,800 more values');
    await lead.post(`/trials/${id}/correct`, { ...result, before: many(4), after: many(2) });
    const log = await app.context.db.read.act.findFirstOrThrow({
      where: { kind: 'change-trial' },
      orderBy: { id: 'desc' },
    });
    expect(log.after).toContain('10000 values');
    expect(String(log.after).length).toBeLessThan(500);
  });
});

async function newest(app: TestApp, thingId: number): Promise<number> {
  const found = await app.context.db.read.act.findFirstOrThrow({
    where: { thingType: 'trial', thingId, kind: 'change-trial' },
    orderBy: { id: 'desc' },
  });
  return found.id;
}
