export { outboxRoutes } from './routes.ts';
export { type OutboxParts, OutboxService } from './service.ts';
