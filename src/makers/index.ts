export { type CapabilityGroup, capabilityGroups, type HeldGrade, heldGrade } from './capability-groups.ts';
export { verdictOfCpk } from './capability-view.ts';
export { addAway, addTool } from './maker-acts.ts';
export { type KeptPromise, type PromiseRecord, promiseRecord } from './record.ts';
export { makerRoutes } from './routes.ts';
