import type { FastifyInstance } from 'fastify';
import { factsReader } from '../jobs/index.ts';
import type { SuitsPorts } from '../offers/index.ts';
import type { Context } from '../platform/context.ts';
import { atomRoutes } from './atom-routes.ts';
import { calendarRoutes } from './calendar-routes.ts';

/** What readers and telephones fetch by themselves: Atom feeds of what is public, and calendars. */
export function feedRoutes(app: FastifyInstance, context: Context, ports: SuitsPorts): void {
  const facts = factsReader(context.db);
  atomRoutes(app, context, { ...ports, facts });
  calendarRoutes(app, context, { times: ports.times, facts });
}
