export { DISPOSITIONS, type Disposition } from './check-rules.ts';
export { checkUnits, type NewCheck } from './check-units.ts';
export { giveUpShort } from './give-up-short.ts';
export type { Measured } from './measure.ts';
export { type NewParcel, postParcel } from './post-parcel.ts';
export { countParcel, loseParcel, receiveParcel } from './receive-parcel.ts';
