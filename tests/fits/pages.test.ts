import { expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { aDraft, aReleasedPart } from '../support/drawings.ts';

it('a fit of two released parts is judged, follows a new revision, and is taken off', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  expect((await (await app.as('imre')).get('/fits')).status).toBe(403);
  expect((await lead.get('/fits')).text).toContain('No fit and no chain yet');
  const hole = await aReleasedPart(app, { characteristics: ['25 H7'] });
  const shaft = await aReleasedPart(app, { characteristics: ['25 g6'] });
  const form = (await lead.get(`/fits/new?hole=${hole.number}&shaft=${shaft.number}`)).text;
  expect(form).toContain('1 · 25 H7 in A');
  const fields = {
    holePart: hole.number,
    holePosition: '1',
    shaftPart: shaft.number,
    shaftPosition: '1',
    wanted: 'sliding',
    lowCelsius: '20',
    highCelsius: '20',
  };
  const added = await lead.post('/fits', fields);
  expect([added.status, added.headers.location]).toEqual([303, '/fits/1']);
  const page = (await lead.get('/fits/1')).text;
  expect(page).toContain('0.007 mm to spare, at the tight end');
  expect(page).toContain('0.041 mm');
  expect((await lead.get('/fits')).text).toContain('0.007 mm to spare');

  const { version } = await app.context.db.read.fit.findUniqueOrThrow({ where: { id: 1 } });
  expect((await lead.post('/fits/1', { ...fields, version: version + 1 })).status).toBe(409);
  const pressed = await lead.post('/fits/1', { ...fields, wanted: 'pressed', version });
  expect(pressed.status).toBe(303);
  expect((await lead.get('/fits/1')).text).toContain('What to change');
  await aDraft(app, { partId: shaft.partId });
  expect((await lead.get('/fits/1')).text).toContain('With the drafts');
  expect((await lead.get('/log')).text).toContain('added the fit');
  expect((await lead.post('/fits/1/remove')).status).toBe(303);
  expect((await lead.get('/fits/1')).text).toContain('Taken off the list on');
  expect((await app.context.db.read.fit.findUniqueOrThrow({ where: { id: 1 } })).removedAt).not.toBeNull();
});

it('says at the field what is wrong with a fit, keeps what was typed and stores nothing', async () => {
  const app = await startApp();
  const crew = await app.as('crew');
  const good = { holeText: '25 H7', shaftText: '25 g6', wanted: 'sliding' };
  for (const [wrong, words] of [
    [{ shaftText: '25 H7' }, 'is a zone of a hole'],
    [{ holeText: '25 Q7' }, 'ISO 286 has no letter Q'],
    [{ holeText: '0 H7' }, '0'],
    [{ holeText: '6000 ±1' }, '6000'],
    [{ holeText: '<b>x' }, '&lt;b&gt;x'],
    [{ holeText: '1 in ±0.1 mm' }, 'mm'],
    [{ shaftText: '8 h6' }, 'not of one size'],
    [{ wanted: 'figures', wantedMin: '0,2', wantedMax: '0,1' }, 'the wrong way round'],
    [{ lowCelsius: '40' }, 'the wrong way round'],
    [{ holePart: 'TB-9999' }, 'No part has the number TB-9999'],
  ] as const) {
    const reply = await crew.post('/fits', { ...good, ...wrong });
    expect([wrong, reply.status]).toEqual([wrong, 422]);
    expect(reply.text).toContain(words);
  }
  expect(await app.context.db.read.fit.count()).toBe(0);
  expect(
    (await crew.post('/fits', { ...good, wanted: 'figures', wantedMin: '0,001', wantedMax: '0,1' })).status,
  ).toBe(303);
});

it('a chain of typed sizes and a fit’s play is added up', async () => {
  const app = await startApp();
  const lead = await app.as('lead');
  const head = { title: 'end float', wantedMin: '0', wantedMax: '0,4', lowCelsius: '20', highCelsius: '20' };
  expect((await lead.post('/chains', { ...head, wantedMax: '-1' })).status).toBe(422);
  expect((await lead.post('/chains', head)).headers.location).toBe('/chains/1');
  // the chain "bearing in a housing with a cover" of tests/checks/tolerance/stackups.json: worst case 0.1 to 0.52
  for (const [text, direction] of [
    ['42 +0.1 0', 1],
    ['15 +0 -0.12', -1],
    ['25 ±0.05', -1],
    ['1,8 ±0,05', -1],
  ]) {
    expect((await lead.post('/chains/1/links', { text, direction })).status).toBe(303);
  }
  expect((await lead.post('/chains/1/links', { text: '25', direction: '1' })).text).toContain(
    'has no limits',
  );
  const page = (await lead.get('/chains/1')).text;
  expect(page).toContain('0.1 to 0.52 mm');
  expect(page).toContain('Built 20000 times');
  expect((await lead.get('/fits')).text).toContain('end float');
  expect((await lead.get('/chain-links/2')).status).toBe(200);
  const seen = /name="version" value="(\d+)"/.exec((await lead.get('/chain-links/2')).text)?.[1] ?? '';
  const other = { text: '15 ±0.01', direction: '-1', version: seen };
  expect((await lead.post('/chain-links/2', other)).status).toBe(303);
  const second = await lead.post('/chain-links/2', { ...other, text: '15 ±0.02' });
  expect(second.status).toBe(409);
  expect(second.text).toContain('Somebody else changed this chain meanwhile');
  expect(second.text).toContain('15 ±0.02');
  expect((await lead.get('/chains/1')).text).toContain('15 ±0.01');
  expect((await lead.post('/chain-links/1/remove')).status).toBe(303);
  expect(
    (
      await lead.post('/fits', {
        holeText: '25 H7',
        shaftText: '25 g6',
        wanted: 'sliding',
        lowCelsius: 20,
        highCelsius: 20,
      })
    ).status,
  ).toBe(303);
  expect((await lead.post('/chains/1/links', { fitId: '1', direction: '1' })).status).toBe(303);
  expect((await lead.get('/chains/1')).text).toContain('either way');
  expect((await lead.post('/fits/1/remove')).status).toBe(409);
  expect((await lead.post('/fits/temperatures', { lowCelsius: '-5', highCelsius: '40' })).status).toBe(303);
  expect((await lead.get('/fits')).text).toContain('40 °C');
  expect((await lead.post('/chains/1/remove')).status).toBe(303);
});
