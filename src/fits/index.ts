export { addChain, addLink } from './chain-acts.ts';
export type { FitOfSizes } from './chain-direction.ts';
export { addFit, setSurroundings } from './fit-acts.ts';
export { type FitOfPart, fitsOfPart } from './fits-of-part.ts';
export { fitsOfSizes } from './fits-of-sizes.ts';
export type { ChainInput, FitInput, LinkInput } from './forms.ts';
export { type UsedSize, usedSizes } from './loosening.ts';
export { turnOf, type VerdictStep, verdictSteps } from './redesign-verdicts.ts';
export { fitsRoutes } from './routes.ts';
