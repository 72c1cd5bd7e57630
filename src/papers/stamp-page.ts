import type { Database } from '../platform/database.ts';
import { type Day, dayIn, dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import type { Stamp } from './stamp.ts';

/** What the page behind a pack's code tells. */
export interface StampPage {
  /** whether what the paper says may be made */
  isCurrent: boolean;
  verdict: string;
  printedOn: string;
  letter: string;
  jobNumber: number;
  /** for people signed in only: what it is, and where to go */
  title: string;
  newest: string;
  since: string[];
}

/**
 * Whether a printed pack is still true. To a visitor it says only that; to people signed in what happened since, too.
 *
 * @returns null where job or revision are not there
 */
export async function readStampPage(
  db: Pick<Database, 'read'>,
  stamp: Stamp,
  person: SignedIn | null,
): Promise<StampPage | null> {
  const { jobId, revisionId, on } = stamp;
  const { read } = db;
  const job = await read.job.findUnique({ where: { id: jobId } });
  const revision = await read.revision.findUnique({ where: { id: revisionId } });
  if (!job || !revision || revision.partId !== job.partId) return null;
  const build = await read.build.findUniqueOrThrow({ where: { id: 1 } });
  const dayOf = (at: Date): Day => dayIn(build.timeZone, at);
  const released = await read.revision.findFirst({
    where: { partId: revision.partId, state: 'released' },
    orderBy: { id: 'desc' },
  });
  const finishesOld = person
    ? await read.notice.findFirst({
        where: {
          oldRevisionId: revisionId,
          settledAs: 'finish the old',
          claimId: { in: (await ownClaims(read, jobId, person.id)).map(({ id }) => id) },
        },
      })
    : null;
  const verdict = verdictOf({
    letter: revision.letter,
    state: revision.state,
    newest: released?.letter ?? null,
    endedOn: revision.endedAt && dayWords(dayOf(revision.endedAt)),
    dropped: job.droppedAt !== null,
    held: job.heldAt !== null,
    finishesOld: finishesOld !== null,
  });
  const answered = await read.query.findMany({
    where: { jobId, NOT: { answer: null } },
    select: { answeredAt: true },
  });
  const since = answered.filter(({ answeredAt }) => answeredAt && dayOf(answeredAt) > on).length;
  return {
    ...verdict,
    printedOn: dayWords(on),
    letter: revision.letter,
    jobNumber: jobId,
    title: person ? job.title : '',
    newest: released && released.id !== revisionId ? released.letter : '',
    since:
      person && since > 0
        ? [`${since} ${since === 1 ? 'question was' : 'questions were'} answered since it was printed.`]
        : [],
  };
}

function ownClaims(read: Database['read'], jobId: number, personId: number) {
  return read.claim.findMany({ where: { jobId, personId }, select: { id: true } });
}

/** Pure: why nothing is to be made for a job now, whatever its revision; empty where there is no reason. */
export function stopWords({ dropped, held }: { dropped: boolean; held: boolean }): string {
  if (dropped) return 'This job was dropped: make nothing more for it.';
  return held ? 'This job is on hold: make no more until it goes on.' : '';
}

/** Pure: what is to be said of a paper, the weightiest first. */
export function verdictOf(facts: {
  letter: string;
  state: string;
  newest: string | null;
  endedOn: string | null;
  dropped: boolean;
  held: boolean;
  finishesOld: boolean;
}): { isCurrent: boolean; verdict: string } {
  const { letter, state, newest, endedOn, dropped, held, finishesOld } = facts;
  const stop = stopWords({ dropped, held });
  if (stop) return { isCurrent: false, verdict: stop };
  if (state === 'released') {
    return { isCurrent: true, verdict: `Revision ${letter} is the current one: this paper is still true.` };
  }
  const when = endedOn ? ` since ${endedOn}` : '';
  if (finishesOld) {
    return {
      isCurrent: true,
      verdict: `Revision ${letter} is ${state}${when}, but you were told to finish what you claimed to it.`,
    };
  }
  const instead = newest ? ` Revision ${newest} stands in its place: take that pack.` : '';
  return {
    isCurrent: false,
    verdict: `Revision ${letter} is ${state}${when}. Do not make to this paper.${instead}`,
  };
}
