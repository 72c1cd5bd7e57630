export { type Ask, offerToMake } from './ask-acts.ts';
export { readOfferFacts } from './offer-facts.ts';
export { type OpenOffer, openOffers } from './open-offers.ts';
export { offerRoutes } from './routes.ts';
export type { OfferFacts } from './suits.ts';
export { type SuitsPorts, whoCanMakeSections } from './who-can-make.ts';
