export { proposalRoutes } from './routes.ts';
