import type { LogRow } from '../log/index.ts';
import type { PartRow, UseRow } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { DayRange, GatheringFacts } from './build-facts.ts';
import type { Beside, ItemNow, ParcelNow } from './finish-moved-undoing.ts';

// json_each lets one prepared statement take any number of ids.
const ITEMS = `
  SELECT i.claimId, i.parcelId, i.milli, i.countedMilli
    FROM ParcelItem i WHERE i.claimId IN (SELECT value FROM json_each(?)) ORDER BY i.id`;
const PARCELS = `
  SELECT p.id, p.fromId, p.sentAt, p.arrivedAt
    FROM Parcel p
   WHERE p.id IN (SELECT parcelId FROM ParcelItem WHERE claimId IN (SELECT value FROM json_each(?)))`;
const TAKEN_BACK = `
  SELECT t.id, (SELECT b.at FROM Act b
                 WHERE b.jobId = t.jobId AND b.id < t.id
                   AND b.kind = CASE t.kind WHEN 'withdraw-offer' THEN 'offer-job'
                                            WHEN 'resume-job' THEN 'hold-job'
                                            ELSE 'approve-first-piece' END
                 ORDER BY b.id DESC LIMIT 1) AS at
    FROM Act t WHERE t.id IN (SELECT value FROM json_each(?))`;
const FIRST_RENEWALS = `
  SELECT thingId AS claimId, MIN(id) AS id FROM Act
   WHERE kind = 'renew-promise' AND thingType = 'claim' AND thingId IN (SELECT value FROM json_each(?))
   GROUP BY thingId`;
const DOCUMENTS = `
  SELECT id, revisionId FROM Document
   WHERE removedAt IS NULL AND kind IN ('drawing', 'model') AND revisionId IN (SELECT value FROM json_each(?))`;
const AWAY = 'SELECT id, personId, fromOn, untilOn FROM Away WHERE id IN (SELECT value FROM json_each(?))';
const GATHERINGS = `
  SELECT id, title, fromOn, untilOn, places, dayHours FROM Gathering WHERE id IN (SELECT value FROM json_each(?))`;
const PARTS = `
  SELECT id, number, name, kind, unit, materialId, processId, massGrams, supplier, supplierNumber, packMilli, priceCents,
         leadDays, designHours, makeDays, shelfMilli, listedMilli
    FROM Part WHERE removedAt IS NOT NULL AND id IN (SELECT value FROM json_each(?))`;
const USES = `
  WITH gone AS (SELECT value FROM json_each(?))
  SELECT id, parentId, childId, milli, note FROM "Use" WHERE parentId IN gone OR childId IN gone`;

const WITH_ITEMS = new Set(['post-parcel', 'receive-parcel', 'count-parcel']);
const TAKING_BACK = new Set(['withdraw-offer', 'resume-job', 'end-first-piece-approval']);

/** Reads what the log leaves to the tables, of the things that some rows are about. */
export function besideReader({ hot }: Pick<Database, 'hot'>): (rows: readonly LogRow[]) => Beside {
  const list = <T>(sql: string) => {
    const statement = hot.prepare<[string], T>(sql);
    return (ids: ReadonlySet<number>) => (ids.size === 0 ? [] : statement.all(JSON.stringify([...ids])));
  };
  const items = list<ItemNow & { claimId: number }>(ITEMS);
  const parcels = list<ParcelNow & { id: number }>(PARCELS);
  const takenBack = list<{ id: number; at: string | null }>(TAKEN_BACK);
  const firstRenewals = list<{ claimId: number; id: number }>(FIRST_RENEWALS);
  const documents = list<{ id: number; revisionId: number }>(DOCUMENTS);
  const away = list<DayRange & { id: number; personId: number }>(AWAY);
  const gatherings = list<Omit<GatheringFacts, 'comers'> & { id: number }>(GATHERINGS);
  const parts = list<PartRow>(PARTS);
  const uses = list<UseRow>(USES);
  return (rows) => {
    const claims = new Set<number>();
    for (const { kind, after } of rows) {
      if (!WITH_ITEMS.has(kind) || after === null) continue;
      claims.add((JSON.parse(after) as { claimId: number }).claimId);
    }
    const things = (of: (row: LogRow) => boolean) =>
      new Set(rows.filter(of).flatMap(({ thingId }) => (thingId === null ? [] : [thingId])));
    const gone = new Set(
      rows.flatMap(({ kind, partId }) => (kind === 'remove-part' && partId !== null ? [partId] : [])),
    );
    const itemsOf = new Map<number, ItemNow[]>();
    for (const { claimId, ...item } of items(claims)) {
      itemsOf.set(claimId, [...(itemsOf.get(claimId) ?? []), item]);
    }
    const documentsOf = new Map<number, number[]>();
    const drawn = things(({ kind }) => kind === 'add-document' || kind === 'remove-document');
    for (const { id, revisionId } of documents(drawn)) {
      documentsOf.set(revisionId, [...(documentsOf.get(revisionId) ?? []), id]);
    }
    const back = new Set(rows.filter(({ kind }) => TAKING_BACK.has(kind)).map(({ id }) => id));
    const keyed = <T extends { id: number }>(list: readonly T[]) =>
      new Map(list.map(({ id, ...rest }) => [id, rest] as const));
    return {
      items: itemsOf,
      parcels: keyed(parcels(claims)),
      takenBack: new Map(takenBack(back).flatMap(({ id, at }) => (at === null ? [] : [[id, at] as const]))),
      firstRenewals: new Map(
        firstRenewals(things(({ kind }) => kind === 'renew-promise')).map(({ claimId, id }) => [claimId, id]),
      ),
      documents: documentsOf,
      away: keyed(away(things(({ kind }) => kind === 'remove-away'))),
      gatherings: keyed(gatherings(things(({ kind }) => kind === 'drop-gathering'))),
      parts: new Map(parts(gone).map((part) => [part.id, part])),
      uses: uses(gone),
    };
  };
}
