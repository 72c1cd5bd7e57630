import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim } from '../support/jobs.ts';

const tool = {
  name: 'Lathe',
  processId: '',
  xMm: '250',
  yMm: '250,5',
  zMm: '',
  materials: 'brass',
  note: '',
};

describe('makers', () => {
  it('are listed for the lead alone', async () => {
    const test = await startApp();
    const { status, text } = await (await test.as('lead')).get('/makers');
    expect(status).toBe(200);
    expect(text).toContain('Imre Kovacs');
    for (const who of ['crew', 'imre'] as const)
      expect((await (await test.as(who)).get('/makers')).status).toBe(403);
  });

  it('show private details to the lead and themselves, to nobody else', async () => {
    const test = await startApp();
    const path = `/makers/${castId.imre}`;
    for (const who of ['lead', 'imre'] as const) {
      const { status, text } = await (await test.as(who)).get(path);
      expect(status).toBe(200);
      expect(text).toContain('1 Hill Road');
    }
    for (const who of ['crew', 'farid'] as const) {
      const { status, text } = await (await test.as(who)).get(path);
      expect(status).toBe(403);
      expect(text).not.toContain('Hill Road');
    }
    expect((await (await test.as('lead')).get('/makers/999')).status).toBe(404);
  });

  it('have their promises drawn, on their page and on the page of all', async () => {
    const test = await startApp();
    await aClaim(test, { soonestDays: 5, likelyDays: 10, latestDays: 20 });
    test.passDays(26);
    const lead = await test.as('lead');
    for (const path of ['/makers', `/makers/${castId.imre}`]) {
      const { text } = await lead.get(path);
      // the scale is a little longer than the 26 days so far; what is open is an empty circle, what is late a line of its own
      expect(text).toContain('<line class="c-thin" x1="18.49%" x2="73.96%" y1="0" y2="0"/>');
      expect(text).toContain('<line class="c-thick" x1="36.98%" x2="36.98%"');
      expect(text).toContain('<line class="c-post c-need" x1="73.96%" x2="96.15%"');
      expect(text).toContain('<circle class="c-paper" cx="96.15%"');
      expect(text).not.toMatch(/ style=/);
    }
    const { text } = await lead.get(`/makers/${castId.imre}?page=99`);
    expect(text).toContain('5 / 10 / 20 d');
    expect(text).toContain('late by 6 days so far');
    // who promised nothing has no picture
    expect((await lead.get(`/makers/${castId.farid}?page=x`)).text).not.toContain('datebar');
    expect((await lead.get('/makers')).text.match(/<svg class="strip"/g)).toHaveLength(1);
  });

  it('keep their tools and days away', async () => {
    const test = await startApp();
    const imre = await test.as('imre');
    const path = `/makers/${castId.imre}`;
    expect((await imre.post(`${path}/tools`, { ...tool, processId: '1' })).status).toBe(303);
    expect((await imre.get(path)).text).toContain('250 × 250.5 mm');
    expect(
      (await imre.post(`${path}/away`, { fromOn: '2026-04-01', untilOn: '2026-04-05', note: 'fair' })).status,
    ).toBe(303);
    expect((await imre.get(path)).text).toContain('1 Apr to 5 Apr');
    const { id } = await test.context.db.read.tool.findFirstOrThrow();
    expect((await imre.post(`${path}/tools/${id}/remove`)).status).toBe(303);
    expect((await imre.post(`${path}/tools/${id}/remove`)).status).toBe(409);
    expect((await imre.post(`/makers/${castId.farid}/tools`, tool)).status).toBe(403);
    expect(await test.context.db.read.act.count({ where: { aboutId: castId.imre } })).toBe(3);
  });

  it.each([
    ['tools', { ...tool, name: '' }, 'Name the tool.'],
    ['tools', { ...tool, xMm: '-5' }, 'At least 0.1 mm; this is -5.'],
    ['tools', { ...tool, processId: '9999' }, 'Choose one of the list.'],
    ['tools', { ...tool, processId: 'x' }, 'Choose one of the list.'],
    [
      'away',
      { fromOn: '2026-04-05', untilOn: '2026-04-01', note: '' },
      'The last day lies before the first, 2026-04-05.',
    ],
    ['away', { fromOn: '2026-02-30', untilOn: '2026-04-01', note: '' }, 'Type a day as year-month-day'],
    ['away', { fromOn: '2026-02-20', untilOn: '3026-04-01', note: '' }, 'Type a day between 2000 and 2099.'],
  ])('refuse a wrong form of %s', async (path, fields, sentence) => {
    const test = await startApp();
    const imre = await test.as('imre');
    const answer = await imre.post(`/makers/${castId.imre}/${path}`, { ...fields, note: '<i>kept</i>' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('&lt;i&gt;kept&lt;/i&gt;');
    expect(await test.context.db.read.tool.count()).toBe(0);
    expect(await test.context.db.read.away.count()).toBe(0);
  });
});
