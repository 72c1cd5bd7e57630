import { randomUUID } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import { signedIn } from './guards.ts';

const BEAT_MS = 25_000;
const GATHER_MS = 150;

/** Something that tells when what pages show has changed. */
interface Source {
  listen(listener: () => void): () => void;
}

/**
 * GET /live: server-sent events (WHATWG HTML, section 9.2). `changed` follows what the sources tell: each act, and what
 * is worked out after it; several close ones as one. Who
 * comes back after a pause, or after this program was started anew, is told at once if something changed meanwhile.
 */
export function addLive(app: FastifyInstance, sources: readonly Source[]): void {
  const open = new Set<(text: string) => void>();
  let pending: NodeJS.Timeout | null = null;
  let count = 0;
  const run = randomUUID().slice(0, 8);
  const id = () => `id: ${run}-${count}\n`;
  const changed = () => `${id()}event: changed\ndata: ${count}\n\n`;
  const soon = () => {
    pending ??= setTimeout(() => {
      pending = null;
      count += 1;
      for (const send of open) send(changed());
    }, GATHER_MS);
  };
  const endings = sources.map((source) => source.listen(soon));
  const beat = setInterval(() => {
    for (const send of open) send(': still here\n\n');
  }, BEAT_MS);
  beat.unref();
  app.addHook('preClose', async () => {
    for (const end of endings) end();
    clearInterval(beat);
    if (pending) clearTimeout(pending);
  });

  app.get('/live', { preHandler: signedIn, config: { rateLimit: false } }, (request, reply) => {
    reply.hijack();
    const { raw } = reply;
    raw.writeHead(200, {
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-store',
      'x-accel-buffering': 'no',
    });
    const send = (text: string) => raw.write(text);
    const seen = request.headers['last-event-id'];
    send(`retry: 3000\n${id()}\n`);
    if (seen !== undefined && seen !== `${run}-${count}`) send(changed());
    open.add(send);
    request.raw.on('close', () => open.delete(send));
  });
}
