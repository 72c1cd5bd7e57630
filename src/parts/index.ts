export { changePart } from './change-part.ts';
export { createPart, type NewPart } from './create-part.ts';
export { type ActRow, partHistory } from './history.ts';
export type { PartKind } from './import-types.ts';
export { formatMoney } from './money.ts';
export { type Part, type PartFields, partPath } from './part.ts';
export { type PartFacts, partFacts } from './part-facts.ts';
export { partNumberKey } from './part-number.ts';
export { formatMass } from './part-words.ts';
export type { Progress, ReadPartJobs, ReadyAt80 } from './progress.ts';
export { formatQuantity, parseQuantity, type Unit, unitName } from './quantity.ts';
export { removePart, restorePart } from './remove-part.ts';
export { partsRoutes } from './routes.ts';
export { setShelf } from './set-shelf.ts';
export { partByNumber, readPart } from './store.ts';
export type { Structure } from './structure-graph.ts';
export {
  graphOf,
  type KnownMass,
  type PartRow,
  type PartsGraph,
  requiredMilli,
  structureGraph,
  takeMassesFrom,
  type UseRow,
} from './structure-reader.ts';
export { type UsedIn, whereUsed } from './structure-where-used.ts';
export { addUse, changeUse, partAsTyped, removeUse } from './uses.ts';
