import { formatQuantity, type Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { claimWork } from './claim-work.ts';

type DayOf = (moment: Date | null) => string | null;

/** A maker who was told of a revision, and what came of it. */
export interface NoticeLine {
  id: number;
  maker: string;
  jobId: number;
  oldLetter: string;
  /** what is still with the maker, in words */
  withMaker: string;
  toldOn: string | null;
  /** the claim is handed back or all accepted: there is nothing left to answer */
  over: boolean;
  settled: { as: string; on: string | null; by: string } | null;
}

/** The notices of a revision, the open ones first. */
export async function readNoticeLines(
  db: Pick<Database, 'read'>,
  revisionId: number,
  names: ReadonlyMap<number, string>,
  dayOf: DayOf,
): Promise<NoticeLine[]> {
  const notices = await db.read.notice.findMany({ where: { revisionId }, orderBy: { id: 'asc' } });
  if (notices.length === 0) return [];
  const claims = await db.read.claim.findMany({
    where: { id: { in: notices.map(({ claimId }) => claimId) } },
    include: {
      parcelItems: { include: { checks: true } },
      job: { include: { part: { select: { unit: true } } } },
    },
  });
  const letters = await lettersOf(
    db,
    notices.map(({ oldRevisionId }) => oldRevisionId),
  );
  const lines = notices.map((notice) => {
    const claim = claims.find(({ id }) => id === notice.claimId);
    const work = claim && claimWork(claim);
    const left = work?.withMaker ?? 0;
    return {
      id: notice.id,
      maker: (claim && names.get(claim.personId)) ?? '',
      jobId: claim?.jobId ?? 0,
      oldLetter: letters.get(notice.oldRevisionId) ?? '',
      withMaker: left > 0 ? formatQuantity(left, (claim?.job.part?.unit ?? 'piece') as Unit) : 'nothing',
      toldOn: dayOf(notice.at),
      over: !work?.open,
      settled: notice.settledAt && {
        as: notice.settledAs ?? '',
        on: dayOf(notice.settledAt),
        by: (notice.settledById && names.get(notice.settledById)) || '',
      },
    };
  });
  return lines.sort((a, b) => Number(a.settled !== null) - Number(b.settled !== null));
}

/** Accepted units made to an older drawing, and what was decided. */
export interface OldUnitLine {
  id: number;
  letter: string;
  amount: string;
  maker: string;
  jobId: number;
  listedOn: string | null;
  decided: { as: string; on: string | null; by: string; followJobId: number | null } | null;
}

/** Old units of a part on the page of its released revision, or those of one superseded revision on its own page. */
export async function readOldUnitLines(
  db: Pick<Database, 'read'>,
  of: { partId: number; revision: { id: number; state: string }; unit: Unit },
  names: ReadonlyMap<number, string>,
  dayOf: DayOf,
): Promise<OldUnitLine[]> {
  const revisions = await db.read.revision.findMany({
    where: { partId: of.partId },
    select: { id: true, letter: true },
  });
  const asked = of.revision.state === 'released' ? revisions.map(({ id }) => id) : [of.revision.id];
  const rows = await db.read.oldUnits.findMany({
    where: { revisionId: { in: asked } },
    orderBy: { id: 'asc' },
  });
  if (rows.length === 0) return [];
  const claims = await db.read.claim.findMany({
    where: { id: { in: rows.map(({ claimId }) => claimId) } },
    select: { id: true, personId: true, jobId: true },
  });
  return rows.map((row) => {
    const claim = claims.find(({ id }) => id === row.claimId);
    return {
      id: row.id,
      letter: revisions.find(({ id }) => id === row.revisionId)?.letter ?? '',
      amount: formatQuantity(row.milli, of.unit),
      maker: (claim && names.get(claim.personId)) ?? '',
      jobId: claim?.jobId ?? 0,
      listedOn: dayOf(row.at),
      decided: row.decidedAt && {
        as: row.decidedAs ?? '',
        on: dayOf(row.decidedAt),
        by: (row.decidedById && names.get(row.decidedById)) || '',
        followJobId: row.followJobId,
      },
    };
  });
}

async function lettersOf(db: Pick<Database, 'read'>, ids: number[]): Promise<Map<number, string>> {
  const rows = await db.read.revision.findMany({
    where: { id: { in: ids } },
    select: { id: true, letter: true },
  });
  return new Map(rows.map(({ id, letter }) => [id, letter]));
}
