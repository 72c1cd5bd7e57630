import type { Database } from '../platform/database.ts';
import { type GeneralClass, toMm } from '../specs/index.ts';
import { gauged, suspicionOf } from './measure.ts';

/** A piece that was taken over, with what was measured of it. */
export interface ShelfUnit {
  partId: number;
  /** the job it came from, and its number within it */
  jobId: number;
  unitNo: number;
  lineId: number;
  /** of the drawing it was made to */
  letter: string;
  isConcession: boolean;
  /** as it was named at inspection; empty where it was not */
  gauge: string;
  /** by the position of the characteristic */
  sizes: ReadonlyMap<number, UnitSize>;
}

/** A length measured of a piece. */
export interface UnitSize {
  mm: number;
  /** by what the last digit put down is worth, in mm */
  digitMm: number;
  /** looks like another unit or a slipped point: not to be trusted */
  isSuspect: boolean;
}

interface Row {
  checkId: number;
  partId: number;
  jobId: number;
  unitNo: number;
  lineId: number;
  letter: string;
  disposition: string;
  gauge: string;
  generalTolerance: string;
  position: number | null;
  label: string | null;
  text: string | null;
  value: number | null;
}

// What was made to an old drawing and then decided against is no longer there to be used.
const ROWS = `
  SELECT k.id AS checkId, r.partId, c.jobId, k.unitNo, i.id AS lineId, r.letter, k.disposition, k.gauge,
         r.generalTolerance, h.position, h.label, h.text, v.value
    FROM UnitCheck k
    JOIN ParcelItem i ON i.id = k.itemId
    JOIN Claim c ON c.id = i.claimId
    JOIN Revision r ON r.id = c.revisionId
    LEFT JOIN MeasuredValue v ON v.checkId = k.id
    LEFT JOIN Characteristic h ON h.id = v.characteristicId
   WHERE r.partId = ? AND k.disposition IN ('accept', 'concession') AND k.milli = 1000
     AND NOT EXISTS (SELECT 1 FROM OldUnits o
                      WHERE o.claimId = c.id AND o.revisionId = r.id AND o.decidedAs IN ('rework', 'scrap'))
   ORDER BY c.jobId, k.unitNo, k.id`;

function digitOf(value: number): number {
  return 10 ** -(String(value).split('.')[1] ?? '').length;
}

/**
 * Reads the pieces of a part that were accepted, as drawn or by a concession, the measured ones and the others.
 *
 * The digits of a value are counted over all values of one dimension: 25.010 put down as 25.01 is as good as 25.012.
 */
export function shelfUnitsReader({ hot }: Pick<Database, 'hot'>): (partId: number) => ShelfUnit[] {
  const ofPart = hot.prepare<[number], Row>(ROWS);
  return (partId) => {
    const rows = ofPart.all(partId);
    const digits = new Map<number, number>();
    for (const { position, value } of rows) {
      if (position === null || value === null) continue;
      digits.set(position, Math.min(digits.get(position) ?? 1, digitOf(value)));
    }
    const units = new Map<number, ShelfUnit & { sizes: Map<number, UnitSize> }>();
    for (const row of rows) {
      const unit = units.get(row.checkId) ?? {
        partId,
        jobId: row.jobId,
        unitNo: row.unitNo,
        lineId: row.lineId,
        letter: row.letter,
        isConcession: row.disposition === 'concession',
        gauge: row.gauge,
        sizes: new Map<number, UnitSize>(),
      };
      units.set(row.checkId, unit);
      const { position, value } = row;
      if (position === null || value === null) continue;
      const dimension = gauged(
        { id: position, label: row.label ?? '', text: row.text ?? '', isKey: false },
        (row.generalTolerance || null) as GeneralClass | null,
      );
      if (!dimension || dimension.unit === 'deg') continue;
      const { unit: drawn } = dimension;
      unit.sizes.set(position, {
        mm: toMm(value, drawn),
        digitMm: toMm(digits.get(position) ?? 1, drawn),
        isSuspect: suspicionOf(value, dimension) !== null,
      });
    }
    return [...units.values()];
  };
}
