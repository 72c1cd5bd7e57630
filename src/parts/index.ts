export { changePart } from './change-part.ts';
export { createPart, type NewPart } from './create-part.ts';
export type { PartKind } from './import-types.ts';
export { formatMoney, parseMoney } from './money.ts';
export { type Part, type PartFields, partKinds, partPath, partUnits } from './part.ts';
export { formatQuantity, parseQuantity, type Unit, unitName } from './quantity.ts';
export { removePart, restorePart } from './remove-part.ts';
export { setShelf } from './set-shelf.ts';
export { partByNumber, readPart } from './store.ts';
export type { Structure } from './structure-graph.ts';
export {
  type PartRow,
  type PartsGraph,
  requiredMilli,
  structureGraph,
  type UseRow,
} from './structure-reader.ts';
export { addUse, changeUse, removeUse } from './uses.ts';
