import { finishOldRevision, takeUpRevision } from '../src/drawings/index.ts';
import { claimJob, handBack, renewPromise, reportWork, startWork } from '../src/jobs/index.ts';
import type { Act } from '../src/platform/acts.ts';
import { checkUnits, postParcel, receiveParcel } from '../src/receiving/index.ts';
import type { Book } from './book.ts';
import { measuredSingly, measuredValues } from './measured.ts';
import { picture } from './pictures.ts';
import { HOURS } from './timeline.ts';
import type { CheckStory, ClaimStory, ParcelStory, Promised, ReportStory } from './types.ts';

/** A claim with its number, once it is made. */
interface Told {
  claimId: number;
}

const days = ([soonestDays, likelyDays, latestDays]: Promised) => ({ soonestDays, likelyDays, latestDays });

/** What a maker does with a claim: from the promise to what becomes of the last piece. */
export function tellClaim(book: Book, job: string, claim: ClaimStory): void {
  const {
    who,
    on,
    pieces,
    promise,
    note,
    begun,
    reports = [],
    renewed = [],
    back,
    parcels = [],
    notice,
  } = claim;
  const told: Told = { claimId: 0 };
  book.act(on, HOURS.claim, who, async (act) => {
    const jobId = book.jobs.get(job);
    const personId = book.people.get(who);
    told.claimId = await claimJob(act, { jobId, personId, milli: pieces * 1000, note, ...days(promise) });
  });
  if (begun !== undefined) book.act(begun, HOURS.work, who, (act) => startWork(act, told.claimId));
  for (const report of reports) tellReport(book, claim, told, report);
  for (const { on: day, promise: next } of renewed) {
    book.act(day, HOURS.send, who, (act) => renewPromise(act, { claimId: told.claimId, ...days(next) }));
  }
  if (back) {
    book.act(back.on, HOURS.send, who, (act) =>
      handBack(act, { claimId: told.claimId, milli: back.pieces * 1000, words: back.words }),
    );
  }
  if (notice) {
    const by = notice.as === 'taken up' ? who : 'jerica';
    book.act(notice.on, HOURS.claim, by, async (act) => {
      const { id } = await act.tx.notice.findFirstOrThrow({
        where: { claimId: told.claimId, settledAt: null },
      });
      await (notice.as === 'taken up' ? takeUpRevision : finishOldRevision)(act, { noticeId: id });
    });
  }
  for (const parcel of parcels) tellParcel(book, claim, told, parcel);
}

function tellReport(
  book: Book,
  { who }: ClaimStory,
  told: Told,
  { on, finished, words, hours, photo }: ReportStory,
): void {
  book.act(on, HOURS.work, who, async (act) => {
    const photos = photo ? [await picture(photo, (on * 7) % 23)] : [];
    const { files } = book.context;
    await reportWork(act, files, {
      claimId: told.claimId,
      milli: finished * 1000,
      words,
      hours: hours ?? null,
      photos,
    });
  });
}

function tellParcel(book: Book, { who }: ClaimStory, told: Told, parcel: ParcelStory): void {
  const {
    sent,
    pieces,
    carrier,
    tracking = '',
    note = '',
    arrived,
    counted,
    arrivalNote = '',
    checks = [],
  } = parcel;
  let parcelId = 0;
  let lineId = 0;
  book.act(sent, HOURS.send, who, async (act) => {
    parcelId = await postParcel(act, {
      fromId: book.people.get(who),
      lines: [{ claimId: told.claimId, milli: pieces * 1000 }],
      carrier,
      tracking,
      note,
      sentOn: act.today,
    });
    lineId = (await act.tx.parcelItem.findFirstOrThrow({ where: { parcelId } })).id;
  });
  if (arrived === undefined) return;
  // What came in the last two days lies there uncounted.
  const counts = () => (arrived < -2 ? [{ lineId, milli: (counted ?? pieces) * 1000 }] : null);
  // Nobody takes in by hand what was brought the same evening before it was brought.
  book.act(arrived, arrived === sent ? HOURS.late : HOURS.post, 'blaz', (act) =>
    receiveParcel(act, { parcelId, arrivedOn: act.today, note: arrivalNote, counts: counts() }),
  );
  let before = 0;
  for (const check of checks) {
    const from = before;
    before += check.pieces;
    book.act(check.on, HOURS.shop, 'neza', (act) => inspect(book, act, lineId, from, check));
  }
}

/** Pieces of a line, by their place in it, get their disposition; each by itself where sizes of it are measured. */
async function inspect(book: Book, act: Act, lineId: number, from: number, check: CheckStory): Promise<void> {
  const { pieces, as = 'accept', reason = '', gauge = '', values, follow } = check;
  const line = await act.tx.parcelItem.findUniqueOrThrow({ where: { id: lineId }, include: { claim: true } });
  const earlier = await act.tx.parcelItem.aggregate({
    where: { claim: { jobId: line.claim.jobId }, id: { lt: lineId } },
    _sum: { milli: true },
  });
  const first = (earlier._sum.milli ?? 0) / 1000 + from + 1;
  const unitNos = Array.from({ length: pieces }, (_, index) => first + index);
  const revisionId = line.claim.revisionId!;
  const singly = values !== undefined || (await measuredSingly(act, revisionId));
  const { files } = book.context;
  let followJobId: number | null = null;
  for (const units of singly ? unitNos.map((unitNo) => [unitNo]) : [unitNos]) {
    const measured = singly ? await measuredValues(act, revisionId, lineId * 7 + units[0]!, values) : [];
    followJobId = await checkUnits(act, files, {
      lineId,
      units: { unitNos: units },
      disposition: as,
      reason,
      gauge,
      values: measured,
    });
  }
  if (follow && followJobId !== null) book.jobs.set(follow, followJobId);
}
