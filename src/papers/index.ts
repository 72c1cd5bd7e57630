export { type PaperPorts, packSections, papersRoutes } from './routes.ts';
