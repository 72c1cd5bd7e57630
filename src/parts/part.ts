import type { PartKind } from './import-types.ts';
import type { Unit } from './quantity.ts';

export const partKinds = ['assembly', 'made', 'bought', 'stock'] as const satisfies readonly PartKind[];
export const partUnits = ['piece', 'm', 'l', 'kg'] as const satisfies readonly Unit[];

/** What is known of a part. Quantities in thousandths of its unit, money in hundredths of the build's currency. */
export interface PartFields {
  name: string;
  kind: PartKind;
  unit: Unit;
  note: string;
  /** a suggestion for its drawings; a revision has its own */
  materialId: number | null;
  processId: number | null;
  /** of one unit */
  massGrams: number | null;
  supplier: string;
  supplierNumber: string;
  packMilli: number | null;
  /** of one pack, or of one unit where no pack is given */
  priceCents: number | null;
  /** calendar days from order to delivery */
  leadDays: number | null;
  /** the lead's hours to draw it, estimated */
  designHours: number | null;
  /** working days to make or to fit it, estimated */
  makeDays: number | null;
}

export interface Part extends PartFields {
  id: number;
  number: string;
  shelfMilli: number;
  /** the total an imported list named */
  listedMilli: number | null;
  createdAt: Date;
  removedAt: Date | null;
}

/** A part as far as nothing is known of it but its name and kind. */
export const unknownPart: Omit<PartFields, 'name' | 'kind'> = {
  unit: 'piece',
  note: '',
  materialId: null,
  processId: null,
  massGrams: null,
  supplier: '',
  supplierNumber: '',
  packMilli: null,
  priceCents: null,
  leadDays: null,
  designHours: null,
  makeDays: null,
};

export const partFieldNames = ['name', 'kind', ...Object.keys(unknownPart)] as (keyof PartFields)[];

/** Whether parts may go into a part of this kind: what is bought or lies in stock comes whole. */
export function mayHoldParts(kind: PartKind): boolean {
  return kind === 'assembly' || kind === 'made';
}

/** The address of a part's page. */
export function partPath(number: string): string {
  return `/parts/${encodeURIComponent(number)}`;
}
