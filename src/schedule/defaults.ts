/** What a step is taken to last where nothing better is known. Every figure is common practice, no source. */
export const DEFAULTS = {
  /** hours of drawing for a part whose hours nobody estimated */
  designHours: 4,
  /** working days to check and release a drawing */
  releaseDays: 1,
  /** calendar days from holding an offer out to its being claimed */
  findDays: 7,
  /** calendar days a maker takes where neither job nor part says */
  makeDays: 14,
  /** calendar days for a maker who has finished to bring the parcel to the post */
  packDays: 1,
  /** calendar days in the post between two countries, or from a maker not yet found */
  postDays: 7,
  /** calendar days in the post within the build's country */
  domesticPostDays: 3,
  /** working days to inspect what a parcel brought */
  inspectDays: 1,
  /** working days to place an order */
  orderDays: 2,
  /** calendar days from order to delivery where the part does not say */
  deliveryDays: 14,
  /** working days to fit an assembly together where neither job nor part says */
  fitUpDays: 1,
  /** working days of a trial */
  trialDays: 1,
  /** working days of any other job */
  otherDays: 1,
  /** what is left of work that should be over: calendar or working days */
  leastDays: 1,
  /** how far a stated figure may come out otherwise, as shares of it */
  soonestShare: 0.7,
  latestShare: 2,
  /** the same for a delivery day that was named */
  namedSoonestShare: 0.9,
  namedLatestShare: 1.5,
} as const;

/** The table in words, for the small print of the schedule. */
export const DEFAULTS_IN_WORDS: readonly string[] = [
  `Drawing: the part’s hours (${DEFAULTS.designHours} h where none are given) at the lead’s hours a week; release: ${DEFAULTS.releaseDays} working day.`,
  `Finding a maker: ${DEFAULTS.findDays} days. Making: what the maker promised, else the working days of the job or part, else ${DEFAULTS.makeDays} days.`,
  `Post: ${DEFAULTS.domesticPostDays} days within the country, ${DEFAULTS.postDays} between countries or from a maker not yet found. Inspection: ${DEFAULTS.inspectDays} working day.`,
  `Order: ${DEFAULTS.orderDays} working days; delivery: the day named, else the part’s lead time, else ${DEFAULTS.deliveryDays} days.`,
  `Fit-up, trial, other work: the days of the job or part, else ${DEFAULTS.fitUpDays} working day.`,
  `What may take longer or shorter and has no history: from ${DEFAULTS.soonestShare} to ${DEFAULTS.latestShare} times its figure; a delivery day named: from ${DEFAULTS.namedSoonestShare} to ${DEFAULTS.namedLatestShare} times the days to it.`,
  `Work that should be over is given what such work has left after the time it has taken, ${DEFAULTS.leastDays} day at least, and told as late. Work on hold is counted as if taken up today.`,
];
