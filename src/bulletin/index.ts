export { bulletinRoutes } from './routes.ts';
