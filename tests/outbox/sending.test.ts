import { readFileSync, statSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { askQuery, createJob } from '../../src/jobs/index.ts';
import { OutboxKeys } from '../../src/outbox/keys.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { cast, castId } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { anOutbox, letLettersLeave, lettersOf, mailFields, QUICK } from './an-outbox.ts';
import { type Manners, mailServer } from './mail-server.ts';

/** Letters to the crew and the lead wait; a server of these manners is named. */
async function waiting(manners: Manners = 'takes', letters = 1) {
  const app = await startApp();
  const server = await mailServer(manners);
  const lead = await letLettersLeave(app, server.port);
  const ask = async (times: number) => {
    const job = { kind: 'other', title: 'Sweep', partId: null, milli: 1000 } as const;
    const jobId = await asPerson(app, 'lead', (act) => createJob(act, job));
    for (let n = 0; n < times; n += 1) {
      // Of the lead’s own question only the crew is told.
      await asPerson(app, 'lead', (act) => askQuery(act, { jobId, question: `Which ${n}?` }));
    }
  };
  await ask(letters);
  return { app, server, lead, ask };
}

const states = async (app: TestApp) => (await lettersOf(app)).map(({ state }) => state);

describe('MailSender', () => {
  it('sends each letter once, however often it is asked, with one Message-ID for good', async () => {
    const { app, server } = await waiting('takes', 3);
    const outbox = anOutbox(app);
    await Promise.all([outbox.turn(), anOutbox(app).turn(), anOutbox(app).turn()]);
    await outbox.turn();
    expect(server.taken.length).toBe(3);
    const [letter] = await lettersOf(app);
    const keys = new OutboxKeys(app.context.settings.dataDir);
    const ids = server.taken.map(({ headers }) => headers['message-id']);
    expect(new Set(ids).size).toBe(3);
    expect(ids).toContain(keys.messageId(letter!.key, 'build.example'));
    expect(letter).toMatchObject({ state: 'sent', body: '', lastError: '', tries: 1 });
    expect(letter!.sentAt).toEqual(app.context.clock.now());
  });

  it('asks a server that is away once, waits longer each time, and tries the rest when it is back', async () => {
    const { app, server } = await waiting('takes', 5);
    const outbox = anOutbox(app);
    await server.close();
    let asked = 0;
    const door = createServer((socket) => {
      asked += 1;
      socket.destroy();
    });
    await new Promise<void>((resolve) => {
      door.listen(server.port, '127.0.0.1', resolve);
    });
    const start = app.context.clock.now().getTime();
    const tried: number[] = [];
    for (let minute = 0; minute <= 16; minute += 0.5) {
      app.setNow(new Date(start + minute * 60_000).toISOString());
      const before = asked;
      await outbox.turn();
      if (asked > before) tried.push(minute);
    }
    // One minute after the first, then two, four and eight.
    expect(tried).toEqual([0, 1, 3, 7, 15]);
    expect(asked).toBe(5);
    expect(await states(app)).toEqual(Array(5).fill('waiting'));
    await new Promise<void>((resolve) => {
      door.close(() => resolve());
    });
    const again = await mailServer('takes', { port: server.port });
    app.passDays(0.5);
    await outbox.turn();
    expect(again.taken.length).toBe(5);
    expect(await states(app)).toEqual(Array(5).fill('sent'));
  });

  it('tries a letter that is put off again by itself, and others meanwhile', async () => {
    const { app, server, ask } = await waiting({ refuses: 'RCPT', code: 450, words: 'come back' });
    const outbox = anOutbox(app);
    await outbox.turn();
    expect(await lettersOf(app)).toMatchObject([
      { state: 'waiting', tries: 1, lastError: 'The mail server refused. In its words: 450 come back' },
    ]);
    server.manners('takes');
    await ask(1);
    await outbox.turn();
    expect(await states(app)).toEqual(['waiting', 'sent']);
    app.passDays(1 / 1440);
    await outbox.turn();
    expect(await states(app)).toEqual(['sent', 'sent']);
  });

  it('leaves a server alone that puts five in a row off', async () => {
    const { app, server } = await waiting({ refuses: 'RCPT', code: 451 }, 9);
    const outbox = anOutbox(app);
    await outbox.turn();
    expect(server.connections()).toBe(5);
    await outbox.turn();
    expect(server.connections()).toBe(5);
  });

  it('gives a letter up after five days, and drops what it said ninety days later', async () => {
    const { app } = await waiting({ refuses: 'DATA', code: 451, words: 'full' });
    const outbox = anOutbox(app);
    for (let hours = 0; hours < 130; hours += 5) {
      await outbox.turn();
      app.passDays(5 / 24);
    }
    expect(await lettersOf(app)).toMatchObject([
      {
        state: 'refused',
        lastError: 'It could not be handed over for 5 days. The mail server refused. In its words: 451 full',
      },
    ]);
    app.passDays(91);
    await outbox.turn();
    expect(await lettersOf(app)).toMatchObject([{ state: 'dropped', body: '', subject: '' }]);
  });

  it('never sends a refused letter again by itself; the lead can', async () => {
    const { app, server, lead } = await waiting({
      refuses: 'RCPT',
      code: 550,
      words: `no <${cast.crew.email}> here`,
    });
    const outbox = anOutbox(app);
    await outbox.turn();
    app.passDays(1);
    await outbox.turn();
    expect(server.connections()).toBe(1);
    const page = (await lead.get('/settings/mail')).text;
    expect(page).toContain('550 no &lt;the address&gt; here');
    expect(page).toContain('A query on job');
    server.manners('takes');
    const [letter] = await lettersOf(app);
    expect((await lead.post('/settings/mail/letters', { letter: letter!.id, what: 'send' })).status).toBe(
      303,
    );
    await outbox.turn();
    expect(server.taken.length).toBe(1);
    expect((await lead.post('/settings/mail/letters', { letter: letter!.id, what: 'send' })).status).toBe(
      409,
    );
    await outbox.turn();
    expect(server.taken.length).toBe(1);
  });

  it.each(['drops after the text', 'is silent after the text'] as const)(
    'never sends a letter again by itself to a server that %s',
    async (manners) => {
      const { app, server, lead } = await waiting(manners);
      const outbox = anOutbox(app, { limits: QUICK });
      await outbox.turn();
      server.manners('takes');
      app.passDays(3);
      await outbox.turn();
      await anOutbox(app).turn();
      expect(server.taken.length).toBe(1);
      expect(await states(app)).toEqual(['in doubt']);
      const page = (await lead.get('/settings/mail')).text;
      expect(page).toContain('Nobody knows whether these arrived.');
      const [letter] = await lettersOf(app);
      for (const wrong of [
        { letter: '', what: 'send' },
        { letter: letter!.id, what: 'burn' },
      ]) {
        expect((await lead.post('/settings/mail/letters', wrong)).status).toBe(422);
      }
      expect((await lead.post('/settings/mail/letters', { letter: 99, what: 'send' })).status).toBe(404);
      await lead.post('/settings/mail/letters', { letter: letter!.id, what: 'drop' });
      await outbox.turn();
      expect(await lettersOf(app)).toMatchObject([{ state: 'dropped', body: '' }]);
      expect(server.taken.length).toBe(1);
    },
  );

  it('takes a letter that a program took up and never settled for one in doubt, after a while', async () => {
    const { app, server } = await waiting();
    const outbox = anOutbox(app);
    await letLettersLeave(app, server.port, { on: '' });
    await anOutbox(app).turn();
    const at = app.context.clock.now();
    await app.context.db.write.letter.create({
      data: {
        key: 'lost',
        kind: 'query',
        personId: castId.crew,
        subject: 'x',
        body: 'y',
        state: 'sending',
        nextAt: new Date(at.getTime() + 20 * 60_000),
        createdAt: at,
      },
    });
    await outbox.turn();
    expect((await lettersOf(app)).at(-1)!.state).toBe('sending');
    app.passDays(0.1);
    await outbox.turn();
    expect((await lettersOf(app)).at(-1)).toMatchObject({ state: 'in doubt' });
    expect(server.taken.map(({ headers }) => headers.subject)).not.toContain('x');
  });
});

describe('the settings page', () => {
  it('says that nothing leaves yet, and is the lead’s alone', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const page = (await lead.get('/settings/mail')).text;
    expect(page).toContain('No letter leaves yet.');
    expect((await lead.get('/settings')).text).toContain('href="/settings/mail"');
    for (const path of ['/settings/mail', '/settings/hooks']) {
      expect((await (await app.as('crew')).get(path)).status).toBe(403);
      expect((await app.visitor().get(path)).status).toBe(303);
    }
    expect((await lead.post('/settings/mail/test')).status).toBe(409);
  });

  it('refuses what does not fit at its field, and keeps what was typed', async () => {
    const app = await startApp();
    const lead = await app.as('lead');
    const wrong: [Record<string, unknown>, string][] = [
      [{ host: 'smtp.example.org:587' }, 'Type the name of the server alone'],
      [{ host: 'https://x' }, 'Type the name of the server alone'],
      [{ host: '' }, 'Name the server, or letters can’t leave.'],
      [{ port: '0' }, 'At least 1; this is 0.'],
      [{ port: 'x' }, 'Type a whole number.'],
      [{ secure: 'maybe' }, 'Choose how the connection is protected.'],
      [{ open: '' }, 'Without protection letters, user and password can be read'],
      [{ fromEmail: '' }, 'Type the address that letters come from.'],
      [{ fromEmail: 'a@b.example\r\nBcc: c@d.example' }, 'Type a mail address, like ada@example.org.'],
      [{ fromName: 'a\nb' }, 'This holds characters that cannot be seen'],
      [{ user: 'board' }, 'Type the password of this user.'],
      [{ password: 'x' }, 'Type the user that this password belongs to.'],
      [{ user: 'board', password: 'a\tb' }, 'This holds characters that cannot be seen'],
      [{ kinds: ['gossip'] }, 'Choose one of the list.'],
    ];
    for (const [change, sentence] of wrong) {
      const answer = await lead.post(
        '/settings/mail',
        mailFields(2525, { fromName: 'Our board', ...change }),
      );
      expect(answer.status, JSON.stringify(change)).toBe(422);
      expect(answer.text).toContain(sentence);
      if (!('fromName' in change)) expect(answer.text).toContain('value="Our board"');
    }
    const kept = await app.context.db.read.mailSettings.findUnique({ where: { id: 1 } });
    expect(kept).toMatchObject({ host: '', on: false });
  });

  it('keeps the password in a file of its owner’s, and shows, exports and logs it nowhere', async () => {
    const app = await startApp();
    const password = ' p4ss wörd ';
    const login = { secure: 'starttls', open: '', user: 'board', host: 'smtp.example.org' };
    const lead = await letLettersLeave(app, 587, { ...login, password });
    const path = join(app.context.settings.dataDir, 'mail-password');
    const kept = () => (JSON.parse(readFileSync(path, 'utf8')) as { password: string }).password;
    expect(kept()).toBe(password);
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect((await lead.get('/settings/mail')).text).not.toContain('p4ss');
    expect((await lead.get('/settings/mail')).text).toContain('One is kept; leave empty to keep it.');
    for (const file of ['farwright.db', 'farwright.db-wal']) {
      const bytes = readFileSync(join(app.context.settings.dataDir, file));
      expect(bytes.includes('p4ss')).toBe(false);
    }
    expect((await lead.get('/exchange/everything.json')).text).not.toContain('p4ss');
    // Left empty it stays; for another server it has to be typed again.
    app.passDays(0.01);
    await letLettersLeave(app, 587, { ...login, fromName: 'New' });
    expect(kept()).toBe(password);
    const { changedAt } = await app.context.db.read.mailSettings.findUniqueOrThrow({ where: { id: 1 } });
    const seen = changedAt!.toISOString();
    for (const other of [{ host: 'smtp.elsewhere.example' }, { user: 'somebody' }, { port: '465' }]) {
      const answer = await lead.post('/settings/mail', mailFields(587, { ...login, seen, ...other }));
      expect(answer.status).toBe(422);
      expect(answer.text).toContain(
        'Type the password again: the one that is kept goes to no other server or user.',
      );
    }
    await letLettersLeave(app, 587, { ...login, user: '' });
    expect(() => statSync(path)).toThrow();
  });

  it('tells the second of two leads, and keeps what they typed', async () => {
    const app = await startApp();
    const lead = await letLettersLeave(app, 2525);
    const answer = await lead.post('/settings/mail', mailFields(2526, { fromName: 'Mine' }));
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('Somebody changed these settings meanwhile.');
    expect(answer.text).toContain('value="Mine"');
    expect(await app.context.db.read.mailSettings.findUnique({ where: { id: 1 } })).toMatchObject({
      port: 2525,
    });
  });

  it('says how many wait, since when, why and until when, and tries at once when asked', async () => {
    const { app, server, lead } = await waiting('takes', 2);
    await server.close();
    const outbox = anOutbox(app);
    await outbox.turn();
    const page = (await lead.get('/settings/mail')).text.replace(/<[^>]+>/g, '').replace(/\s+/g, ' ');
    expect(page).toContain('Letters wait. The mail server takes no connection at this port.');
    expect(page).toContain('Waiting2 letters, since 2 Mar 09:00');
    expect(page).toContain('Next try2 Mar 09:01');
    const again = await mailServer('takes', { port: server.port });
    expect((await lead.post('/settings/mail/try')).status).toBe(303);
    outbox.wakeUp();
    await outbox.turn();
    expect(again.taken.length).toBe(2);
  });

  it('sends a test letter through the same outbox, also while letters are switched off', async () => {
    const app = await startApp();
    const server = await mailServer();
    const lead = await letLettersLeave(app, server.port, { on: '', fromName: 'Ørrery' });
    expect((await lead.post('/settings/mail/test')).status).toBe(303);
    await anOutbox(app).turn();
    expect(server.taken.map(({ to }) => to)).toEqual([[cast.lead.email]]);
    expect(server.taken[0]!.headers.from).toContain('=?UTF-8?');
    expect((await lead.get('/log')).text).toContain('asked for a test letter');
  });
});

describe('one’s own choice', () => {
  it('offers the kinds that one’s role gets, and stops those left out', async () => {
    const app = await startApp();
    const imre = await app.as('imre');
    const page = (await imre.get('/me/mail')).text;
    expect(page).toContain('Letters are switched off for everybody now.');
    expect(page).not.toContain('Queries on any job');
    expect((await imre.get('/me')).text).toContain('href="/me/mail"');
    expect((await imre.post('/me/mail', { kinds: ['bulletin'] })).status).toBe(303);
    const person = await app.context.db.read.person.findUniqueOrThrow({ where: { id: castId.imre } });
    expect(JSON.parse(person.mailOff)).toEqual(['answer', 'reminder', 'revision', 'gathering']);
    expect((await imre.post('/me/mail', { kinds: ['gossip'] })).status).toBe(422);
    expect((await imre.get('/me/mail')).text).toMatch(/value="bulletin" checked/);
    expect((await (await app.as('crew')).get('/me/mail')).text).toContain('Queries on any job');
    expect((await app.visitor().get('/me/mail')).status).toBe(303);
  });
});
