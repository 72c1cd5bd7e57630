export { outboxRoutes } from './routes.ts';
export { OutboxService } from './service.ts';
