import type { Unit } from './quantity.ts';
import type { DecimalMark } from './typed-number.ts';

export type PartKind = 'assembly' | 'made' | 'bought' | 'stock';

/** What a column of a list can say about a part. */
export const importFields = [
  'number',
  'name',
  'kind',
  'goesInto',
  'quantity',
  'unit',
  'supplier',
  'supplierNumber',
  'packSize',
  'price',
  'material',
  'process',
  'mass',
  'note',
] as const;

export type ImportField = (typeof importFields)[number];

/** The column of each field, counted from 0; null where the list does not have it. */
export type ColumnMapping = Record<ImportField, number | null>;

/** What a list can set on a part. Texts are empty and figures null where nothing is known. */
export interface PartDraft {
  number: string;
  name: string;
  kind: PartKind;
  unit: Unit;
  note: string;
  supplier: string;
  supplierNumber: string;
  /** Thousandths of the unit in one pack. */
  packMilli: number | null;
  /** Hundredths of the build's currency, for one pack, or one unit where no pack is known. */
  priceCents: number | null;
  massGrams: number | null;
  /** Names as the list writes them. */
  material: string;
  process: string;
  /** The total a list names where it cannot be the quantity of one use. */
  listedMilli: number | null;
}

export type PartDraftField = keyof PartDraft;

export interface KnownPart extends PartDraft {
  id: number;
}

export interface KnownUse {
  parentId: number;
  childId: number;
  quantityMilli: number;
}

/** The build as it is before the import. */
export interface KnownBuild {
  /** Prefix of the numbers the build gives, such as `OR`. */
  prefix: string;
  /** ISO 4217 code in which the build counts its money. */
  currency: string;
  parts: readonly KnownPart[];
  uses: readonly KnownUse[];
  /** Part numbers that may not be given again although no part above has them (of parts taken away). */
  retiredNumbers?: readonly string[];
}

export interface ImportOptions {
  decimalMark: DecimalMark | 'guess';
  /** The quantity column is the total in the machine, or the quantity in each assembly named. */
  quantityIs: 'total' | 'each';
  /** The price is for a pack, or for one unit of a pack. */
  priceIs: 'pack' | 'unit';
  /** Currency of prices that name none, ISO 4217. */
  listCurrency: string;
  /** The build's currency for one of the list's, as typed (`0,92`); empty leaves foreign prices out. */
  exchangeRate: string;
  massUnit: MassUnit;
  /** Kind of new parts about which the list says nothing that tells. */
  usualKind: PartKind;
  /** Make assemblies that the list names and nobody knows. */
  createAssemblies: boolean;
  /** Turn signs that part numbers cannot hold into hyphens, instead of refusing the row. */
  tidyNumbers: boolean;
  /** A number on several rows is refused, or names further uses of one part. */
  repeatedNumbers: 'refuse' | 'further-use';
  /** What the person answered to the plan's questions. */
  answers: readonly UseAnswer[];
}

export type MassUnit = 'mg' | 'g' | 'kg' | 't' | 'oz' | 'lb';

export interface UseAnswer {
  line: number;
  /** As the question names it. */
  assembly: string;
  /** As typed. */
  quantity: string;
}

export type ImportVerdict = 'new' | 'update' | 'same' | 'unusual' | 'bad';

export interface FieldChange {
  field: PartDraftField;
  before: string | number | null;
  after: string | number | null;
}

/** A use that a row asks for: the row's part goes into an assembly. */
export interface ImportUse {
  /** The assembly as the list writes it. */
  assembly: string;
  /** Where it comes from: a part known, the part of another row (its line), or a new assembly (its number). */
  parent: { part: number } | { line: number } | { newAssembly: string };
  /** Number and name of the assembly, to show. */
  parentNumber: string;
  parentName: string;
  /** In thousandths of the part's unit; null when the person has to say it. */
  quantityMilli: number | null;
  /** What the build has now; null when the part does not go into this assembly yet. */
  beforeMilli: number | null;
  verdict: 'new' | 'update' | 'same' | 'ask';
}

export interface ImportLine {
  line: number;
  lastLine: number;
  verdict: ImportVerdict;
  /** What an unusual row would be if it is taken; otherwise the verdict itself. */
  wouldBe: ImportVerdict;
  /** Why it is bad or unusual, as sentences. */
  reasons: string[];
  /** What is worth knowing besides. */
  notes: string[];
  /** The known part this row is about, if any. */
  partId: number | null;
  /** Line of the row that describes the part, where this one only names a further use of it. */
  sameAsLine: number | null;
  /** The number is the build's next one, not the list's. */
  numberProposed: boolean;
  /** The part as it will be. Null on bad rows and on further uses. */
  part: PartDraft | null;
  changes: FieldChange[];
  uses: ImportUse[];
}

export interface NewAssembly {
  number: string;
  name: string;
  /** Lines of the rows that name it. */
  lines: number[];
}

/** A quantity that the list leaves open because it names one total for several assemblies. */
export interface UseQuestion {
  line: number;
  number: string;
  name: string;
  assembly: string;
  listedMilli: number | null;
  unit: Unit;
}

export interface ImportPlan {
  lines: ImportLine[];
  newAssemblies: NewAssembly[];
  questions: UseQuestion[];
  counts: Record<ImportVerdict, number>;
  /** What was assumed for the whole list. */
  notes: string[];
  decimalMark: DecimalMark;
}

/** Two texts are the same name when their keys are: blanks, capitals and ways to write one letter do not count. */
export function textKey(text: string): string {
  return text.normalize('NFKC').replace(/\s+/g, ' ').trim().toLowerCase();
}
