export type { Shapes } from './ports.ts';
export { viewingRoutes } from './routes.ts';
