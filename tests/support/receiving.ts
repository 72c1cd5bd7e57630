import { dayIn } from '../../src/platform/day.ts';
import {
  checkUnits,
  type Disposition,
  type Measured,
  postParcel,
  receiveParcel,
} from '../../src/receiving/index.ts';
import type { TestApp } from './app.ts';
import { type CastName, castId } from './cast.ts';
import { type AJob, aClaim, anOfferedJob, asPerson, finished, type JobWish } from './jobs.ts';

/** Today in the test build's zone. */
export async function todayIn({ context }: TestApp): Promise<string> {
  const { timeZone } = await context.db.read.build.findUniqueOrThrow({ where: { id: 1 } });
  return dayIn(timeZone, context.clock.now());
}

export interface APostedParcel extends AJob {
  claimId: number;
  parcelId: number;
  /** of the parcel: its line for the claim */
  lineId: number;
}

/** What a delivery may be wished to be, in pieces. */
export interface DeliveryWish {
  who?: CastName;
  /** the job, where it is not a new one for all that is posted */
  job?: AJob;
  jobWish?: JobWish;
  /** claimed, made and posted; four unless said otherwise */
  quantity?: number;
  carrier?: string;
  tracking?: string;
  note?: string;
}

/** A claim made whole and posted today, in a parcel of its own. */
export async function aPostedParcel(app: TestApp, wish: DeliveryWish = {}): Promise<APostedParcel> {
  const { who = 'imre', quantity = 4, carrier = 'Post', tracking = 'RR 123 NZ', note = '' } = wish;
  const job = wish.job ?? (await anOfferedJob(app, { quantity, ...wish.jobWish }));
  const { claimId } = await aClaim(app, { who, jobId: job.jobId, quantity });
  await finished(app, { who, claimId, quantity });
  const sentOn = await todayIn(app);
  const parcelId = await asPerson(app, who, (act) =>
    postParcel(act, {
      fromId: castId[who],
      lines: [{ claimId, milli: quantity * 1000 }],
      carrier,
      tracking,
      note,
      sentOn,
    }),
  );
  const line = await app.context.db.read.parcelItem.findFirstOrThrow({ where: { parcelId } });
  return { ...job, claimId, parcelId, lineId: line.id };
}

/** As aPostedParcel, taken in today and counted: all of it, unless said otherwise. */
export async function aDeliveredClaim(
  app: TestApp,
  { counted, ...wish }: DeliveryWish & { counted?: number } = {},
): Promise<APostedParcel> {
  const posted = await aPostedParcel(app, wish);
  const arrivedOn = await todayIn(app);
  const milli = 1000 * (counted ?? wish.quantity ?? 4);
  await asPerson(app, 'crew', (act) =>
    receiveParcel(act, {
      parcelId: posted.parcelId,
      arrivedOn,
      note: '',
      counts: [{ lineId: posted.lineId, milli }],
    }),
  );
  return posted;
}

/** A piece of a parcel line, or several, get their disposition from the crew. Gives the job that follows. */
export async function checked(
  app: TestApp,
  {
    who = 'crew',
    lineId,
    units,
    disposition = 'accept',
    reason = disposition === 'accept' ? '' : 'bore oversize',
    values = [],
  }: {
    who?: CastName;
    lineId: number;
    units: readonly number[];
    disposition?: Disposition;
    reason?: string;
    values?: readonly Measured[];
  },
): Promise<number | null> {
  return asPerson(app, who, (act) =>
    checkUnits(act, app.context.files, {
      lineId,
      units: { unitNos: units },
      disposition,
      reason,
      gauge: '',
      values,
    }),
  );
}
