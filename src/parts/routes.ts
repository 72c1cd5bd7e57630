import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { draftRoutes } from './draft-routes.ts';
import { listRoutes } from './list-routes.ts';
import { partRoutes } from './part-routes.ts';
import type { ReadPartJobs, ReadyAt80 } from './progress.ts';
import { useRoutes } from './use-routes.ts';

/**
 * The structure, the list of parts, their forms, and the import of lists. The page of one part, /parts/:number, is
 * put together by front, because drawings, jobs and problems stand on it too.
 *
 * @param jobs  how the parts ask about the jobs, which know the parts and not the other way round; `readyAt80` asks
 *              the schedule
 */
export function partsRoutes(
  app: FastifyInstance,
  context: Context,
  jobs: ReadPartJobs,
  readyAt80: ReadyAt80,
): void {
  listRoutes(app, context, jobs, readyAt80);
  partRoutes(app, context, jobs);
  useRoutes(app, context);
  draftRoutes(app, context);
}
