import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { partByNumber } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { addDays } from '../platform/day.ts';
import { choice, line, optionalDay, optionalId } from '../platform/http/fields.ts';
import { readForm } from '../platform/http/form.ts';
import { shop } from '../platform/http/guards.ts';
import { countLog, historyLines, type LogFilter, readLog } from './history.ts';
import { actKinds } from './sentence.ts';

const PAGE_ROWS = 100;

const LogQuery = z.object({
  who: optionalId(),
  part: line(40),
  job: optionalId('Type the number of a job.'),
  kind: choice(['', ...actKinds]),
  from: optionalDay,
  until: optionalDay,
  page: optionalId(),
});

/** GET /log: every act, newest first, filtered by what stands in the address. */
export function logRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;

  app.get('/log', { preHandler: shop }, async (request, reply) => {
    const read = readForm(LogQuery, request.query);
    const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
    const people = await db.read.person.findMany({
      orderBy: { name: 'asc' },
      select: { id: true, name: true },
    });
    const form = read.fits ? { values: { ...read.input }, errors: {} } : read.form;
    const filter: LogFilter = {};
    let pageNumber = 1;
    if (read.fits) {
      const { who, part, job, kind, from, until, page } = read.input;
      if (who) filter.personId = who;
      if (job) filter.jobId = job;
      if (kind) filter.kinds = [kind];
      if (part) {
        const found = await partByNumber(db.read, part);
        if (found) filter.partId = found.id;
        else form.errors.part = `No part has the number ${part}.`;
      }
      // Days are whole in the reader's calendar; the log keeps UTC, so a day's edge may take in an hour of its neighbour.
      if (from) filter.from = from;
      if (until) filter.until = addDays(until, 1);
      pageNumber = page ?? 1;
    } else reply.code(422);
    const wrong = Object.keys(form.errors).length > 0;
    if (wrong) reply.code(422);
    const total = wrong ? 0 : countLog(db, filter);
    const rows = wrong ? [] : readLog(db, filter, { limit: PAGE_ROWS, offset: (pageNumber - 1) * PAGE_ROWS });
    const pages = Math.max(1, Math.ceil(total / PAGE_ROWS));
    const address = (to: number) => {
      const query = new URLSearchParams();
      for (const [name, value] of Object.entries({ ...form.values, page: to }))
        if (value) query.set(name, String(value));
      return `/log?${query}`;
    };
    return reply.page('log/log.njk', {
      page: { title: 'Log', nav: '/log' },
      form,
      people: people.map(({ id, name }) => ({ value: String(id), label: name })),
      kinds: [...actKinds].sort().map((kind) => ({ value: kind, label: kind.replaceAll('-', ' ') })),
      history: historyLines(rows, build.timeZone),
      total,
      pager: {
        page: pageNumber,
        pages,
        prev: pageNumber > 1 ? address(pageNumber - 1) : '',
        next: pageNumber < pages ? address(pageNumber + 1) : '',
        text: `${total} ${total === 1 ? 'act' : 'acts'}`,
      },
    });
  });
}
