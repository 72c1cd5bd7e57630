export { thanksRoutes } from './routes.ts';
