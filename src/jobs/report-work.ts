import type { Act } from '../platform/acts.ts';
import type { FileStore } from '../platform/files.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { orRefuse, WrongField } from '../platform/refusal.ts';
import { aboutMaker } from './claim-job.ts';
import { mayActOn, mayCorrect, mayReport, mayStart } from './claim-rules.ts';
import { keepPhotos } from './photos.ts';
import { oneRow, readClaim } from './store.ts';

export interface WorkReport {
  claimId: number;
  /** finished since the last report; 0 for words, hours or photos alone */
  milli: number;
  words: string;
  hours: number | null;
  photos?: readonly SmallPhoto[];
}

/** A maker says that work on a claim has begun. */
export async function startWork(act: Act, claimId: number): Promise<void> {
  const { facts, claim } = await readClaim(act.tx, claimId);
  orRefuse(mayActOn(claim, act.actor));
  orRefuse(mayStart(facts, claim));
  oneRow(
    await act.tx.claim.updateMany({
      where: { id: claimId, startedAt: null, endedAt: null },
      data: { startedAt: act.at },
    }),
  );
  await act.log({
    kind: 'start-work',
    partId: facts.partId,
    jobId: facts.id,
    aboutId: aboutMaker(act, claim.personId),
    thing: { type: 'claim', id: claimId },
  });
}

/**
 * A maker says how a claim is going. Finished never goes above claimed. Hours or a finished quantity say that work has
 * begun, if nobody said so before.
 *
 * @returns the report's id
 */
export async function reportWork(act: Act, files: FileStore, report: WorkReport): Promise<number> {
  const { claimId, milli, words, hours, photos = [] } = report;
  const { facts, unit, claim } = await readClaim(act.tx, claimId);
  orRefuse(mayActOn(claim, act.actor));
  orRefuse(mayReport(facts, claim, milli, unit));
  if (milli === 0 && !words && !hours && photos.length === 0) {
    throw new WrongField('words', 'Say in a word how it goes, or give a quantity, hours or a photo.');
  }
  const begun = milli > 0 || (hours ?? 0) > 0;
  oneRow(
    await act.tx.claim.updateMany({
      where: { id: claimId, doneMilli: claim.doneMilli, backMilli: claim.backMilli },
      data: {
        doneMilli: claim.doneMilli + milli,
        ...(begun && !claim.startedAt ? { startedAt: act.at } : {}),
      },
    }),
  );
  const { id } = await act.tx.report.create({
    data: { claimId, at: act.at, doneMilli: milli, words, hours },
  });
  await keepPhotos(act, files, photos, { reportId: id });
  await act.log({
    kind: 'report-work',
    partId: facts.partId,
    jobId: facts.id,
    aboutId: aboutMaker(act, claim.personId),
    thing: { type: 'report', id },
    milli,
    after: { claimId, doneMilli: claim.doneMilli + milli, photos: photos.length },
  });
  return id;
}

/** A maker takes back that a quantity was finished: one cracked, or was counted twice. Only what is not posted. */
export async function correctReport(
  act: Act,
  { claimId, milli, words }: { claimId: number; milli: number; words: string },
): Promise<number> {
  const { facts, unit, claim } = await readClaim(act.tx, claimId);
  orRefuse(mayActOn(claim, act.actor));
  orRefuse(mayCorrect(facts, claim, milli, unit));
  oneRow(
    await act.tx.claim.updateMany({
      where: { id: claimId, doneMilli: claim.doneMilli, backMilli: claim.backMilli },
      data: { doneMilli: claim.doneMilli - milli },
    }),
  );
  const { id } = await act.tx.report.create({ data: { claimId, at: act.at, doneMilli: -milli, words } });
  await act.log({
    kind: 'correct-report',
    partId: facts.partId,
    jobId: facts.id,
    aboutId: aboutMaker(act, claim.personId),
    thing: { type: 'claim', id: claimId },
    milli,
    after: { doneMilli: claim.doneMilli - milli },
  });
  return id;
}
