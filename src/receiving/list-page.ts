import { type FactsReader, netOf } from '../jobs/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { readChecks } from './checks-reader.ts';
import { shortOf } from './parcel-rules.ts';
import { parcelsInThePost, parcelsToInspect } from './parcels-reader.ts';
import { say, unitOf } from './say.ts';

const RECENT = 12;

interface ShortRow {
  claimId: number;
  parcelId: number;
  maker: string;
  title: string;
  unit: string | null;
}

/** What came short and is with its maker still: neither posted again nor handed back. */
function shortLines({ hot }: Pick<Database, 'hot'>, facts: FactsReader) {
  const claims = new Map(
    facts
      .all()
      .filter(({ droppedAt }) => !droppedAt)
      .flatMap(({ claims: all }) => all.filter((claim) => netOf(claim) > 0 && shortOf(claim) > 0))
      .map((claim) => [claim.id, claim]),
  );
  if (claims.size === 0) return [];
  const rows = hot
    .prepare<[], ShortRow>(
      `SELECT i.claimId, MAX(i.parcelId) AS parcelId, s.name AS maker, j.title, t.unit
         FROM ParcelItem i JOIN Claim c ON c.id = i.claimId JOIN Person s ON s.id = c.personId
         JOIN Job j ON j.id = c.jobId LEFT JOIN Part t ON t.id = j.partId
        WHERE i.countedMilli < i.milli GROUP BY i.claimId ORDER BY parcelId`,
    )
    .all();
  return rows.flatMap((row) => {
    const claim = claims.get(row.claimId);
    if (!claim) return [];
    const { parcelId, maker, title } = row;
    return [
      {
        jobId: claim.jobId,
        title,
        maker,
        quantity: say(shortOf(claim), unitOf(row.unit)),
        href: `/receiving/parcels/${parcelId}#short-${claim.id}`,
      },
    ];
  });
}

/** What the bench's first page shows: parcels on the way, parcels here, what is short, what was decided of late. */
export async function readReceiving(
  db: Pick<Database, 'read' | 'hot'>,
  facts: FactsReader,
  today: Day,
  person: SignedIn,
) {
  const here = parcelsToInspect(db, today);
  return {
    toCount: here.filter(({ state }) => state === 'to count'),
    toInspect: here.filter(({ state }) => state === 'to inspect'),
    expected: parcelsInThePost(db, today),
    short: shortLines(db, facts),
    checks: await readChecks(db, {}, person.lengthUnit, RECENT),
    any: (await db.read.parcel.count()) > 0,
  };
}
