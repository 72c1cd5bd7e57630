export { soundnessRoutes } from './routes.ts';
