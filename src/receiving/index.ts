export { DISPOSITIONS, type Disposition } from './check-rules.ts';
export { checkUnits, type NewCheck } from './check-units.ts';
export { type Concession, concessionsOfPart } from './concessions.ts';
export { type CheckCorrection, correctCheck } from './correct-check.ts';
export { giveUpShort } from './give-up-short.ts';
export type { Gauged, Measured } from './measure.ts';
export { type MeasuredAt, measuredValuesReader } from './measured-values.ts';
export {
  type ExpectedParcel,
  type ParcelHere,
  parcelsInThePost,
  parcelsToInspect,
} from './parcels-reader.ts';
export { type NewParcel, postParcel } from './post-parcel.ts';
export { countParcel, receiveParcel, writeOffParcel } from './receive-parcel.ts';
export { receivingRoutes } from './routes.ts';
export { type ReceivingSection, receivingSections } from './sections.ts';
export { type ShelfUnit, shelfUnitsReader, type UnitSize } from './shelf-units.ts';
export { acceptWithSample, endSample, takeSample } from './take-sample.ts';
