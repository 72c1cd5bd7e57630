import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { thanksPage } from './thanks-page.ts';
import { thanksReader } from './thanks-reader.ts';

/** GET /thanks, for everyone: who gave what, since the beginning. */
export function thanksRoutes(app: FastifyInstance, { db, clock }: Pick<Context, 'db' | 'clock'>): void {
  const readThanks = thanksReader(db);
  const readZone = db.hot.prepare<[], string>('SELECT timeZone FROM Build WHERE id = 1').pluck();

  app.get('/thanks', (request, reply) => {
    const timeZone = readZone.get() ?? 'UTC';
    const { people, contributions } = readThanks(dayIn(timeZone, clock.now()));
    return reply.page('thanks/thanks.njk', {
      page: { title: 'Thanks', nav: '/thanks' },
      ...thanksPage(people, contributions, timeZone),
      isLead: request.person?.role === 'lead',
    });
  });
}
