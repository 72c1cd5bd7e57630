import type { Database } from '../platform/database.ts';
import { type ShelfUnit, shelfUnitsReader } from '../receiving/index.ts';

/** The accepted pieces of a part, and how many of them went into something that is put together. */
export interface Shelf {
  units: readonly ShelfUnit[];
  /** pieces taken by fit-ups that are finished; which ones is not written down */
  fitted: number;
}

const FITTED = `
  SELECT COALESCE(SUM(j.milli * u.milli), 0) AS millionths
    FROM Job j JOIN "Use" u ON u.parentId = j.partId
   WHERE u.childId = ? AND j.kind = 'fit-up' AND j.finishedAt IS NOT NULL AND j.droppedAt IS NULL`;

/** Reads the accepted pieces of a part; each part once. */
export function shelfReader(db: Pick<Database, 'hot'>): (partId: number | null) => Shelf {
  const read = shelfUnitsReader(db);
  const fitted = db.hot.prepare<[number], { millionths: number }>(FITTED);
  const known = new Map<number, Shelf>();
  return (partId) => {
    if (partId === null) return { units: [], fitted: 0 };
    let shelf = known.get(partId);
    if (!shelf) {
      const taken = Math.floor((fitted.get(partId)?.millionths ?? 0) / 1e6);
      shelf = { units: read(partId), fitted: taken };
      known.set(partId, shelf);
    }
    return shelf;
  };
}

/** A piece with the size that is asked for. */
export interface Sized {
  unit: ShelfUnit;
  mm: number;
  /** half of the last digit put down, in mm */
  unsure: number;
}

/** The pieces whose size at a position was measured, without those that look like another unit. */
export function sizedAt(units: readonly ShelfUnit[], position: number | null): Sized[] {
  if (position === null) return [];
  return units.flatMap((unit) => {
    const size = unit.sizes.get(position);
    return size && !size.isSuspect ? [{ unit, mm: size.mm, unsure: size.digitMm / 2 }] : [];
  });
}

/** What a piece is called, and where its measuring is to be seen. */
export const unitLine = ({ jobId, unitNo, lineId, letter, isConcession }: ShelfUnit) => ({
  label: `piece ${unitNo} of job ${jobId}`,
  href: `/receiving/lines/${lineId}`,
  letter,
  isConcession,
});

/** How many of how many were measured, by what, and what else there is to know before trusting it. */
export function shelfWords({ units, fitted }: Shelf, position: number) {
  const sized = sizedAt(units, position);
  const suspects = units.filter(({ sizes }) => sizes.get(position)?.isSuspect).length;
  const gauges = new Map<string, number>();
  for (const { unit } of sized) {
    const name = unit.gauge || 'gauge not named';
    gauges.set(name, (gauges.get(name) ?? 0) + 1);
  }
  const digit = Math.max(0, ...sized.map(({ unsure }) => unsure * 2));
  return {
    measured: sized.length,
    of: units.length,
    gauges: [...gauges].map(([name, count]) => `${name} (${count})`).join(', '),
    digit,
    suspects,
    fitted: Math.min(fitted, units.length),
  };
}
