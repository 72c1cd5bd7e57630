import type { FastifyInstance } from 'fastify';
import type { FileReader } from '../models/index.ts';
import type { Context } from '../platform/context.ts';
import { Workers } from '../platform/workers.ts';
import { computing } from './computing.ts';
import { jsonRoutes } from './json-routes.ts';
import { modelRoutes } from './model-routes.ts';
import { pageRoutes } from './page-routes.ts';

/** The calculators: their JSON interface and their pages, with threads of their own. */
export function benchRoutes(app: FastifyInstance, context: Context, reader: FileReader): void {
  const workers = new Workers();
  app.addHook('onClose', () => workers.close());
  const compute = computing(workers);
  jsonRoutes(app, compute);
  modelRoutes(app, context, reader);
  pageRoutes(app, context, compute);
}
