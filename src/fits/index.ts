export { addChain, addLink } from './chain-acts.ts';
export { addFit } from './fit-acts.ts';
export type { ChainInput, FitInput, LinkInput } from './forms.ts';
export { fitsRoutes } from './routes.ts';
