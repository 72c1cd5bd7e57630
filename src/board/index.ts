export { boardRoutes } from './routes.ts';
