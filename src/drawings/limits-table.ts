import type { Database } from '../platform/database.ts';
import { type GeneralClass, type LengthUnit, MM_PER_INCH } from '../specs/index.ts';
import { type LimitsRow, limitsRow } from './limits-shown.ts';

/** What views/shared/limits-table.njk shows. */
export interface LimitsTable {
  rows: LimitsRow[];
  unit: LengthUnit;
  /** what the figures rest on, in a sentence or two */
  note: string;
}

/**
 * The limits of every characteristic of a revision, in mm or in inches.
 *
 * @returns  no rows for a revision that is not there or has none
 */
export async function limitsTable(
  db: Pick<Database, 'read'>,
  revisionId: number,
  unit: LengthUnit,
): Promise<LimitsTable> {
  const revision = await db.read.revision.findUnique({
    where: { id: revisionId },
    include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
  });
  const generalClass = (revision?.generalTolerance || null) as GeneralClass | null;
  const rows = (revision?.characteristics ?? []).map((row) => limitsRow(row, generalClass, unit));
  const notes = [
    generalClass === null
      ? 'No general tolerance is named.'
      : `Without limits beside it a size has those of ISO 2768-1, class ${generalClass}.`,
    'Limits hold at 20 °C (ISO 1).',
  ];
  if (rows.some(({ drawn }) => drawn)) {
    notes.push(
      `Sizes drawn in ${unit === 'in' ? 'millimetres' : 'inches'} are converted by exactly ${MM_PER_INCH} mm an inch and rounded inwards; the drawing’s own limits stand under each.`,
    );
  }
  if (rows.some(({ isKey }) => isKey)) {
    notes.push('Key, with a double line: it matters for fit or function, and is measured on arrival.');
  }
  return { rows, unit, note: notes.join(' ') };
}
