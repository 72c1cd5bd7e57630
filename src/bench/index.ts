import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { Workers } from '../platform/workers.ts';
import { computing } from './computing.ts';
import { jsonRoutes } from './json-routes.ts';
import { pageRoutes } from './page-routes.ts';

/** The calculators: their JSON interface and their pages, with threads of their own. */
export function benchRoutes(app: FastifyInstance, context: Context): void {
  const workers = new Workers();
  app.addHook('onClose', () => workers.close());
  const compute = computing(workers);
  jsonRoutes(app, compute);
  pageRoutes(app, context, compute);
}
