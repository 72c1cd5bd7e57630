// The part of the door that threads use: pure functions alone, so that a thread which loads it loads no server.
export { type LeadTimeReply, LeadTimeRequest, leadTime } from '../lead-time.ts';
export { type LevelReply, level } from '../level.ts';
export { LevelRequest } from '../level-request.ts';
export { type NetworkReply, network } from '../network.ts';
export { NetworkRequest } from '../network-request.ts';
export { type RiskReply, risk, riskModel, riskReply } from '../risk.ts';
export { rankCorrelations } from '../risk-correlation.ts';
export { RiskRequest } from '../risk-request.ts';
export {
  blockCount,
  mergeBlocks,
  type RiskBlocks,
  type RiskModel,
  simulateBlocks,
} from '../risk-simulation.ts';
