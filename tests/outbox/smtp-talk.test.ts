import { createServer } from 'node:net';
import { describe, expect, it } from 'vitest';
import {
  type Mail,
  type MailServer,
  sendMail,
  type TalkLimits,
  written,
} from '../../src/outbox/smtp-talk.ts';
import { QUICK } from './an-outbox.ts';
import { mailServer, textOf } from './mail-server.ts';

const mail: Mail = {
  from: { name: 'Orrery, "Høyde" Æ', address: 'board@build.example' },
  to: 'imre@example.org',
  subject: 'Tannhjul 歯車 – nytt',
  text: `Kjære Imre,\n.\nFrom here.\n${'langt '.repeat(300)}\n-- \nslutt`,
  messageId: '<letter-1.abc@build.example>',
  date: new Date('2026-03-02T08:00:00Z'),
  headers: { 'Auto-Submitted': 'auto-generated' },
};
const patient: TalkLimits = { openingMs: 15_000, answerMs: 15_000, graceMs: 100 };
const isSilent = (manners: unknown) => typeof manners === 'string' && manners.startsWith('is silent');
const at = (port: number, change: Partial<MailServer> = {}): MailServer => ({
  host: '127.0.0.1',
  port,
  secure: 'none',
  user: '',
  password: '',
  ...change,
});
const send = (port: number, change: Partial<MailServer> = {}, extra: Parameters<typeof sendMail>[2] = {}) =>
  sendMail(at(port, change), mail, { limits: patient, ...extra });

describe('sendMail', () => {
  it('hands a letter over whole, with names in other letters, a lone dot and long lines', async () => {
    const server = await mailServer();
    expect(await send(server.port)).toEqual({ kind: 'sent' });
    const [letter] = server.taken;
    expect(letter!.to).toEqual(['imre@example.org']);
    expect(letter!.headers['message-id']).toBe('<letter-1.abc@build.example>');
    expect(letter!.headers['auto-submitted']).toBe('auto-generated');
    // RFC 2047: nothing but ASCII in the head; RFC 5322, 2.1.1: no line above 998 octets.
    expect(letter!.raw.slice(0, letter!.raw.indexOf('\r\n\r\n'))).toMatch(/^[\t\r\n\u0020-\u007e]*$/);
    expect(Math.max(...letter!.raw.split('\r\n').map((line) => Buffer.byteLength(line)))).toBeLessThan(998);
    expect(textOf(letter!).replaceAll('\r\n', '\n').trim()).toBe(mail.text);
  });

  it('lets no line break of a name or title become a header, and reads no file that a text names', async () => {
    const raw = (
      await written({
        ...mail,
        from: { name: 'A\r\nBcc: all@example.org', address: 'board@build.example' },
        subject: 'B\r\nX-Forged: yes',
        text: '/etc/passwd',
      })
    ).toString();
    expect(raw).not.toMatch(/^(Bcc|X-Forged):/m);
    expect(raw).toContain('/etc/passwd');
    expect(raw).not.toContain('root:');
  });

  it('signs in over STARTTLS, and says nothing without it', async () => {
    const server = await mailServer('takes', { authOptional: false });
    const login = { secure: 'starttls', user: 'board', password: 'seven  spaced words ' } as const;
    // The server's certificate is its own: trusted only where the test says so.
    const outcome = await send(server.port, login, { tls: { rejectUnauthorized: false } });
    expect(outcome).toEqual({ kind: 'sent' });
    expect(server.taken[0]!.user).toBe('board');
    const untrusted = await send(server.port, login);
    expect(untrusted.kind).toBe('rest');
    expect(untrusted).toMatchObject({ words: expect.stringContaining('No protected connection') });
    const wrong = await send(
      server.port,
      { ...login, password: 'x' },
      { tls: { rejectUnauthorized: false } },
    );
    expect(wrong).toMatchObject({
      kind: 'rest',
      words: 'The mail server does not take the user or the password. In its words: 535 no such user',
    });
    const bare = await mailServer();
    expect((await send(bare.port, login)).kind).toBe('rest');
    expect([server.taken.length, bare.taken.length]).toEqual([1, 0]);
  });

  it('speaks TLS from the start', async () => {
    const server = await mailServer('takes', { secure: true });
    const outcome = await send(server.port, { secure: 'tls' }, { tls: { rejectUnauthorized: false } });
    expect(outcome).toEqual({ kind: 'sent' });
  });

  it.each([
    ['is silent', 'rest', 'The mail server did not answer in time.'],
    [{ refuses: 'MAIL', code: 550 }, 'rest', 'The mail server refused. In its words: 550 not now'],
    [{ refuses: 'RCPT', code: 450 }, 'wait', 'The mail server refused. In its words: 450 not now'],
    [{ refuses: 'RCPT', code: 550 }, 'refused', 'The mail server refused. In its words: 550 not now'],
    [{ refuses: 'DATA', code: 451 }, 'wait', 'The mail server refused. In its words: 451 not now'],
    [{ refuses: 'DATA', code: 554 }, 'refused', 'The mail server refused. In its words: 554 not now'],
    [
      'drops after the text',
      'in doubt',
      'The connection was lost after the text was sent and before the mail server said that it took it.',
    ],
    [
      'drops at DATA',
      'in doubt',
      'The connection was lost after the text was sent and before the mail server said that it took it.',
    ],
    [
      'is silent after the text',
      'in doubt',
      'The connection was lost after the text was sent and before the mail server said that it took it.',
    ],
  ] as const)('of a server that %j: %s', async (manners, kind, words) => {
    const server = await mailServer(manners);
    const extra = isSilent(manners) ? { limits: QUICK } : {};
    expect(await send(server.port, {}, extra)).toEqual({ kind, words });
  });

  it('of a port that is closed, and a name that is not there: rest', async () => {
    const server = await mailServer();
    await server.close();
    expect(await send(server.port)).toMatchObject({
      kind: 'rest',
      words: expect.stringContaining('takes no connection'),
    });
    const lost = await send(25, { host: 'nothing.invalid' });
    expect(lost.kind).toBe('rest');
  });

  it('of something that is no mail server: rest', async () => {
    const server = createServer((socket) => socket.end('HTTP/1.1 400 Bad Request\r\n\r\n'));
    await new Promise<void>((resolve) => {
      server.listen(0, '127.0.0.1', resolve);
    });
    const { port } = server.address() as { port: number };
    expect((await send(port)).kind).toBe('rest');
    server.close();
  });

  it.each([
    ['greeting', 0, 'rest'],
    ['answer after the text', 5, 'in doubt'],
  ] as const)(
    'of one whose %s comes byte by byte and never ends, when its time is over',
    async (_, turns, kind) => {
      const server = createServer((socket) => {
        let line = 0;
        socket.on('error', () => {});
        const dribble = () => {
          const timer = setInterval(() => socket.write('2'), 20);
          socket.on('close', () => clearInterval(timer));
        };
        if (turns === 0) return dribble();
        socket.write('220 slow\r\n');
        let text = '';
        socket.on('data', (chunk) => {
          text += chunk;
          // EHLO, MAIL, RCPT, DATA are answered; then the text comes, to its lone dot.
          if (line === 4) {
            if (text.endsWith('\r\n.\r\n')) dribble();
            return;
          }
          line += 1;
          text = '';
          socket.write(line === 4 ? '354 go on\r\n' : '250 yes\r\n');
        });
      });
      await new Promise<void>((resolve) => {
        server.listen(0, '127.0.0.1', resolve);
      });
      const { port } = server.address() as { port: number };
      const limits = { openingMs: turns === 0 ? 300 : 15_000, answerMs: 300, graceMs: 100 };
      const outcome = await send(port, {}, { limits });
      server.close();
      expect(outcome.kind).toBe(kind);
      if (kind === 'rest')
        expect(outcome).toMatchObject({ words: 'The mail server did not answer in time.' });
    },
  );

  it('ends when the program ends: at once before the text, after a moment in it', async () => {
    for (const [manners, kind] of [
      ['is silent', 'rest'],
      ['is silent after the text', 'in doubt'],
    ] as const) {
      const server = await mailServer(manners);
      const stop = new AbortController();
      const limits = { openingMs: 20_000, answerMs: 20_000, graceMs: 100 };
      const sending = send(server.port, {}, { limits, stop: stop.signal });
      setTimeout(() => stop.abort(), 200);
      expect((await sending).kind).toBe(kind);
    }
  });
});
