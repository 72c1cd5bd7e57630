import type { FastifyInstance } from 'fastify';
import { shop } from '../platform/http/guards.ts';
import { durationsPage } from './durations-view.ts';
import { POOL_WEIGHT } from './history-records.ts';
import { BELIEF_WEIGHT } from './history-spread.ts';
import type { ScheduleService } from './service.ts';
import { scheduleTabs } from './tabs.ts';

/** GET /schedule/durations: the histories that durations are taken from, and how much there is of each. */
export function durationsRoutes(app: FastifyInstance, service: ScheduleService): void {
  app.get('/schedule/durations', { preHandler: shop }, async (_request, reply) => {
    const { schedule, trouble } = service.snapshot();
    return reply.page('schedule/durations.njk', {
      page: { title: 'What the durations rest on', sheet: 'Schedule, durations', nav: '/schedule' },
      tabs: scheduleTabs('/schedule/durations'),
      trouble: schedule ? null : trouble,
      told: schedule && durationsPage(schedule.facts, schedule.network.history),
      weights: { pool: POOL_WEIGHT, said: BELIEF_WEIGHT },
    });
  });
}
