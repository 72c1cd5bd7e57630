import { describe, expect, it } from 'vitest';
import { startApp, type TestApp } from '../support/app.ts';
import { CAST_PASSWORD, castId } from '../support/cast.ts';

const details = {
  name: 'Imre Kovacs',
  email: 'imre@example.org',
  reach: '',
  address: '1 Hill Road',
  country: 'NZ',
  thanksBy: 'name',
  alias: '',
  weeklyHours: '4',
  lengthUnit: 'mm',
  about: '',
};
const account = { name: 'Noor', country: 'be', email: 'noor@example.org', password: 'a long password' };

async function linkFrom(test: TestApp, path: string, fields: Record<string, string>): Promise<string> {
  const lead = await test.as('lead');
  const { headers } = await lead.post(path, fields);
  const { text } = await lead.get(headers.location!);
  return new URL(/http:\/\/127\.0\.0\.1(\/(?:invitation|sign-in-link)\/[\w-]+)/.exec(text)![0]).pathname;
}

describe('an invitation', () => {
  it('makes one account with its role, then is spent', async () => {
    const test = await startApp();
    const link = await linkFrom(test, '/people/invitations', { role: 'maker', note: 'Noor' });
    const guest = test.visitor();
    expect((await guest.get(link)).text).toContain('You come as <b>maker</b>');
    const wrong = await guest.post(link, { ...account, email: 'lead@example.org' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('Another account has this address.');
    expect(wrong.text).toContain('value="Noor"');
    expect((await guest.post(link, account)).status).toBe(303);
    expect(
      await test.context.db.read.person.findUnique({ where: { email: 'noor@example.org' } }),
    ).toMatchObject({
      role: 'maker',
      country: 'BE',
    });
    expect((await guest.get('/me')).status).toBe(200);
    expect((await test.visitor().get(link)).status).toBe(409);
    expect((await test.visitor().post(link, { ...account, email: 'two@example.org' })).status).toBe(409);
    expect(await test.context.db.read.person.count()).toBe(6);
  });

  it('used by two at the same moment makes one account', async () => {
    const test = await startApp();
    const link = await linkFrom(test, '/people/invitations', { role: 'maker', note: '' });
    const guests = [test.visitor(), test.visitor()];
    const answers = await Promise.all(
      guests.map((guest, n) => guest.post(link, { ...account, email: `guest${n}@example.org` })),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 409]);
  });

  it('opens nothing when too old or taken back', async () => {
    const test = await startApp();
    const old = await linkFrom(test, '/people/invitations', { role: 'crew', note: '' });
    test.passDays(15);
    expect((await test.visitor().get(old)).status).toBe(409);
    const taken = await linkFrom(test, '/people/invitations', { role: 'crew', note: '' });
    const lead = await test.as('lead');
    const ticket = await test.context.db.read.ticket.findFirstOrThrow({ orderBy: { id: 'desc' } });
    expect((await lead.post(`/people/links/${ticket.id}/take-back`)).status).toBe(303);
    expect((await test.visitor().get(taken)).status).toBe(409);
  });

  it('is for the lead to make', async () => {
    const test = await startApp();
    for (const who of ['crew', 'imre'] as const) {
      const one = await test.as(who);
      expect((await one.post('/people/invitations', { role: 'lead', note: '' })).status).toBe(403);
      expect((await one.get('/people')).status).toBe(403);
    }
    const away = await test.visitor().get('/people?x=1');
    expect(away.status).toBe(303);
    expect(away.headers.location).toBe('/sign-in?back=%2Fpeople%3Fx%3D1');
  });
});

describe('a sign-in link', () => {
  it('is not used up by being looked at, opens the account once, and replaces an older one', async () => {
    const test = await startApp();
    const older = await linkFrom(test, `/people/${castId.imre}/sign-in-link`, {});
    const link = await linkFrom(test, `/people/${castId.imre}/sign-in-link`, {});
    expect((await test.visitor().get(older)).status).toBe(409);
    const imre = test.visitor();
    expect((await imre.get(link)).text).toContain('Sign in as Imre Kovacs');
    expect((await imre.get(link)).status).toBe(200);
    expect((await imre.post(link)).status).toBe(303);
    expect((await imre.get('/me')).text).toContain('Imre Kovacs');
    expect((await test.visitor().post(link)).status).toBe(409);
  });
});

describe('a person', () => {
  it('changes their own details, never those of another', async () => {
    const test = await startApp();
    const imre = await test.as('imre');
    expect(
      (await imre.post('/me', { ...details, weeklyHours: '6,5', thanksBy: 'alias', alias: 'Hill' })).status,
    ).toBe(303);
    expect(await test.context.db.read.person.findUnique({ where: { id: castId.imre } })).toMatchObject({
      weeklyHours: 6.5,
      alias: 'Hill',
    });
    expect((await imre.post(`/people/${castId.farid}`, details)).status).toBe(403);
    expect((await imre.get(`/people/${castId.farid}`)).status).toBe(403);
  });

  it.each([
    ['weeklyHours', '-1', 'At least 0 hours; this is -1.'],
    ['weeklyHours', 'many', 'Type a number.'],
    ['name', '', 'Type a name.'],
    ['name', 'x'.repeat(81), 'At most 80 characters; this has 81.'],
    ['name', 'a\u202eb', 'This holds characters that cannot be seen'],
    ['country', 'Norway', 'At most 2 characters'],
    ['thanksBy', 'loudly', 'Choose how you are thanked.'],
    ['email', 'not an address', 'Type a mail address'],
    ['email', 'farid@example.org', 'Another account has this address.'],
  ])('keeps what was typed when %s is %j', async (field, value, sentence) => {
    const test = await startApp();
    const imre = await test.as('imre');
    const answer = await imre.post('/me', { ...details, about: '<script>alert(1)</script>', [field]: value });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
    const stored = await test.context.db.read.person.findUniqueOrThrow({ where: { id: castId.imre } });
    expect(stored).toMatchObject({ name: 'Imre Kovacs', about: '', email: 'imre@example.org' });
  });

  it('who sets a password is signed out everywhere else', async () => {
    const test = await startApp();
    const [here, there] = [await test.as('imre'), await test.as('imre')];
    expect((await here.post('/me/password', { password: 'another long one' })).status).toBe(303);
    expect((await here.get('/me')).status).toBe(200);
    expect((await there.get('/me')).status).toBe(303);
    expect((await here.post('/sign-out-everywhere')).status).toBe(303);
    expect((await here.get('/me')).status).toBe(303);
  });

  it('who leaves is forgotten, and the log still counts what was done', async () => {
    const test = await startApp();
    const imre = await test.as('imre');
    await imre.post('/me', { ...details, about: 'I turn brass.' });
    expect((await imre.post('/me/forget')).status).toBe(422);
    const wrong = await imre.post('/me/forget', { sure: 'yes', presentPassword: 'not this one' });
    expect(wrong.text).toContain('<details class="danger" open>');
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('This is not your password.');
    expect(wrong.text).not.toContain('not this one');
    expect((await imre.post('/me/forget', { sure: 'yes', presentPassword: CAST_PASSWORD })).status).toBe(303);
    const { db } = test.context;
    const row = await db.read.person.findUniqueOrThrow({ where: { id: castId.imre } });
    expect(JSON.stringify(row)).not.toMatch(/Imre|Kovacs|Hill Road|example\.org|brass/);
    expect(await db.read.session.count({ where: { personId: castId.imre } })).toBe(0);
    expect(await db.read.act.count({ where: { personId: castId.imre } })).toBeGreaterThan(0);
    expect(
      (await test.visitor().post('/sign-in', { email: 'imre@example.org', password: CAST_PASSWORD })).status,
    ).toBe(422);
  });

  it('whose account is closed is signed out and stays out until it is opened', async () => {
    const test = await startApp();
    const [lead, farid] = [await test.as('lead'), await test.as('farid')];
    await lead.post(`/people/${castId.farid}/close`);
    expect((await farid.get('/me')).status).toBe(303);
    await lead.post(`/people/${castId.farid}/open`);
    expect((await (await test.as('farid')).get('/me')).status).toBe(200);
  });
});

describe('the only lead', () => {
  it('can neither be closed, nor demoted, nor forgotten', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    const refused = await lead.post(`/people/${castId.lead}/role`, { role: 'crew' });
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('This is the only lead.');
    expect((await lead.post(`/people/${castId.lead}/close`)).status).toBe(409);
    expect((await lead.post('/me/forget', { sure: 'yes', presentPassword: CAST_PASSWORD })).status).toBe(409);
    await lead.post(`/people/${castId.crew}/role`, { role: 'lead' });
    expect((await lead.post(`/people/${castId.lead}/role`, { role: 'crew' })).status).toBe(303);
  });
});

describe('settings', () => {
  const settings = {
    name: 'Test build',
    about: '',
    partPrefix: 'TB',
    country: 'NO',
    timeZone: 'Europe/Oslo',
    currency: 'EUR',
    leadWeeklyHours: '10',
    weekdays: ['1', '2', '6'],
    bulletinWeekday: '5',
    silentAfterDays: '10',
    postAddress: 'Barn 2',
    postContact: '',
  };

  it('are kept, and the postal address stays out of the log', async () => {
    const test = await startApp();
    const lead = await test.as('lead');
    expect((await lead.post('/settings', settings)).status).toBe(303);
    expect(await test.context.db.read.build.findFirst()).toMatchObject({
      weekdays: '1,2,6',
      silentAfterDays: 10,
    });
    const rows = await test.context.db.read.act.findMany({ where: { kind: 'change-settings' } });
    expect(rows).toHaveLength(1);
    expect(JSON.stringify(rows)).not.toContain('Barn 2');
  });

  it.each([
    ['silentAfterDays', '0', 'At least 1 days'],
    ['silentAfterDays', '1.5', 'Type a whole number.'],
    ['weekdays', [], 'At least one day of the week must be worked.'],
    ['currency', 'euro', 'At most 3 characters'],
    ['timeZone', 'Oslo', 'No such time zone.'],
    ['bulletinWeekday', '8', 'Choose one of the list.'],
  ])('refuse %s %j at the field', async (field, value, sentence) => {
    const test = await startApp();
    const lead = await test.as('lead');
    const answer = await lead.post('/settings', { ...settings, [field]: value });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(sentence);
    expect(answer.text).toContain('Barn 2');
    expect(await test.context.db.read.build.findFirst()).toMatchObject({ postAddress: '' });
  });

  it('are for the lead', async () => {
    const test = await startApp();
    expect((await (await test.as('crew')).post('/settings', settings)).status).toBe(403);
  });
});
