export { type ProposalPorts, proposalRoutes } from './routes.ts';
