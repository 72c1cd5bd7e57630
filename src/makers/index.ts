export { addAway, addTool } from './maker-acts.ts';
export { type KeptPromise, type PromiseRecord, promiseRecord } from './record.ts';
export { makerRoutes } from './routes.ts';
