import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { partPath } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import { addDays, type Day, dayIn, daysBetween, dayWords } from '../platform/day.ts';
import { shop } from '../platform/http/guards.ts';
import { type DoneRow, doneReader } from './done-reader.ts';
import { dateScale } from './drawing.ts';
import { count } from './durations-estimate.ts';
import { scheduleTabs } from './tabs.ts';
import { todayReader } from './today.ts';

const ROWS = 60;
const Asked = z.object({ page: z.coerce.number().int().min(1).max(10_000).catch(1) });

const WORDS: Readonly<Record<DoneRow['kind'], string>> = {
  release: 'Released',
  work: 'Done',
  purchase: 'Delivered',
  make: 'Made and posted',
  post: 'Came by post',
  inspect: 'Inspected',
};

const WORK_WORDS: Readonly<Record<string, string>> = {
  design: 'Drawn',
  'fit-up': 'Fitted up',
  trial: 'Tried',
};

/** GET /schedule/done: every step that is over, with its real dates, the latest first. */
export function doneRoutes(app: FastifyInstance, { db, clock }: Pick<Context, 'db' | 'clock'>): void {
  const done = doneReader(db);
  const today = todayReader({ db, clock });
  app.get('/schedule/done', { preHandler: shop }, async (request, reply) => {
    const { timeZone } = await db.read.build.findUniqueOrThrow({
      where: { id: 1 },
      select: { timeZone: true },
    });
    const all = done.count();
    const pages = Math.max(1, Math.ceil(all / ROWS));
    const page = Math.min(Asked.parse(request.query).page, pages);
    const people = await db.read.person.findMany({ select: { id: true, name: true } });
    const names = new Map(people.map(({ id, name }) => [id, name]));
    const dayOf = (instant: string) => dayIn(timeZone, new Date(instant));
    const now = today();
    const rows = done.page(ROWS, (page - 1) * ROWS).map((row) => {
      const untilOn = dayOf(row.untilAt);
      const fromOn = row.fromAt === null ? untilOn : dayOf(row.fromAt);
      const isInOrder = fromOn <= untilOn;
      return { row, untilOn, fromOn: isInOrder ? fromOn : untilOn };
    });
    const first = rows.reduce((least: Day, { fromOn }) => (fromOn < least ? fromOn : least), now);
    const scale = dateScale(first, addDays(now, 1));
    return reply.page('schedule/done.njk', {
      page: { title: 'Done', sheet: 'Schedule, done', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/done'),
      ticks: scale.ticks,
      today: scale.place(now),
      rows: rows.map(({ row, fromOn, untilOn }) => ({
        what: row.kind === 'work' ? (WORK_WORDS[row.jobKind ?? ''] ?? WORDS.work) : WORDS[row.kind],
        title: row.title,
        href:
          row.jobId !== null ? `/jobs/${row.jobId}` : row.partNumber ? partPath(row.partNumber) : '/schedule',
        partNumber: row.partNumber,
        partHref: row.partNumber && partPath(row.partNumber),
        jobId: row.jobId,
        who: row.personId === null ? '' : (names.get(row.personId) ?? ''),
        began: row.fromAt === null ? 'not said' : dayWords(fromOn, now),
        ended: dayWords(untilOn, now),
        took: row.fromAt === null ? '' : count(daysBetween(fromOn, untilOn), 'day'),
        bar: { at: scale.place(fromOn), width: Math.max(0, scale.after(untilOn) - scale.place(fromOn)) },
      })),
      pager: {
        page,
        pages,
        prev: page > 1 ? `/schedule/done?page=${page - 1}` : '',
        next: page < pages ? `/schedule/done?page=${page + 1}` : '',
        text: count(all, 'step'),
      },
    });
  });
}
