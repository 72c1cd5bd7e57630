export {
  ChainRequest,
  ComparisonRequest,
  FitRequest,
  LimitsRequest,
  ThreadRequest,
} from './calculator-requests.ts';
export {
  CAUTIONS_CLOSING,
  type Caution,
  type CautionedWork,
  cautionsFor as usualCautions,
} from './cautions.ts';
export { type ChainAnswer, type ChainQuestion, chain } from './chain.ts';
export { type ParsedCharacteristic, parseCharacteristic } from './characteristic-text.ts';
export { type Characteristic, characteristicText, plainNumber } from './characteristic-text-written.ts';
export { type ComparisonAnswer, type ComparisonQuestion, comparison } from './comparison.ts';
export { type FitAnswer, type FitQuestion, type FitSide, fit } from './fit.ts';
export { fromMm, type LengthUnit, MM_PER_INCH, toMm, withoutDust } from './inch.ts';
export { GENERAL_CLASSES, type GeneralClass } from './iso2768.ts';
export { materialLibrary } from './library/library.ts';
export { type LimitsAnswer, type LimitsQuestion, limits } from './limits.ts';
export { type CharacteristicLimits, limitsOf } from './limits-of-characteristic.ts';
export { specsRoutes } from './routes.ts';
export { seedLibraries } from './seed-libraries.ts';
export { type ThreadAnswer, type ThreadQuestion, thread, threadSizes } from './thread.ts';
export {
  type Choice,
  cautionsFor,
  materialChoices,
  processChoices,
  type WorkCautions,
} from './work-cautions.ts';
