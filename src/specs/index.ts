export { type Capability, capability, FEWEST_VALUES, placeWithin } from './capability.ts';
export {
  CAUTIONS_CLOSING,
  type Caution,
  type CautionedWork,
  cautionsFor as usualCautions,
} from './cautions.ts';
export { type ParsedCharacteristic, parseCharacteristic } from './characteristic-text.ts';
export { type Characteristic, characteristicText, plainNumber } from './characteristic-text-written.ts';
export { valueSource } from './entry-view.ts';
export { FINER_THAN_GRADES, gradeOf, gradeOfLimits, gradeWords } from './grade-of.ts';
export { growth } from './growth.ts';
export { materialLibrary } from './library/library.ts';
export { type CharacteristicLimits, limitsOf } from './limits-of-characteristic.ts';
export { type MassOf, massOf } from './mass.ts';
export { type MaterialEntry, materialEntry } from './materials.ts';
export { type ProcessEntry, processEntry } from './processes.ts';
export * from './pure/index.ts';
export { specsRoutes } from './routes.ts';
export { seedLibraries } from './seed-libraries.ts';
export { sideOfLabel, zoneOnWrongSide } from './side-of-label.ts';
export {
  type Choice,
  cautionsFor,
  materialChoices,
  processChoices,
  type WorkCautions,
} from './work-cautions.ts';
