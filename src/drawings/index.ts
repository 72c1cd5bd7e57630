export { changeRevision, type RevisionHead } from './change-revision.ts';
export {
  addCharacteristic,
  type CharacteristicInput,
  changeCharacteristic,
  removeCharacteristic,
} from './characteristics.ts';
export {
  type ComparedRevision,
  compareRevisions,
  type RevisionComparison,
} from './compare-revisions.ts';
export { contentDisposition } from './content-disposition.ts';
export { maySeeRevision, mayVisitorSee } from './document-access.ts';
export { DOCUMENT_KINDS, type DocumentKind } from './document-kind.ts';
export { documentFor } from './document-routes.ts';
export { addDocument, type NewDocument, removeDocument } from './documents.ts';
export { draftsMissingReader } from './drafts-missing.ts';
export { fileSize } from './file-size.ts';
export { type LimitsRow, limitsRow } from './limits-shown.ts';
export { type LimitsTable, limitsTable } from './limits-table.ts';
export { type MadeOf, madeOf } from './made-of.ts';
export type { AgreeCode, Disagreement } from './model-agrees.ts';
export { readDisagreements } from './model-agrees-reader.ts';
export { boxWords } from './model-box.ts';
export { type ModelBox, modelBoxes } from './model-boxes.ts';
export { modelMasses } from './model-masses.ts';
export { finishOldRevision, takeUpRevision } from './notices.ts';
export { decideOldUnits, type FollowJob, type FollowUp } from './old-units.ts';
export { type OpenNotice, openNotices } from './open-notices.ts';
export { previewOf } from './preview.ts';
export { type Released, releaseRevision } from './release-revision.ts';
export { compareRevisionLetters, nextRevisionLetter } from './revision-letter.ts';
export { type RevisionsOfPart, revisionsOfPart } from './revisions-of-part.ts';
export { drawingRoutes } from './routes.ts';
export { type StartedRevision, startRevision } from './start-revision.ts';
export { isSpent, type PlannedClaim, type SupersedePlan, supersedePlan } from './supersede-plan.ts';
export { withdrawRevision } from './withdraw-revision.ts';
