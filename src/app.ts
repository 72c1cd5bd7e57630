import type { FastifyBaseLogger, FastifyInstance } from 'fastify';
import { accountRoutes, buildReader, personReader, sessionStore } from './accounts/index.ts';
import type { Context } from './platform/context.ts';
import { dayIn } from './platform/day.ts';
import { addLive } from './platform/http/live.ts';
import { CALCULATE_PATH, SET_UP_PATH } from './platform/http/paths.ts';
import { buildServer, SESSION_DAYS } from './platform/http/server.ts';
import type { SignedIn } from './platform/http/types.ts';

interface NavEntry {
  href: string;
  label: string;
  roles: ('lead' | 'crew' | 'maker' | 'visitor')[];
}

const NAV: NavEntry[] = [{ href: '/', label: 'Today', roles: ['lead', 'crew', 'maker'] }];

function navFor(person: SignedIn | null) {
  const role = person?.role ?? 'visitor';
  return NAV.filter(({ roles }) => roles.includes(role)).map(({ href, label }) => ({ href, label }));
}

/** Builds the whole program from what it is given. It opens no port and reads no environment. */
export async function buildApp(
  context: Context,
  logger: FastifyBaseLogger | boolean | { level: string },
): Promise<FastifyInstance> {
  const { db, clock, settings } = context;
  const readBuild = buildReader(db);
  const app = await buildServer({
    settings,
    logger,
    sessionStore: sessionStore(db, clock, SESSION_DAYS * 86_400_000),
    personOf: personReader(db),
    surroundings(request) {
      const build = readBuild();
      return {
        build,
        nav: build ? navFor(request.person) : [],
        titleBlock: [],
        asOf: dayIn(build?.timeZone ?? 'UTC', clock.now()),
      };
    },
  });

  // Until the build is set up there is one page, and the calculators.
  app.addHook('preHandler', async (request, reply) => {
    const { url } = request;
    const open =
      url.startsWith(SET_UP_PATH) ||
      url.startsWith('/static/') ||
      url.startsWith(CALCULATE_PATH) ||
      url.startsWith('/bench');
    if (!open && !readBuild()) return reply.redirect(SET_UP_PATH, 303);
  });

  app.get('/health', { config: { rateLimit: false } }, async () => {
    db.hot.prepare('SELECT 1').get();
    return { ok: true };
  });
  accountRoutes(app, context);
  addLive(app, context.changes);
  return app;
}
