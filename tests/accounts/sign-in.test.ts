import { describe, expect, it } from 'vitest';
import { startApp } from '../support/app.ts';
import { CAST_PASSWORD } from '../support/cast.ts';

describe('set-up', () => {
  it('is the first page of an empty data folder, makes build and lead, and signs the lead in', async () => {
    const { visitor, context } = await startApp({ empty: true });
    const lead = visitor();
    expect((await lead.get('/board')).headers.location).toBe('/set-up');
    const form = {
      name: 'Orrery <b>',
      about: '',
      partPrefix: 'or',
      country: 'no',
      timeZone: 'Europe/Oslo',
      currency: 'eur',
      leadWeeklyHours: '7,5',
      leadName: 'Ottilie',
      email: 'O@Example.org',
      password: 'long enough it is',
    };
    const wrong = await lead.post('/set-up', { ...form, timeZone: 'Mars/Base', password: 'short' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('No such time zone');
    expect(wrong.text).toContain('At least 10 characters.');
    expect(wrong.text).toContain('Orrery &lt;b&gt;');
    expect(wrong.text).not.toContain('value="short"');
    expect(await context.db.read.build.count()).toBe(0);

    const done = await lead.post('/set-up', form);
    expect(done.status).toBe(303);
    const build = await context.db.read.build.findUniqueOrThrow({ where: { id: 1 } });
    expect(build).toMatchObject({ partPrefix: 'OR', country: 'NO', leadWeeklyHours: 7.5 });
    expect(await context.db.read.material.count()).toBeGreaterThan(10);
    expect((await lead.get('/sign-in')).status).toBe(303);
    expect((await visitor().post('/set-up', form)).headers.location).toBe('/');
    expect(await context.db.read.person.count()).toBe(1);
  });
});

describe('sign-in', () => {
  it('refuses a wrong password with one sentence and keeps the address', async () => {
    const { visitor } = await startApp();
    const answer = await visitor().post('/sign-in', { email: 'lead@example.org', password: 'wrong' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('No account has this address and password.');
    expect(answer.text).toContain('value="lead@example.org"');
  });

  it('makes the ninth try in a quarter of an hour wait, even with the right password', async () => {
    const { visitor, passDays } = await startApp();
    const one = visitor();
    for (let n = 0; n < 8; n += 1)
      await one.post('/sign-in', { email: 'lead@example.org', password: `wrong ${n}` });
    expect((await one.post('/sign-in', { email: 'lead@example.org', password: CAST_PASSWORD })).status).toBe(
      429,
    );
    passDays(1);
    expect((await one.post('/sign-in', { email: 'lead@example.org', password: CAST_PASSWORD })).status).toBe(
      303,
    );
  });

  it('refuses a form without the token, and one from another origin', async () => {
    const { visitor } = await startApp();
    const one = visitor();
    expect((await one.agent.post('/sign-in').type('form').send({ email: 'a', password: 'b' })).status).toBe(
      403,
    );
    const body = { email: 'lead@example.org', password: CAST_PASSWORD, _csrf: await one.csrf() };
    const foreign = await one.agent
      .post('/sign-in')
      .set('origin', 'https://elsewhere.example')
      .type('form')
      .send(body);
    expect(foreign.status).toBe(403);
  });

  it('leads back to where the person was going, never to another host', async () => {
    const { visitor } = await startApp();
    const secret = { email: 'lead@example.org', password: CAST_PASSWORD };
    expect(
      (await visitor().post('/sign-in', { ...secret, back: '/parts/TB-0001?x=1' })).headers.location,
    ).toBe('/parts/TB-0001?x=1');
    expect(
      (await visitor().post('/sign-in', { ...secret, back: '//elsewhere.example' })).headers.location,
    ).toBe('/');
  });
});
