export { type Ask, offerToMake } from './ask-acts.ts';
export { offerRoutes } from './routes.ts';
