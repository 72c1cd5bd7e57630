import { firstPieceState, type JobFacts, type JobTimes, waitsForFirstPiece } from '../jobs/index.ts';
import type { Database } from '../platform/database.ts';
import { addDays, type Day, dayIn } from '../platform/day.ts';
import { GATHERING_AHEAD_DAYS, type ReminderFacts } from './reminders.ts';

/** What people may have to be reminded of, read from the build as it is. */
export async function readReminderFacts(
  read: Pick<Database['read'], 'notice' | 'gathering' | 'away'>,
  jobs: readonly JobFacts[],
  times: Pick<JobTimes, 'of'>,
  { today, timeZone, silentAfterDays }: { today: Day; timeZone: string; silentAfterDays: number },
): Promise<ReminderFacts> {
  const dayOf = (instant: string) => dayIn(timeZone, new Date(instant));
  // Who said that they are away is left in peace, and who waits for the shop to look at a first piece.
  const aways = await read.away.findMany({
    where: { removedAt: null, fromOn: { lte: today }, untilOn: { gte: today } },
    select: { personId: true },
  });
  const away = new Set(aways.map(({ personId }) => personId));
  const underWay = new Set<string>(['in the post', 'here']);
  const inHand = jobs.flatMap((job) =>
    job.droppedAt
      ? []
      : job.claims.flatMap((claim) => {
          // What was not in its parcel is with its maker again.
          const withMaker = claim.milli - claim.backMilli - claim.travellingMilli - claim.arrivedMilli;
          const isShopsTurn =
            waitsForFirstPiece(job, claim) && underWay.has(firstPieceState(job, 'piece') ?? '');
          return withMaker > 0 && !isShopsTurn && !away.has(claim.personId) ? [{ job, claim }] : [];
        }),
  );
  const byClaim = new Map(inHand.map((one) => [one.claim.id, one]));
  const notices = await read.notice.findMany({
    where: { settledAt: null },
    include: { revision: { include: { part: { select: { number: true } } } } },
    orderBy: { id: 'asc' },
  });
  const gatherings = await read.gathering.findMany({
    where: { droppedAt: null, fromOn: { gt: today, lte: addDays(today, GATHERING_AHEAD_DAYS) } },
    include: { comers: { where: { cancelledAt: null } } },
  });
  return {
    today,
    silentAfterDays,
    claims: inHand.map(({ job, claim }) => ({
      claimId: claim.id,
      personId: claim.personId,
      job: { id: job.id, title: job.title },
      promisedOn: addDays(dayOf(claim.claimedAt), claim.likelyDays),
      needByOn: times.of(job.id)?.needByOn ?? null,
      lastWordOn: dayOf(claim.lastWordAt),
      begunToFinish: claim.doneMilli > 0,
      onHold: job.heldAt !== null,
    })),
    notices: notices.flatMap(({ id, claimId, at, revision }) => {
      const one = byClaim.get(claimId);
      if (!one) return [];
      const { job, claim } = one;
      return [
        {
          noticeId: id,
          personId: claim.personId,
          job: { id: job.id, title: job.title },
          partNumber: revision.part.number,
          letter: revision.letter,
          toldOn: dayIn(timeZone, at),
        },
      ];
    }),
    gatherings: gatherings.map(({ id, title, fromOn, untilOn, comers }) => ({
      gatheringId: id,
      title,
      fromOn,
      untilOn,
      comers: comers.map(({ personId }) => personId),
    })),
  };
}
