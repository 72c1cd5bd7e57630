import type { FastifyInstance } from 'fastify';
import type { Database } from '../platform/database.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { measuredValuesReader } from '../receiving/index.ts';
import { capabilityGroups } from './capability-groups.ts';
import { capabilityLines } from './capability-view.ts';

/** How the measured values of all makers lie within their limits, for the lead. */
export function capabilityRoutes(app: FastifyInstance, db: Pick<Database, 'read' | 'hot'>): void {
  const measured = measuredValuesReader(db);

  app.get('/makers/capability', { preHandler: leadOnly }, async (_request, reply) => {
    const people = await db.read.person.findMany({
      where: { forgottenAt: null },
      select: { id: true, name: true },
    });
    const names = new Map(people.map(({ id, name }) => [id, name]));
    const processes = await db.read.process.findMany({ select: { id: true, name: true } });
    const groups = capabilityGroups(measured()).filter(({ personId }) => names.has(personId));
    const lines = capabilityLines(groups, new Map(processes.map(({ id, name }) => [id, name])));
    return reply.page('makers/capability.njk', {
      page: { title: 'Capability of makers', nav: '/makers' },
      lines: lines.map((line) => ({ ...line, maker: names.get(line.personId) ?? '' })),
    });
  });
}
