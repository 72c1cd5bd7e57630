import type { FastifyInstance } from 'fastify';
import { factsReader, type JobTimes } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import type { OutlookService, ScheduleService } from '../schedule/index.ts';
import { decisionRoutes } from './decision-routes.ts';
import { gatheringRoutes } from './gathering-routes.ts';
import { problemRoutes } from './problem-routes.ts';
import { redesignRoutes } from './redesign-routes.ts';
import { trialRoutes } from './trial-routes.ts';

/** The loop from failure to cure, and the gatherings. */
export function problemsRoutes(
  app: FastifyInstance,
  context: Context,
  {
    times,
    outlooks,
  }: { times: JobTimes & Pick<ScheduleService, 'snapshot'>; outlooks: Pick<OutlookService, 'simulate'> },
): void {
  const sources = { db: context.db, facts: factsReader(context.db), times };
  problemRoutes(app, context);
  redesignRoutes(app, context, { ...sources, schedules: times, outlooks });
  trialRoutes(app, context);
  decisionRoutes(app, context, sources);
  gatheringRoutes(app, context, sources);
}
