import {
  claimJob,
  createJob,
  type JobFacts,
  type NewClaim,
  type NewJob,
  offerJob,
  readJob,
  reportWork,
} from '../../src/jobs/index.ts';
import { type Act, perform } from '../../src/platform/acts.ts';
import type { TestApp } from './app.ts';
import { type CastName, cast, castId } from './cast.ts';
import { type AReleasedPart, aReleasedPart, type DraftWish } from './drawings.ts';

/** Does an act as one of the cast would, without a form. */
export async function asPerson<T>(
  { context }: TestApp,
  who: CastName,
  work: (act: Act) => Promise<T>,
): Promise<T> {
  const actor = { personId: castId[who], role: cast[who].role };
  const outcome = await perform(context, { actor }, work);
  if (outcome.repeated) throw new Error('an act without a form is never a repeated one');
  return outcome.result;
}

export interface AJob extends AReleasedPart {
  jobId: number;
}

/** What a fabrication job may be wished to be: pieces, and how its part is. */
export type JobWish = Partial<Omit<NewJob, 'milli'>> & { quantity?: number; part?: DraftWish };

/** A job to make four pieces, unless said otherwise, of a part with a released revision. Not offered. */
export async function aFabrication(
  app: TestApp,
  { quantity = 4, part, ...job }: JobWish = {},
): Promise<AJob> {
  const released = await aReleasedPart(app, { quantity, ...part });
  const jobId = await asPerson(app, 'lead', (act) =>
    createJob(act, {
      kind: 'fabricate',
      title: '',
      partId: released.partId,
      milli: quantity * 1000,
      ...job,
    }),
  );
  return { ...released, jobId };
}

/** As aFabrication, held out to makers. */
export async function anOfferedJob(app: TestApp, wish: JobWish = {}): Promise<AJob> {
  const job = await aFabrication(app, wish);
  await asPerson(app, 'lead', (act) => offerJob(act, job.jobId));
  return job;
}

/** A job of another kind: other work with a title, unless said otherwise. */
export async function anotherJob(app: TestApp, job: Partial<NewJob> = {}): Promise<number> {
  return asPerson(app, 'lead', (act) =>
    createJob(act, { kind: 'other', title: 'Sweep the shop', partId: null, milli: 1000, ...job }),
  );
}

/** A claim by a maker (Imre) on a job (a newly offered one) for a quantity (all of it), promised in 10 to 30 days. */
export async function aClaim(
  app: TestApp,
  {
    who = 'imre',
    jobId,
    quantity,
    ...claim
  }: Partial<Omit<NewClaim, 'personId' | 'milli'>> & { who?: CastName; quantity?: number } = {},
): Promise<{ claimId: number; jobId: number }> {
  const job = jobId ?? (await anOfferedJob(app, quantity ? { quantity } : {})).jobId;
  const milli = quantity ? quantity * 1000 : (await jobNow(app, job)).milli;
  const promise = { soonestDays: 10, likelyDays: 20, latestDays: 30 };
  const claimId = await asPerson(app, who, (act) =>
    claimJob(act, { jobId: job, personId: castId[who], milli, ...promise, ...claim }),
  );
  return { claimId, jobId: job };
}

/** A maker reports so many pieces of a claim finished. */
export async function finished(
  app: TestApp,
  { who = 'imre', claimId, quantity }: { who?: CastName; claimId: number; quantity: number },
): Promise<void> {
  await asPerson(app, who, (act) =>
    reportWork(act, app.context.files, { claimId, milli: quantity * 1000, words: '', hours: null }),
  );
}

/** The facts of a job as an act would find them now. */
export async function jobNow(app: TestApp, jobId: number): Promise<JobFacts> {
  const { facts } = await app.context.db.write.$transaction((tx) => readJob(tx, jobId));
  return facts;
}
