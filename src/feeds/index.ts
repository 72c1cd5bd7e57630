import type { FastifyInstance } from 'fastify';
import type { SuitsPorts } from '../offers/index.ts';
import type { Context } from '../platform/context.ts';
import { atomRoutes } from './atom-routes.ts';
import { calendarRoutes } from './calendar-routes.ts';

/** What readers and telephones fetch by themselves: Atom feeds of what is public, and calendars. */
export function feedRoutes(app: FastifyInstance, context: Context, ports: SuitsPorts): void {
  atomRoutes(app, context, ports);
  calendarRoutes(app, context, ports);
}
