import type { AddressInfo } from 'node:net';
import { SMTPServer, type SMTPServerOptions } from 'smtp-server';
import { onTestFinished } from 'vitest';

/** What a server does with the letter it is handed. */
export type Manners =
  | 'takes'
  /** never greets */
  | 'is silent'
  /** takes the whole text and breaks the connection off before it answers */
  | 'drops after the text'
  /** breaks off when the text begins */
  | 'drops at DATA'
  /** takes the text and never answers */
  | 'is silent after the text'
  | { refuses: 'MAIL' | 'RCPT' | 'DATA' | 'AUTH'; code: number; words?: string };

export interface Taken {
  to: string[];
  raw: string;
  /** header lines unfolded, by lower-case name */
  headers: Record<string, string>;
  user: string | undefined;
}

export interface MailServer {
  port: number;
  /** whole texts that arrived, whatever was answered */
  taken: Taken[];
  connections(): number;
  manners(next: Manners): void;
  close(): Promise<void>;
}

function read(raw: string): Record<string, string> {
  const head = raw.slice(0, raw.indexOf('\r\n\r\n')).replace(/\r\n[ \t]+/g, ' ');
  return Object.fromEntries(
    head.split('\r\n').map((line) => {
      const at = line.indexOf(':');
      return [line.slice(0, at).toLowerCase(), line.slice(at + 1).trim()];
    }),
  );
}

/** A real mail server on a free port of this machine; closed after the test. */
export async function mailServer(
  first: Manners = 'takes',
  options: SMTPServerOptions & { port?: number; thinksMs?: number } = {},
): Promise<MailServer> {
  let manners = first;
  let connections = 0;
  const taken: Taken[] = [];
  const fault = (at: 'MAIL' | 'RCPT' | 'DATA' | 'AUTH') => {
    if (typeof manners !== 'object' || manners.refuses !== at) return null;
    return Object.assign(new Error(manners.words ?? 'not now'), { responseCode: manners.code });
  };
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: options.secure || options.authOptional === false ? [] : ['STARTTLS'],
    logger: false,
    closeTimeout: 50,
    onConnect(_session, done) {
      connections += 1;
      if (manners !== 'is silent') done();
    },
    onAuth(auth, _session, done) {
      const refused = fault('AUTH');
      if (refused || auth.password !== 'seven  spaced words ')
        return done(refused ?? Object.assign(new Error('no such user'), { responseCode: 535 }));
      done(null, { user: auth.username ?? '' });
    },
    onMailFrom: (_address, _session, done) => done(fault('MAIL')),
    onRcptTo: (_address, _session, done) => done(fault('RCPT')),
    onData(stream, session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => {
        chunks.push(chunk);
        if (manners === 'drops at DATA') breakOff(server, session.id);
      });
      stream.on('end', () => {
        const raw = Buffer.concat(chunks).toString('utf8');
        const to = session.envelope.rcptTo.map(({ address }) => address);
        taken.push({ to, raw, headers: read(raw), user: session.user as string | undefined });
        if (manners === 'drops after the text') breakOff(server, session.id);
        else if (manners !== 'is silent after the text')
          setTimeout(() => done(fault('DATA')), options.thinksMs ?? 0);
      });
    },
    ...options,
  });
  server.on('error', () => {});
  await new Promise<void>((resolve) => {
    server.listen(options.port ?? 0, '127.0.0.1', resolve);
  });
  let closed = false;
  const close = () =>
    new Promise<void>((resolve) => {
      if (closed) return resolve();
      closed = true;
      server.close(() => resolve());
    });
  onTestFinished(close);
  return {
    port: (server.server.address() as AddressInfo).port,
    taken,
    connections: () => connections,
    manners(next) {
      manners = next;
    },
    close,
  };
}

function breakOff(server: SMTPServer, sessionId: string): void {
  for (const connection of (server as unknown as { connections: Set<Broken> }).connections) {
    if (connection.session.id === sessionId) connection._socket.destroy();
  }
}

interface Broken {
  session: { id: string };
  _socket: { destroy(): void };
}

/** A letter's text as its reader sees it: of the part of that type. */
export function textOf({ raw }: Taken, type = 'text/plain'): string {
  const boundary = /boundary="([^"]+)"/.exec(raw)?.[1];
  const parts = boundary ? raw.split(`--${boundary}`).map((part) => part.replace(/^\r\n/, '')) : [raw];
  const part = parts.find((one) => new RegExp(`^Content-Type: ${type}`, 'im').test(one)) ?? '';
  const at = part.indexOf('\r\n\r\n');
  const body = part.slice(at + 4);
  const encoding = /^Content-Transfer-Encoding: (\S+)/im.exec(part.slice(0, at))?.[1] ?? '7bit';
  if (/base64/i.test(encoding)) return Buffer.from(body, 'base64').toString('utf8');
  if (!/quoted-printable/i.test(encoding)) return body.replace(/ \r\n(?!\r\n)/g, ' ');
  const bytes = body
    .replace(/=\r\n/g, '')
    .replace(/=([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16)));
  return Buffer.from(bytes, 'latin1').toString('utf8');
}
