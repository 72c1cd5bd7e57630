import { type ClaimFacts, factsReader, netOf, unfinishedOf } from '../jobs/index.ts';
import { promiseRecord } from '../makers/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type { MakerFacts, PostDays } from './suits.ts';

/** How offers ask the schedule about the post: days from a country (null: from a maker not yet found); null: not known. */
export type PostDaysPort = (country: string | null) => PostDays | null;

type Hours = 'promisedHours' | 'claimsWithoutHours';

/** Hours that claims in hand still take: the job's hours by the share that is unfinished. */
function hoursOf(
  claims: readonly ClaimFacts[],
  hoursOfJob: ReadonlyMap<number, { hours: number | null; milli: number }>,
): Pick<MakerFacts, Hours> {
  let promisedHours = 0;
  let claimsWithoutHours = 0;
  for (const claim of claims) {
    const rest = unfinishedOf(claim);
    if (rest <= 0) continue;
    const job = hoursOfJob.get(claim.jobId);
    if (!job || job.hours === null) claimsWithoutHours += 1;
    else promisedHours += (job.hours * rest) / job.milli;
  }
  return { promisedHours, claimsWithoutHours };
}

/**
 * Reads what is known of makers before an offer: of one person, or of everybody who may claim one (makers, and the lead
 * where tools of theirs are named). Who has left or is forgotten is not among them.
 */
export function makerFactsReader(
  db: Pick<Database, 'read' | 'hot'>,
  postDays: PostDaysPort,
): (moment: { today: Day; timeZone: string }, personId?: number) => Promise<MakerFacts[]> {
  const facts = factsReader(db);
  const processes = db.hot.prepare<[], { id: number; processId: number | null }>(
    'SELECT r.id, COALESCE(r.processId, t.processId) AS processId FROM Revision r JOIN Part t ON t.id = r.partId',
  );
  return async ({ today, timeZone }, personId) => {
    const people = await db.read.person.findMany({
      where: {
        forgottenAt: null,
        deactivatedAt: null,
        ...(personId === undefined
          ? { OR: [{ role: 'maker' }, { role: 'lead', tools: { some: { removedAt: null } } }] }
          : { id: personId }),
      },
      select: {
        id: true,
        name: true,
        country: true,
        weeklyHours: true,
        tools: { where: { removedAt: null }, orderBy: { id: 'asc' } },
        away: { where: { removedAt: null, untilOn: { gte: today } } },
      },
    });
    const jobs = facts.all().filter(({ droppedAt }) => !droppedAt);
    const byId = new Map(jobs.map((job) => [job.id, job]));
    const claimsOf = new Map<number, ClaimFacts[]>();
    for (const claim of jobs.flatMap(({ claims }) => claims)) {
      const list = claimsOf.get(claim.personId);
      if (list) list.push(claim);
      else claimsOf.set(claim.personId, [claim]);
    }
    const processOf = new Map(processes.all().map((row) => [row.id, row.processId]));
    return people.map((person): MakerFacts => {
      const claims = claimsOf.get(person.id) ?? [];
      const { finished, onTime, lateNow } = promiseRecord(claims, today, timeZone);
      const finishedBy = new Map<number, number>();
      for (const claim of claims) {
        const net = netOf(claim);
        if (net === 0 || claim.travellingMilli + claim.arrivedMilli < net) continue;
        const processId = processOf.get(claim.revisionId ?? byId.get(claim.jobId)?.revisionId ?? 0) ?? null;
        if (processId !== null) finishedBy.set(processId, (finishedBy.get(processId) ?? 0) + 1);
      }
      return {
        personId: person.id,
        name: person.name,
        country: person.country,
        weeklyHours: person.weeklyHours,
        tools: person.tools.map(({ name, processId, xMm, yMm, zMm, materials }) => {
          const sidesMm = [xMm, yMm, zMm].filter((side) => side !== null).sort((a, b) => b - a);
          return { name, processId, materials, sidesMm };
        }),
        away: person.away.map(({ fromOn, untilOn }) => ({ fromOn, untilOn })),
        ...hoursOf(claims, byId),
        record: { finished, onTime, lateNow },
        finishedBy,
        post: person.country ? postDays(person.country) : null,
      };
    });
  };
}
