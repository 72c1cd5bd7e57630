import { get } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser, TestApp } from './app.ts';

export interface EventStream {
  status: number;
  /** all that came so far */
  text(): string;
  close(): void;
}

/** Opens the stream of events as the browser of a person would. The app must listen: `await app.app.listen()`. */
export function openEvents(
  { app }: TestApp,
  { agent }: Browser,
  headers: Record<string, string> = {},
): Promise<EventStream> {
  const { port } = app.server.address() as AddressInfo;
  const cookie = agent.jar
    .getCookies({ domain: '127.0.0.1', path: '/', secure: false, script: false })
    .toValueString();
  return new Promise((resolve, reject) => {
    const request = get(
      { port, host: '127.0.0.1', path: '/live', headers: { cookie, ...headers } },
      (reply) => {
        let text = '';
        reply.setEncoding('utf8');
        reply.on('data', (piece: string) => {
          text += piece;
        });
        reply.on('error', () => {});
        resolve({ status: reply.statusCode ?? 0, text: () => text, close: () => request.destroy() });
      },
    );
    request.on('error', reject);
  });
}
