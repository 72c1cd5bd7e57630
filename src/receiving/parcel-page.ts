import { type FactsReader, mayActOn } from '../jobs/index.ts';
import { historyLines, readLog } from '../log/index.ts';
import { partPath } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { addDays, type Day, daysBetween } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import { uncheckedOf } from './check-rules.ts';
import { readChecks } from './checks-reader.ts';
import { mayWriteOff, shortOf } from './parcel-rules.ts';
import { postTimes, type ReadLine, type ReadParcel, readParcels } from './parcels-reader.ts';
import { say } from './say.ts';
import { zoneOf } from './store.ts';
import { usualPost, usualPostWords } from './usual-post.ts';

type Sources = { db: Pick<Database, 'read' | 'hot'>; facts: FactsReader };

/** A line of a parcel as its page shows it. */
function lineOf(line: ReadLine, letters: ReadonlyMap<number, string>) {
  const { countedMilli, unit } = line;
  const waiting = uncheckedOf(line);
  return {
    id: line.id,
    claimId: line.claimId,
    jobId: line.jobId,
    jobHref: `/jobs/${line.jobId}`,
    title: line.title,
    part: line.partNumber && { number: line.partNumber, href: partPath(line.partNumber) },
    letter: letters.get(line.claimId) ?? '',
    unitWord: unit === 'piece' ? 'pieces' : unit,
    posted: say(line.milli, unit),
    counted: countedMilli === null ? '' : say(countedMilli, unit),
    /** as typed into the box of a second count */
    countedFigure: countedMilli === null ? '' : String(countedMilli / 1000),
    short: countedMilli === null || countedMilli === line.milli ? '' : say(line.milli - countedMilli, unit),
    checked: line.checkedMilli > 0 ? say(line.checkedMilli, unit) : '',
    waiting: waiting > 0 ? say(waiting, unit) : '',
    href: `/receiving/lines/${line.id}`,
    isFirstPiece: line.isFirstPiece,
  };
}

/** The letters of the revisions the claims are made to. */
async function lettersOf(read: Database['read'], lines: readonly ReadLine[]): Promise<Map<number, string>> {
  const claims = await read.claim.findMany({
    where: { id: { in: lines.map(({ claimId }) => claimId) } },
    select: { id: true, revisionId: true },
  });
  const revisions = await read.revision.findMany({
    where: { id: { in: claims.flatMap(({ revisionId }) => revisionId ?? []) } },
    select: { id: true, letter: true },
  });
  const letterOf = new Map(revisions.map(({ id, letter }) => [id, letter]));
  return new Map(claims.map(({ id, revisionId }) => [id, letterOf.get(revisionId ?? 0) ?? '']));
}

/** What of these lines is short still, and may go back to the offer by this person. */
function shortOfLines(facts: FactsReader, parcel: ReadParcel, person: SignedIn) {
  return parcel.lines.flatMap((line) => {
    if (line.countedMilli === null || line.countedMilli >= line.milli) return [];
    const job = facts.one(line.jobId);
    const claim = job?.claims.find(({ id }) => id === line.claimId);
    if (!job || !claim || job.droppedAt || shortOf(claim) === 0) return [];
    return [
      {
        claimId: line.claimId,
        jobId: line.jobId,
        title: line.title,
        quantity: say(shortOf(claim), line.unit),
        figure: String(shortOf(claim) / 1000),
        unitWord: line.unit === 'piece' ? 'pieces' : line.unit,
        mayGiveUp: !mayActOn(claim, { personId: person.id, role: person.role }),
      },
    ];
  });
}

function tookWords(days: number): string {
  if (days === 0) return 'the same day';
  return days === 1 ? 'after 1 day' : `after ${days} days`;
}

/** A parcel as its own page shows it: to the shop, and to the maker who posted it. @throws NotFound */
export async function readParcelPage({ db, facts }: Sources, parcelId: number, today: Day, person: SignedIn) {
  const [parcel] = readParcels(db, 'one', [parcelId]);
  // Another maker’s parcel is none of theirs: it is not there.
  const own = parcel?.fromId === person.id;
  const seen = found(own || person.role !== 'maker' ? parcel : null, 'There is no such parcel.');
  const usual = seen.arrivedOn ? null : usualPost(postTimes(db), seen.country);
  const likelyOn = usual && addDays(seen.sentOn, usual.days);
  const letters = await lettersOf(db.read, seen.lines);
  return {
    id: seen.id,
    from: seen.from,
    own,
    state: seen.state,
    carrier: seen.carrier,
    tracking: seen.tracking,
    note: seen.note,
    arrivalNote: seen.arrivalNote,
    sentOn: seen.sentOn,
    arrivedOn: seen.arrivedOn,
    tookWords: seen.arrivedOn ? tookWords(daysBetween(seen.sentOn, seen.arrivedOn)) : '',
    likelyOn,
    lateDays: likelyOn ? Math.max(0, daysBetween(likelyOn, today)) : 0,
    likelySource: usual ? usualPostWords(usual) : '',
    lines: seen.lines.map((line) => lineOf(line, letters)),
    short: shortOfLines(facts, seen, person),
    mayWriteOff: (person.role === 'lead' || own) && !mayWriteOff(seen),
    checks: await readChecks(db, { parcelId }, person.lengthUnit),
    history: historyLines(
      readLog(db, { thing: { type: 'parcel', id: parcelId } }, { limit: 40 }),
      await zoneOf(db.read),
    ),
  };
}

export type ParcelPage = Awaited<ReturnType<typeof readParcelPage>>;
