import { changeJob, dropJob, followJob, readJob } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import { refuse } from '../platform/refusal.ts';
import { type CheckedUnits, milliOf, pieces } from './check-rules.ts';
import { say } from './say.ts';
import type { LineInAct } from './store.ts';

const LONGEST_NOTE = 2000;

/** What the job that makes units good says of them. */
export function noteOf(
  { parcelId, job }: LineInAct,
  { units, reason }: { units: CheckedUnits; reason: string },
): string {
  const which = 'unitNos' in units ? pieces(units.unitNos) : say(milliOf(units), job.unit);
  return `${which.replace(/^p/, 'P')} of job ${job.facts.id}, parcel ${parcelId}: ${reason}`;
}

/** The job that makes units good: a new one, or the one of the same line that waits untouched. Gives its number. */
export async function followedBy(
  act: Act,
  { id: lineId, job }: LineInAct,
  reason: 'rework' | 'replacement',
  milli: number,
  note: string,
): Promise<number> {
  const earlier = await act.tx.unitCheck.findFirst({
    where: {
      itemId: lineId,
      followJobId: { not: null },
      disposition: reason === 'rework' ? { in: ['rework', 'return'] } : 'scrap',
    },
    orderBy: { id: 'desc' },
    select: { followJobId: true },
  });
  if (earlier?.followJobId) {
    const { facts, note: before } = await readJob(act.tx, earlier.followJobId);
    const untouched = !facts.offeredAt && !facts.heldAt && !facts.droppedAt && facts.claims.length === 0;
    const together = `${before}\n${note}`;
    if (untouched && together.length <= LONGEST_NOTE) {
      await changeJob(act, facts.id, { milli: facts.milli + milli, note: together });
      return facts.id;
    }
  }
  return followJob(act, { fromJobId: job.facts.id, reason, milli, note: note.slice(0, LONGEST_NOTE) });
}

/**
 * Takes units out of the job that was to make them good, because their inspection is corrected: it is dropped where
 * nothing else is in it.
 *
 * @param gone     said in the job's note where something else stays in it
 * @throws Refused  it has begun: offered, claimed, on hold
 */
export async function takeFromFollower(
  act: Act,
  followJobId: number,
  milli: number,
  gone: string,
): Promise<void> {
  const { facts, note } = await readJob(act.tx, followJobId);
  if (facts.droppedAt) return;
  const begun = facts.claims.length
    ? 'is claimed'
    : facts.offeredAt
      ? 'is offered to makers'
      : facts.heldAt
        ? 'is on hold'
        : '';
  if (begun) {
    refuse(
      'follower-begun',
      `Job ${followJobId}, which makes it good, ${begun}: take that back first, or leave what was decided.`,
    );
  }
  if (facts.milli > milli) {
    const together = `${note}\n${gone}`;
    await changeJob(act, followJobId, {
      milli: facts.milli - milli,
      ...(together.length <= LONGEST_NOTE ? { note: together } : {}),
    });
  } else await dropJob(act, { jobId: followJobId, reason: 'The inspection it came from was corrected.' });
}
