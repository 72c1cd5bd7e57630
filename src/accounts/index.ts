import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { dataSecret } from '../platform/secret.ts';
import { linkRoutes } from './link-routes.ts';
import { peopleRoutes } from './people-routes.ts';
import { signInRoutes } from './routes.ts';
import { settingsRoutes } from './settings-routes.ts';

export { hashPassword } from './password.ts';
export { buildReader, personReader } from './people.ts';
export { acceptInvitation, changeBuild, changePerson } from './people-acts.ts';
export { sessionStore, sweepExpired } from './session-store.ts';
export { setUpBuild } from './set-up.ts';
export { sayThanksWords } from './thanks-words.ts';
export { makeTicket, ticketSecret } from './tickets.ts';

/** The key that single-use links of this data folder are worked out from. */
export function linkKeyOf(dataDir: string): string {
  return dataSecret(dataDir, 'links');
}

/** Set-up, sign-in, links, people and settings. */
export function accountRoutes(app: FastifyInstance, context: Context): void {
  signInRoutes(app, context);
  linkRoutes(app, context);
  peopleRoutes(app, context, linkKeyOf(context.settings.dataDir));
  settingsRoutes(app, context);
}
