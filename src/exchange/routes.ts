import type { Readable } from 'node:stream';
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { csvStream } from './csv.ts';
import { everythingStream } from './everything.ts';
import { jobsTable, logTable, partsTable, structureTable, type Table } from './lists.ts';

/**
 * GET /exchange and its downloads, for the lead.
 *
 * @param isReady  whether what a job waits for is there, as the schedule tells it: it is part of a job's stage
 */
export function exchangeRoutes(
  app: FastifyInstance,
  context: Context,
  isReady: (jobId: number) => boolean = () => false,
): void {
  const { db, clock, settings } = context;

  const send = async (reply: FastifyReply, name: string, type: string, content: Readable) => {
    const { timeZone } = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
    const filename = name.replace('DAY', dayIn(timeZone, clock.now()));
    return reply
      .header('content-disposition', `attachment; filename="${filename}"`)
      .header('cache-control', 'no-store')
      .type(type)
      .send(content);
  };
  const sendTable = (reply: FastifyReply, name: string, { header, rows }: Table) =>
    send(reply, `farwright-${name}-DAY.csv`, 'text/csv; charset=utf-8', csvStream(header, rows));

  app.get('/exchange', { preHandler: leadOnly }, (_request, reply) =>
    reply.page('exchange/exchange.njk', { page: { title: 'Exchange', nav: '/exchange' } }),
  );
  app.get('/exchange/parts.csv', { preHandler: leadOnly }, async (_request, reply) =>
    sendTable(reply, 'parts', await partsTable(db)),
  );
  app.get('/exchange/structure.csv', { preHandler: leadOnly }, (_request, reply) =>
    sendTable(reply, 'structure', structureTable(db)),
  );
  app.get('/exchange/jobs.csv', { preHandler: leadOnly }, (_request, reply) =>
    sendTable(reply, 'jobs', jobsTable(db, isReady)),
  );
  app.get('/exchange/log.csv', { preHandler: leadOnly }, (_request, reply) =>
    sendTable(reply, 'log', logTable(db)),
  );
  app.get('/exchange/everything.json', { preHandler: leadOnly }, (_request, reply) =>
    send(
      reply,
      'farwright-everything-DAY.json',
      'application/json; charset=utf-8',
      everythingStream(settings.dataDir, clock.now()),
    ),
  );
}
