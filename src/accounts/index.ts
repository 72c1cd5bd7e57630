export { buildReader, personReader } from './people.ts';
export { accountRoutes } from './routes.ts';
export { sessionStore, sweepExpired } from './session-store.ts';
