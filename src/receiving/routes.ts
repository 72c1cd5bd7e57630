import type { FastifyInstance } from 'fastify';
import { factsReader } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { inspectRoutes } from './inspect-routes.ts';
import { parcelRoutes } from './parcel-routes.ts';
import { parcelShower, shopRoutes } from './shop-routes.ts';

/** Parcels from the maker's post to the disposition of each unit. */
export function receivingRoutes(app: FastifyInstance, context: Context): void {
  const facts = factsReader(context.db);
  const showParcel = parcelShower(context, facts);
  shopRoutes(app, context, facts, showParcel);
  inspectRoutes(app, context);
  parcelRoutes(app, context, facts, showParcel);
}
