export {
  CAUTIONS_CLOSING,
  type Caution,
  type CautionedWork,
  cautionsFor as usualCautions,
} from './cautions.ts';
export { type ParsedCharacteristic, parseCharacteristic } from './characteristic-text.ts';
export { type Characteristic, characteristicText, plainNumber } from './characteristic-text-written.ts';
export { fromMm, type LengthUnit, MM_PER_INCH, toMm, withoutDust } from './inch.ts';
export { GENERAL_CLASSES, type GeneralClass } from './iso2768.ts';
export { type CharacteristicLimits, limitsOf } from './limits-of-characteristic.ts';
export { seedLibraries } from './seed-libraries.ts';
