import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { characteristicRoutes } from './characteristic-routes.ts';
import { documentRoutes } from './document-routes.ts';
import type { FollowJob } from './old-units.ts';
import { revisionRoutes } from './revision-routes.ts';
import { supersedeRoutes } from './supersede-routes.ts';

/**
 * Revisions, their characteristics and documents, and what follows when one supersedes another.
 *
 * @param ports.followJob  makes the rework or replacement job for old units
 */
export function drawingRoutes(
  app: FastifyInstance,
  context: Context,
  { followJob }: { followJob: FollowJob },
): void {
  revisionRoutes(app, context);
  characteristicRoutes(app, context);
  documentRoutes(app, context);
  supersedeRoutes(app, context, followJob);
}
