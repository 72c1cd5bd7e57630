import type { Database } from '../platform/database.ts';
import type { GeneralClass } from '../specs/index.ts';
import { type Gauged, gauged, suspicionOf } from './measure.ts';

/** A value measured at inspection, whatever became of the unit. */
export interface MeasuredAt {
  value: number;
  /** what was measured; the value is in its unit */
  dimension: Gauged;
  /** what the value may really be (another unit, a slipped point); null when it looks like what it says */
  suspicion: string | null;
  /** the maker of the unit */
  personId: number;
  jobId: number;
  lineId: number;
  unitNo: number;
  /** of the drawing it was made to, else of the part; null where none is named */
  processId: number | null;
  partNumber: string;
  letter: string;
}

interface Row {
  value: number;
  characteristicId: number;
  label: string;
  text: string;
  isKey: number;
  generalTolerance: string;
  personId: number;
  jobId: number;
  lineId: number;
  unitNo: number;
  processId: number | null;
  partNumber: string;
  letter: string;
}

const ROWS = `
  SELECT v.value, v.characteristicId, h.label, h.text, h.isKey, r.generalTolerance, c.personId, c.jobId, i.id AS lineId,
         k.unitNo, COALESCE(r.processId, t.processId) AS processId, t.number AS partNumber, r.letter
    FROM MeasuredValue v
    JOIN UnitCheck k ON k.id = v.checkId
    JOIN ParcelItem i ON i.id = k.itemId
    JOIN Claim c ON c.id = i.claimId
    JOIN Characteristic h ON h.id = v.characteristicId
    JOIN Revision r ON r.id = h.revisionId
    JOIN Part t ON t.id = r.partId`;

/** Reads every measured value, or those of one maker's units, oldest first. */
export function measuredValuesReader({ hot }: Pick<Database, 'hot'>): (makerId?: number) => MeasuredAt[] {
  const all = hot.prepare<[], Row>(`${ROWS} ORDER BY v.id`);
  const ofMaker = hot.prepare<[number], Row>(`${ROWS} WHERE c.personId = ? ORDER BY v.id`);
  return (makerId) => {
    const dimensions = new Map<number, Gauged | null>();
    const dimensionOf = ({ characteristicId: id, label, text, isKey, generalTolerance }: Row) => {
      let dimension = dimensions.get(id);
      if (dimension === undefined) {
        const row = { id, label, text, isKey: isKey === 1 };
        dimension = gauged(row, (generalTolerance || null) as GeneralClass | null);
        dimensions.set(id, dimension);
      }
      return dimension;
    };
    return (makerId === undefined ? all.all() : ofMaker.all(makerId)).flatMap((row): MeasuredAt[] => {
      const dimension = dimensionOf(row);
      if (!dimension) return [];
      const { value, personId, jobId, lineId, unitNo, processId, partNumber, letter } = row;
      const suspicion = suspicionOf(value, dimension);
      return [
        { value, dimension, suspicion, personId, jobId, lineId, unitNo, processId, partNumber, letter },
      ];
    });
  };
}
