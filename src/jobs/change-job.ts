import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { orRefuse, WrongField } from '../platform/refusal.ts';
import { followFirstPiece } from './approve-first-piece.ts';
import { COUNTED_KINDS, checkNamed, SPOT_KINDS, spotAsKept } from './create-job.ts';
import { mayChange, mayHaveQuantity } from './job-rules.ts';
import { oneRow, readJob } from './store.ts';

/** What of a job may still be changed; what is left out stays as it is. Kind and part stay: they are what the job is. */
export interface JobChange {
  title?: string;
  milli?: number;
  note?: string;
  wantedOn?: Day | null;
  hours?: number | null;
  days?: number | null;
  personId?: number | null;
  gatheringId?: number | null;
  /** where at the machine; left as it is for kinds that have no spot */
  spot?: string;
  firstPiece?: boolean;
  strangers?: boolean;
}

/**
 * Changes a job that is not over. The quantity can't go below what is claimed.
 *
 * @throws Refused, WrongField, NotFound
 */
export async function changeJob(act: Act, jobId: number, change: JobChange): Promise<void> {
  const { facts, unit, note } = await readJob(act.tx, jobId);
  orRefuse(mayChange(facts));
  if (change.title !== undefined && !change.title.trim()) {
    throw new WrongField('title', 'Say in a few words what is to be done.');
  }
  if (change.milli !== undefined && COUNTED_KINDS.includes(facts.kind)) {
    orRefuse(mayHaveQuantity(facts, change.milli, unit));
  } else delete change.milli;
  if (change.spot !== undefined && SPOT_KINDS.includes(facts.kind)) change.spot = spotAsKept(change.spot);
  else delete change.spot;
  await checkNamed(act, change);
  const stored: Required<JobChange> = {
    title: facts.title,
    milli: facts.milli,
    note,
    wantedOn: facts.wantedOn,
    hours: facts.hours,
    days: facts.days,
    personId: facts.personId,
    gatheringId: facts.gatheringId,
    spot: facts.spot,
    firstPiece: facts.firstPiece,
    strangers: facts.strangers,
  };
  const changed = (Object.keys(stored) as (keyof JobChange)[]).filter(
    (name) => change[name] !== undefined && change[name] !== stored[name],
  );
  const only = (of: JobChange) => Object.fromEntries(changed.map((name) => [name, of[name]]));
  if (changed.length) {
    oneRow(
      await act.tx.job.updateMany({
        where: { id: jobId, droppedAt: null, finishedAt: null, milli: facts.milli },
        data: only(change),
      }),
    );
  }
  await act.log({
    kind: 'change-job',
    partId: facts.partId,
    jobId,
    before: only(stored),
    after: only(change),
  });
  // Asked for in the middle of the work: a piece that was accepted as drawn before is the first piece.
  if (changed.includes('firstPiece')) await followFirstPiece(act, jobId);
}
