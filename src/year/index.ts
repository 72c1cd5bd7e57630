export { yearRoutes } from './routes.ts';
