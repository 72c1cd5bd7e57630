export { MOST_LABELS } from './paper.ts';
export { labelledParts } from './part-labels.ts';
export { type PaperPorts, packSections, papersRoutes } from './routes.ts';
