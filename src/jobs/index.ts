export { approveFirstPiece, followFirstPiece } from './approve-first-piece.ts';
export { answerQuery, askQuery } from './ask-query.ts';
export { type Ask, type CardMoment, type JobCard, jobCard, quantityTextOf, type Viewer } from './card.ts';
export { cardNamesReader, jobCards, momentReader, type NamesForCards } from './card-reader.ts';
export { changeJob, type JobChange } from './change-job.ts';
export { claimJob, handBack, type NewClaim, renewPromise } from './claim-job.ts';
export {
  madeOf,
  mayActOn,
  netOf,
  type PromiseDays,
  unfinishedOf,
} from './claim-rules.ts';
export { promiseWords } from './claim-view.ts';
export { createJob, followJob, type NewJob } from './create-job.ts';
export * from './facts.ts';
export { type FactsReader, factsReader } from './facts-reader.ts';
export { finishJob, startJob } from './finish-job.ts';
export {
  FIRST_PIECE_WORDS,
  type FirstPieceState,
  firstPieceState,
  mayPostBeforeApproval,
  postableOf,
  waitsForFirstPiece,
} from './first-piece.ts';
export { dropJob, holdJob, resumeJob } from './hold-job.ts';
export { type LinkType, type LoopThrough, linkJobs, type NewLink, unlinkJobs } from './link-jobs.ts';
export { offerJob, withdrawOffer } from './offer-job.ts';
export { jobsOfPart, type PartJobRow } from './part-jobs.ts';
export { keepPhotos, MOST_PHOTOS, PHOTO_LIMIT_BYTES, type PhotoOwner, photosOf } from './photos.ts';
export { type Arrival, type Order, orderPurchase, receivePurchase } from './purchase-job.ts';
export { correctReport, reportWork, startWork, type WorkReport } from './report-work.ts';
export { type JobForms, type JobPorts, type JobSection, jobRoutes, type ShowJob } from './routes.ts';
export { say } from './say.ts';
export { readSheet } from './sheet-reader.ts';
export { type JobInAct, readClaim, readJob } from './store.ts';
export { timeWords } from './time-words.ts';
export type { JobTime, JobTimes, PartTime } from './times.ts';
