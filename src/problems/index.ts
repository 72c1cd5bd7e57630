export { daysThere } from '../schedule/index.ts';
export {
  askDecision,
  changeDecision,
  dropDecision,
  type NewDecision,
  takeDecision,
} from './decision-acts.ts';
export type { DecisionLine } from './decision-reader.ts';
export {
  mayOpenPhotosOf,
  openProblems,
  type ProblemsOfPart,
  problemsOfPart,
  waitingDecisions,
} from './for-others.ts';
export {
  changeGathering,
  comeToGathering,
  dropGathering,
  leaveGathering,
  moveGathering,
  type PlannedGathering,
  planGathering,
} from './gathering-acts.ts';
export { changeRedesign, type NewRedesign, openRedesign } from './open-redesign.ts';
export {
  bringToGathering,
  dropPackingLine,
  packForGathering,
  unpackForGathering,
  writePackingLine,
} from './packing-acts.ts';
export type { ProblemLine } from './problem-reader.ts';
export { canHurt, isGrave, type Rank, rankWord } from './problem-scales.ts';
export { releaseRedesign, startRedesignRevisions } from './redesign-revisions.ts';
export { problemsRoutes } from './routes.ts';
export { changeProblem, type SeenProblem, seeProblem } from './see-problem.ts';
export { acceptProblem, mergeProblems, takeUpProblem } from './settle-problem.ts';
export { closeRedesign, dropRedesign } from './settle-redesign.ts';
export {
  changeTrial,
  correctTrial,
  finishTrial,
  type PlannedTrial,
  planTrial,
  type TrialResult,
} from './trial-acts.ts';
