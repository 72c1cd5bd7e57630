import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';

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
