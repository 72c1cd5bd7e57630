import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { chainRoutes } from './chain-routes.ts';
import { fitRoutes } from './fit-routes.ts';

/** Fits and chains, for lead and crew. */
export function fitsRoutes(app: FastifyInstance, context: Context): void {
  fitRoutes(app, context);
  chainRoutes(app, context);
}
