import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it, onTestFinished } from 'vitest';
import { Loop } from '../../src/outbox/loop.ts';
import { seeProblem } from '../../src/problems/index.ts';
import { startApp } from '../support/app.ts';
import { cast } from '../support/cast.ts';
import { asPerson } from '../support/jobs.ts';
import { letLettersLeave, lettersOf } from './an-outbox.ts';
import { mailServer } from './mail-server.ts';

async function until(holds: () => boolean): Promise<void> {
  for (let tries = 0; tries < 400 && !holds(); tries += 1) await wait(25);
  expect(holds()).toBe(true);
}

function aLoop(turn: () => Promise<Date | null>) {
  const faults: unknown[] = [];
  const loop = new Loop({ turn, now: () => new Date(0), report: (fault) => void faults.push(fault) });
  onTestFinished(() => loop.close());
  return { loop, faults };
}

describe('Loop', () => {
  it('does nothing before it is started, one turn for many calls, and again when it is asked meanwhile', async () => {
    let turns = 0;
    const { loop } = aLoop(async () => {
      turns += 1;
      if (turns === 1) loop.wake();
      return null;
    });
    loop.wake();
    await wait(200);
    expect(turns).toBe(0);
    loop.start();
    for (let n = 0; n < 10; n += 1) loop.wake();
    await until(() => turns === 2);
    await wait(250);
    expect(turns).toBe(2);
  });

  it('comes back at the moment that a turn named', async () => {
    let turns = 0;
    const { loop } = aLoop(async () => {
      turns += 1;
      return turns < 3 ? new Date(150) : null;
    });
    loop.start();
    await until(() => turns === 3);
    await wait(300);
    expect(turns).toBe(3);
  });

  it('goes on after a fault, which it tells', async () => {
    let turns = 0;
    const { loop, faults } = aLoop(async () => {
      turns += 1;
      if (turns === 1) throw new Error('no disk');
      return null;
    });
    loop.start();
    await until(() => faults.length === 1);
    loop.wake();
    await until(() => turns === 2);
  });

  it('ends after the turn under way, and does none later', async () => {
    let ended = 0;
    let begun = 0;
    const { loop } = aLoop(async () => {
      begun += 1;
      await wait(200);
      ended += 1;
      return new Date(0);
    });
    loop.start();
    await until(() => begun === 1);
    await loop.close();
    expect(ended).toBe(1);
    loop.wake();
    await wait(250);
    expect(begun).toBe(1);
  });
});

describe('the program', () => {
  it('ends at once while a mail server keeps silent, and the letter waits on', async () => {
    const app = await startApp();
    const server = await mailServer('is silent');
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    const lead = await letLettersLeave(app, server.port);
    await lead.post('/settings/mail/test');
    await until(() => server.connections() === 1);
    const before = performance.now();
    await app.app.close();
    // The server would have been waited for a minute.
    expect(performance.now() - before).toBeLessThan(20_000);
    expect(await lettersOf(app)).toMatchObject([
      { state: 'waiting', tries: 0, lastError: 'The program was ended meanwhile.' },
    ]);
  });

  it('sends by itself what acts call for, as long as it serves', async () => {
    const app = await startApp();
    const server = await mailServer();
    await app.app.listen({ port: 0, host: '127.0.0.1' });
    const lead = await letLettersLeave(app, server.port);
    await lead.post('/settings/mail/test');
    await until(() => server.taken.length === 1);
    expect(server.taken[0]!.to).toEqual([cast.lead.email]);
    await asPerson(app, 'crew', (act) =>
      seeProblem(act, app.context.files, { title: 'Nothing is mailed of this', severity: 3 }),
    );
    await lead.post('/people/invitations', { role: 'maker', note: '', email: 'new@example.org' });
    await until(() => server.taken.length === 2);
    expect(server.taken[1]!.to).toEqual(['new@example.org']);
  });
});
