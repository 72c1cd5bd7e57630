import type { ImportRow } from './import-table.ts';
import type { ImportUse, KnownPart, PartDraft } from './import-types.ts';
import type { Unit } from './quantity.ts';

/** Problems refuse a row, doubts ask the person, notes only tell. */
export interface Findings {
  problems: string[];
  doubts: string[];
  notes: string[];
}

/** What tells which part a row is about. Empty texts where the list says nothing. */
export interface RowIdentity {
  number: string;
  name: string;
  supplierNumber: string;
}

/** What a row says about its part; a field is left out where the list says nothing. */
export interface RowDetails {
  values: Partial<Omit<PartDraft, 'number' | 'listedMilli'>>;
  /** Thousandths of the part's unit. */
  quantityMilli: number | null;
  unit: Unit;
  /** There is a price in another currency and no rate for it. */
  foreignPrice: boolean;
}

/** An assembly as far as the list and the build know it. */
export type Assembly =
  | { kind: 'known'; part: KnownPart }
  | { kind: 'row'; row: PlanRow }
  | { kind: 'new'; key: string; name: string };

/** A row on its way through the plan; each stage fills in its part. */
export interface PlanRow extends Findings {
  row: ImportRow;
  identity: RowIdentity;
  details: RowDetails;
  /** The part of the build that the row is about; null for a new one. */
  known: KnownPart | null;
  /** The row that describes the part, where this one only names a further use. */
  main: PlanRow | null;
  /** The number the part has or will get; empty until then. */
  number: string;
  numberProposed: boolean;
  /** The assemblies as written, and which they are, in the same order. */
  assemblyTexts: string[];
  assemblies: Assembly[];
  /** Another row goes into this one. */
  holdsOthers: boolean;
  uses: ImportUse[];
  listedMilli: number | null;
}

export function newPlanRow(row: ImportRow): PlanRow {
  return {
    row,
    identity: { number: '', name: '', supplierNumber: '' },
    details: { values: {}, quantityMilli: null, unit: 'piece', foreignPrice: false },
    known: null,
    main: null,
    number: '',
    numberProposed: false,
    assemblyTexts: [],
    assemblies: [],
    holdsOthers: false,
    uses: [],
    listedMilli: null,
    problems: [],
    doubts: row.ragged === null ? [] : [row.ragged],
    notes: [],
  };
}

/** The row that describes the part of this row: itself, or the first one of a repeated number. */
export function describing(row: PlanRow): PlanRow {
  return row.main ?? row;
}

/** One key for each part of the plan, known or new. */
export function partKeyOf(row: PlanRow): string {
  const main = describing(row);
  return main.known ? `part ${main.known.id}` : `line ${main.row.line}`;
}

/** The key of the assembly of a use, alike with partKeyOf. */
export function holderKeyOf({ parent }: Pick<ImportUse, 'parent'>): string {
  if ('part' in parent) return `part ${parent.part}`;
  return 'line' in parent ? `line ${parent.line}` : `new ${parent.newAssembly}`;
}
