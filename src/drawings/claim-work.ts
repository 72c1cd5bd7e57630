/** A claim with its parcels, as the tables hold it; quantities in thousandths of the part's unit. */
export interface ClaimRow {
  milli: number;
  backMilli: number;
  doneMilli: number;
  parcelItems: readonly {
    milli: number;
    countedMilli: number | null;
    checks: readonly { milli: number; disposition: string }[];
  }[];
}

/** Where the units of a claim are. */
export interface ClaimWork {
  /** claimed and not handed back */
  net: number;
  /** in the post or arrived */
  posted: number;
  accepted: number;
  rejected: number;
  /** still with the maker, finished or not: a unit that was short in its parcel is there again */
  withMaker: number;
  /** whether any unit is neither accepted nor rejected */
  open: boolean;
}

/** Sums a claim's parcels and inspections. */
export function claimWork(claim: ClaimRow): ClaimWork {
  const net = claim.milli - claim.backMilli;
  let posted = 0;
  let accepted = 0;
  let rejected = 0;
  for (const item of claim.parcelItems) {
    posted += item.countedMilli ?? item.milli;
    for (const { milli, disposition } of item.checks) {
      if (disposition === 'accept' || disposition === 'concession') accepted += milli;
      else rejected += milli;
    }
  }
  return {
    net,
    posted,
    accepted,
    rejected,
    withMaker: Math.max(0, net - posted),
    open: net > accepted + rejected,
  };
}
