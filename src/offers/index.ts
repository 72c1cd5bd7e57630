export { type Ask, offerToMake } from './ask-acts.ts';
export { offerRoutes } from './routes.ts';
export { whoCanMakeSections } from './who-can-make.ts';
