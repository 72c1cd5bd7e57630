import { Readable } from 'node:stream';
import type { ConnectionOptions } from 'node:tls';
import MailComposer from 'nodemailer/lib/mail-composer';
import SMTPConnection from 'nodemailer/lib/smtp-connection';
import { type Outcome, outcomeOf, type TalkFault, type TalkStage } from './smtp-answer.ts';

/** Which server, and who we are to it. */
export interface MailServer {
  host: string;
  port: number;
  /** starttls: protected before anything is said, or not at all; tls: from the start; none: open to all on the way */
  secure: 'starttls' | 'tls' | 'none';
  user: string;
  password: string;
}

/** A letter as it is handed to the server. */
export interface Mail {
  from: { name: string; address: string };
  to: string;
  subject: string;
  text: string;
  html?: string;
  messageId: string;
  date: Date;
  /** header lines beside the usual ones */
  headers: Record<string, string>;
}

export interface TalkLimits {
  /** for connecting, greeting and signing in, and for each step before the text */
  openingMs: number;
  /** for the answer after the text: ten minutes, as RFC 5321, 4.5.3.2.6 asks */
  answerMs: number;
  /** when the program ends meanwhile, so long is waited for that answer */
  graceMs: number;
}

const TALK_LIMITS: TalkLimits = { openingMs: 60_000, answerMs: 600_000, graceMs: 5_000 };

const FAREWELL_MS = 2_000;

interface Extra {
  limits?: TalkLimits;
  /** what is trusted beside the usual authorities */
  tls?: ConnectionOptions | undefined;
  /** ends the talk: at once while that is safe, else after a moment for the answer */
  stop?: AbortSignal;
}

/**
 * Hands one letter to the mail server over a connection of its own, and says what became of it. Never throws.
 *
 * The library would hide how far a broken talk had come; here each stage is known, so that a letter is tried again only
 * where the server can't have taken it.
 */
export async function sendMail(server: MailServer, mail: Mail, extra: Extra = {}): Promise<Outcome> {
  const { limits = TALK_LIMITS, tls, stop } = extra;
  let text: Buffer;
  try {
    text = await written(mail);
  } catch {
    return { kind: 'refused', words: 'This letter can’t be written as mail.' };
  }
  const connection = new SMTPConnection({
    host: server.host,
    port: server.port,
    secure: server.secure === 'tls',
    requireTLS: server.secure === 'starttls',
    ignoreTLS: server.secure === 'none',
    connectionTimeout: limits.openingMs,
    greetingTimeout: limits.openingMs,
    dnsTimeout: limits.openingMs,
    socketTimeout: limits.answerMs,
    socketCloseTimeout: 1000,
    ...(tls ? { tls } : {}),
  });
  let stage: TalkStage = 'opening';
  let timer: NodeJS.Timeout | undefined;
  let end: (fault: Error) => void = () => {};
  const broken = new Promise<never>((_resolve, reject) => {
    end = reject;
  });
  broken.catch(() => {});
  connection.on('error', end);
  const within = (ms: number) => {
    clearTimeout(timer);
    timer = setTimeout(() => end(Object.assign(new Error('timeout'), { code: 'ETIMEDOUT' })), ms);
  };
  const stopped = () => Object.assign(new Error('stopped'), { code: 'STOPPED' });
  const onStop = () => {
    if (stage === 'text') setTimeout(() => end(stopped()), limits.graceMs).unref();
    else end(stopped());
  };
  stop?.addEventListener('abort', onStop);
  try {
    if (stop?.aborted) throw stopped();
    within(limits.openingMs);
    await Promise.race([broken, asPromise((done) => connection.connect(done))]);
    if (server.user) {
      const login = { credentials: { user: server.user, pass: server.password } };
      await Promise.race([broken, asPromise((done) => connection.login(login, done))]);
    }
    stage = 'envelope';
    within(limits.openingMs);
    const source = new Readable({
      // Read only when the server has given leave for the text: from now on its end may arrive.
      read() {
        stage = 'text';
        within(limits.answerMs);
        this.push(text);
        this.push(null);
      },
    });
    const sent = asPromise((done) =>
      connection.send({ from: mail.from.address, to: [mail.to], size: text.length }, source, done),
    );
    await Promise.race([broken, sent]);
    connection.quit();
    // A server that does not answer the farewell keeps no line open.
    setTimeout(() => connection.close(), FAREWELL_MS).unref();
    return { kind: 'sent' };
  } catch (fault) {
    connection.close();
    return outcomeOf({ ...(fault as TalkFault), message: (fault as Error).message, stage }, mail.to);
  } finally {
    clearTimeout(timer);
    stop?.removeEventListener('abort', onStop);
  }
}

type Done = (fault?: Error | null) => void;

function asPromise(begin: (done: Done) => void): Promise<void> {
  const promise = new Promise<void>((resolve, reject) => {
    begin((fault) => (fault ? reject(fault) : resolve()));
  });
  // It may lose the race against a broken connection and fail later, when nobody waits for it any more.
  promise.catch(() => {});
  return promise;
}

/**
 * The letter as it goes over the line (RFC 5322, RFC 2045 to 2047). Nothing is read from files or addresses, whatever
 * a text says.
 */
export function written(mail: Mail): Promise<Buffer> {
  const { from, to, subject, text, html, messageId, date, headers } = mail;
  return new MailComposer({
    from,
    to: { name: '', address: to },
    subject,
    text,
    ...(html ? { html } : {}),
    messageId,
    date,
    headers: Object.entries(headers).map(([key, value]) => ({ key, value })),
    disableFileAccess: true,
    disableUrlAccess: true,
  })
    .compile()
    .build();
}
