import { describe, expect, it } from 'vitest';
import { comeToGathering, dropGathering, leaveGathering, moveGathering } from '../../src/problems/index.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { type CastName, castId } from '../support/cast.ts';
import { aClaim, anotherJob, asPerson, finished } from '../support/jobs.ts';
import { aDecision, aGathering, aTrial } from '../support/problems.ts';
import { calendarFaults, readCalendar } from './calendar-rules.ts';

const PLACE = 'Fjord Road';

async function addressOf(test: TestApp, who: CastName): Promise<string> {
  const { text } = await (await test.as(who)).get('/calendar');
  return new URL(/http:\/\/127\.0\.0\.1\/calendar\/[^<?"\s]+\.ics/.exec(text)![0]).pathname;
}

async function fetched(test: TestApp, path: string) {
  const answer = await test.visitor().get(path);
  return { answer, text: answer.text, events: answer.status === 200 ? readCalendar(answer.text).events : [] };
}

describe('/gatherings.ics', () => {
  it('is valid with and without gatherings, and tells no place', async () => {
    const test = await startApp();
    const before = await fetched(test, '/gatherings.ics');
    expect(before.answer.headers['content-type']).toBe('text/calendar; charset=utf-8');
    expect(calendarFaults(before.text)).toEqual([]);
    expect(before.events).toEqual([]);
    await aGathering(test);
    const { text, events, answer } = await fetched(test, '/gatherings.ics');
    expect(calendarFaults(text)).toEqual([]);
    expect(events).toMatchObject([
      {
        title: 'Spring fit-up',
        from: '2026-03-14',
        end: '2026-03-16',
        sequence: 0,
        status: 'CONFIRMED',
        place: null,
      },
    ]);
    expect(text.replace(/\r\n /g, '')).not.toContain(PLACE);
    const again = await test.visitor().get('/gatherings.ics').set('If-None-Match', answer.headers.etag!);
    expect(again.status).toBe(304);
  });

  it('moves an event under the same name, and says when it is called off', async () => {
    const test = await startApp();
    const id = await aGathering(test);
    const [first] = (await fetched(test, '/gatherings.ics')).events;
    test.passDays(1);
    await asPerson(test, 'lead', (act) =>
      moveGathering(act, { gatheringId: id, fromOn: '2026-03-21', untilOn: '2026-03-22' }),
    );
    const [moved] = (await fetched(test, '/gatherings.ics')).events;
    expect(moved).toMatchObject({ uid: first?.uid, from: '2026-03-21', end: '2026-03-23', sequence: 1 });
    expect(moved!.stamp > first!.stamp).toBe(true);
    await asPerson(test, 'lead', (act) => dropGathering(act, { gatheringId: id }));
    const [off] = (await fetched(test, '/gatherings.ics')).events;
    expect(off).toMatchObject({
      uid: first?.uid,
      status: 'CANCELLED',
      sequence: 2,
      title: 'Called off: Spring fit-up',
    });
    test.setNow('2026-04-25T08:00:00Z');
    expect((await fetched(test, '/gatherings.ics')).events).toEqual([]);
  });
});

describe('a calendar of one’s own', () => {
  it('opens without signing in, with the gatherings one comes to and their place', async () => {
    const test = await startApp();
    const id = await aGathering(test);
    const address = await addressOf(test, 'imre');
    expect((await fetched(test, address)).events).toEqual([]);
    const come = { gatheringId: id, personId: castId.imre };
    await asPerson(test, 'imre', (act) => comeToGathering(act, come));
    const { text, events, answer } = await fetched(test, address);
    expect(calendarFaults(text)).toEqual([]);
    expect(events).toMatchObject([{ title: 'Spring fit-up', place: 'The old dairy, Fjord Road 7' }]);
    expect(answer.headers['cache-control']).toBe('private, no-cache');
    expect((await fetched(test, await addressOf(test, 'farid'))).text).not.toContain('Fjord');
    await asPerson(test, 'imre', (act) => leaveGathering(act, come));
    expect((await fetched(test, address)).events).toEqual([]);
  });

  it('keeps to the days of a gathering that moved away from those somebody said', async () => {
    const test = await startApp();
    const gatheringId = await aGathering(test, { untilOn: '2026-03-16' });
    const imre = { gatheringId, personId: castId.imre, fromOn: '2026-03-15' };
    await asPerson(test, 'imre', (act) => comeToGathering(act, imre));
    const sunniva = { gatheringId, personId: castId.sunniva, fromOn: '2026-03-14', untilOn: '2026-03-15' };
    await asPerson(test, 'sunniva', (act) => comeToGathering(act, sunniva));
    const move = (fromOn: string, untilOn: string) =>
      asPerson(test, 'lead', (act) => moveGathering(act, { gatheringId, fromOn, untilOn }));
    const told = async (who: CastName) => {
      const { text, events } = await fetched(test, await addressOf(test, who));
      expect(calendarFaults(text)).toEqual([]);
      const [event] = events.filter(({ title }) => title === 'Spring fit-up');
      return [event?.from, event?.end, text.replace(/\r\n /g, '').includes('say again on which of them')];
    };
    expect(await told('imre')).toEqual(['2026-03-15', '2026-03-17', false]);
    // Earlier: what Imre said lies behind its last day.
    await move('2026-03-12', '2026-03-14');
    expect(await told('imre')).toEqual(['2026-03-12', '2026-03-15', true]);
    expect(await told('sunniva')).toEqual(['2026-03-14', '2026-03-15', false]);
    // Later: of what Sunniva said one day is left.
    await move('2026-03-15', '2026-03-18');
    expect(await told('sunniva')).toEqual(['2026-03-15', '2026-03-16', false]);
  });

  it('tells a maker their promises until all is posted, and the day the machine needs them', async () => {
    const test = await startApp();
    const { claimId } = await aClaim(test);
    const address = await addressOf(test, 'imre');
    const { text, events } = await fetched(test, address);
    expect(calendarFaults(text)).toEqual([]);
    expect(events.map(({ title, from }) => [title.split(':')[0], from])).toEqual(
      expect.arrayContaining([
        ['Likely to post', '2026-03-22'],
        ['Latest to post', '2026-04-01'],
      ]),
    );
    expect(events.every(({ transparency }) => transparency === 'TRANSPARENT')).toBe(true);
    expect((await fetched(test, await addressOf(test, 'farid'))).events).toEqual([]);
    await finished(test, { claimId, quantity: 4 });
    await test.context.db.write.claim.update({
      where: { id: claimId },
      data: { backMilli: 4000, doneMilli: 0 },
    });
    expect((await fetched(test, address)).events).toEqual([]);
  });

  it('tells the lead what jobs are needed by, decisions and trials; a maker only what is theirs', async () => {
    const test = await startApp();
    const jobId = await anotherJob(test, { title: 'Hang the arms' });
    await aDecision(test, { jobId });
    await aTrial(test, { plannedOn: '2026-03-20' });
    await aGathering(test);
    const { text, events } = await fetched(test, await addressOf(test, 'lead'));
    expect(calendarFaults(text)).toEqual([]);
    const kinds = events.map(({ title }) => title.split(':')[0]);
    expect(kinds).toEqual(expect.arrayContaining(['To decide', 'Trial', 'Spring fit-up']));
    expect((await fetched(test, await addressOf(test, 'imre'))).events).toEqual([]);
    const only = await fetched(test, `${await addressOf(test, 'lead')}?only=trials,gatherings`);
    expect(only.events.map(({ title }) => title)).toEqual(['Spring fit-up', 'Trial: Torque at the crank']);
    expect((await fetched(test, `${await addressOf(test, 'lead')}?only=secrets`)).answer.status).toBe(404);
  });

  it('tells whoever is named to decide, and a maker the work that is theirs', async () => {
    const test = await startApp();
    const { write } = test.context.db;
    const jobId = await anotherJob(test, { title: 'Scrape the bed', personId: castId.imre });
    const id = await aDecision(test, { jobId });
    await write.decision.update({ where: { id }, data: { deciderId: castId.imre } });
    const titles = async (who: CastName) =>
      (await fetched(test, await addressOf(test, who))).events.map(({ title }) => title);
    expect(await titles('imre')).toEqual(
      expect.arrayContaining(['To decide: Brass or steel for the moon arm?', 'Needed done: Scrape the bed']),
    );
    expect((await titles('lead')).join()).not.toContain('To decide');
    expect(await titles('farid')).toEqual([]);
    // Whoever is named and has left decides nothing any more: the lead does.
    await write.person.update({ where: { id: castId.imre }, data: { deactivatedAt: new Date() } });
    expect((await titles('lead')).join()).toContain('To decide');
    expect((await titles('crew')).join()).not.toContain('To decide');
  });

  it('gets a new address, and the old one opens nothing', async () => {
    const test = await startApp();
    const old = await addressOf(test, 'imre');
    const imre = await test.as('imre');
    expect((await imre.post('/calendar/address')).status).toBe(303);
    const fresh = await addressOf(test, 'imre');
    expect(fresh).not.toBe(old);
    expect((await fetched(test, old)).answer.status).toBe(404);
    expect((await fetched(test, fresh)).answer.status).toBe(200);
    expect((await test.visitor().post('/calendar/address')).headers.location).toContain('/sign-in');
    const act = await test.context.db.read.act.findFirstOrThrow({
      where: { kind: 'renew-calendar-address' },
    });
    expect([act.personId, act.aboutId, act.before, act.after]).toEqual([
      castId.imre,
      castId.imre,
      null,
      null,
    ]);
  });

  it('is nobody’s once the account is closed, and can’t be guessed', async () => {
    const test = await startApp();
    const address = await addressOf(test, 'imre');
    for (const bad of [
      '/calendar/3.ics',
      '/calendar/4-00.ics',
      address.replace('/3-', '/4-'),
      address.replace('.ics', ''),
    ])
      expect((await fetched(test, bad)).answer.status, bad).toBe(404);
    const lead = await test.as('lead');
    await lead.post(`/people/${castId.imre}/close`);
    expect((await fetched(test, address)).answer.status).toBe(404);
    await lead.post(`/people/${castId.imre}/open`);
    expect((await fetched(test, address)).answer.status).toBe(200);
  });
});

describe('/calendar', () => {
  it('tells a visitor of the gatherings, and a person of what is in theirs', async () => {
    const test = await startApp();
    await aGathering(test);
    const open = (await test.visitor().get('/calendar')).text;
    expect(open).toContain('http://127.0.0.1/gatherings.ics');
    expect(open).toContain('Spring fit-up');
    expect(open).not.toContain(PLACE);
    expect(open).not.toContain('/calendar/address');
    const own = (await (await test.as('crew')).get('/calendar')).text;
    expect(own).toContain(PLACE);
    expect(own).toContain('days jobs are needed by');
    expect((await (await test.as('farid')).get('/calendar')).text).toContain('No day ahead');
  });
});
