import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { hookRoutes } from './hook-routes.ts';
import { mailRoutes } from './mail-routes.ts';
import { ownRoutes } from './own-routes.ts';

/** How letters and web hooks leave, what waits, and which letters somebody gets. */
export function outboxRoutes(app: FastifyInstance, context: Context): void {
  mailRoutes(app, context);
  hookRoutes(app, context);
  ownRoutes(app, context);
}
