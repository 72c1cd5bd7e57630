export { LETTER_KINDS } from './kinds.ts';
export { outboxRoutes } from './routes.ts';
export { type OutboxParts, OutboxService } from './service.ts';
