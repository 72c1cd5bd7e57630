export { keepBaseline } from './baseline-acts.ts';
export { planOf } from './baseline-plan.ts';
export type { BuildFacts, PersonFacts } from './build-facts.ts';
export { addClosures } from './closure-acts.ts';
export { DEFAULTS } from './defaults.ts';
export { type DateScale, dateScale } from './drawing.ts';
export type { MovedBy, MovedWords, WhyMoved, WhyMovedTold } from './finish-moved.ts';
export { finishMovedRoutes } from './finish-moved-routes.ts';
export { FinishMovedService } from './finish-moved-service.ts';
export { type StepChances, type StepWanted, stepChances } from './gathering-chance.ts';
export { finishIfMissed } from './gathering-missed.ts';
export { type DaysThere, daysThere } from './gathering-there.ts';
export {
  GATHERING_HORIZON_DAYS,
  type GatheringSupply,
  type GatheringTask,
  type GatheringWork,
  gatheringWork,
} from './gathering-work.ts';
export { type LeadStep, leadSteps } from './lead-steps.ts';
export { loopThrough } from './loop-through.ts';
export { ACT_WORDS, actBeside, leadStepHref, perHourText, reasonOfNext } from './next-view.ts';
export { LEAST_DAMAGE_DAYS, type Outlook } from './outlook.ts';
export { OutlookService } from './outlook-service.ts';
export * from './pure/index.ts';
export { readyAt80Reader } from './ready-days.ts';
export { type RedesignAt80, redesignAt80 } from './redesign-chance.ts';
export { type CostOfOutcome, type RedesignCost, type RedesignWish, redesignCost } from './redesign-cost.ts';
export { scheduleRoutes } from './routes.ts';
export { chainTo, type DatedStep, datedStep, drivingChain, type Schedule, scheduleOf } from './schedule.ts';
export { type FinishOfDay, ScheduleService, type Snapshot } from './service.ts';
export {
  type Spread,
  type StartableStep,
  spreadOf,
  startableSteps,
} from './startable.ts';
export { titleBlock } from './title-block.ts';
export { daysMoved, finishMoved } from './view.ts';
