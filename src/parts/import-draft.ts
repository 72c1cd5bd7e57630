import { describing, type PlanRow } from './import-row.ts';
import type { FieldChange, ImportLine, ImportVerdict, PartDraft, PartKind } from './import-types.ts';

const blankPart: PartDraft = {
  number: '',
  name: '',
  kind: 'made',
  unit: 'piece',
  note: '',
  supplier: '',
  supplierNumber: '',
  packMilli: null,
  priceCents: null,
  massGrams: null,
  material: '',
  process: '',
  listedMilli: null,
};

/** What the list says of the kind, else what the build knows, else what the row looks like. */
export function kindOf({ details, identity, known, holdsOthers }: PlanRow, usual: PartKind): PartKind {
  const { values } = details;
  if (values.kind !== undefined) return values.kind;
  if (known !== null) return known.kind;
  if (holdsOthers) return 'assembly';
  const fromShop =
    values.supplier !== undefined || values.priceCents !== undefined || identity.supplierNumber !== '';
  if (fromShop) return 'bought';
  return values.material !== undefined || values.process !== undefined ? 'made' : usual;
}

/** The finished line of a row once all that is wrong or odd with it has been found. */
export function lineOf(row: PlanRow, usual: PartKind): ImportLine {
  const { known, main, problems, doubts, notes, uses } = row;
  const line = {
    line: row.row.line,
    lastLine: row.row.lastLine,
    partId: describing(row).known?.id ?? null,
    sameAsLine: main?.row.line ?? null,
  };
  if (problems.length > 0) {
    const nothing = { numberProposed: false, part: null, changes: [], uses: [] };
    return { ...line, ...nothing, verdict: 'bad', wouldBe: 'bad', reasons: problems, notes };
  }
  const { part, changes } = main === null ? draftOf(row, kindOf(row, usual)) : { part: null, changes: [] };
  const kindChange = changes.find(({ field }) => field === 'kind');
  const reasons = [...doubts];
  if (known !== null && kindChange) {
    reasons.push(`${known.number} is a ${kindChange.before} part now, the list says ${kindChange.after}.`);
  }
  const changed = changes.length > 0 || uses.some(({ verdict }) => verdict === 'new' || verdict === 'update');
  const wouldBe: ImportVerdict = known === null && main === null ? 'new' : changed ? 'update' : 'same';
  const filled = { ...line, numberProposed: row.numberProposed, part, changes, uses, wouldBe };
  // What changes nothing needs nobody's word, however odd the row is.
  if (reasons.length === 0 || wouldBe === 'same') {
    return { ...filled, verdict: wouldBe, reasons: [], notes: [...reasons, ...notes] };
  }
  return { ...filled, verdict: 'unusual', reasons, notes };
}

/** The part as it will be, and which of its fields that changes; of a new part, all that is known. */
function draftOf(row: PlanRow, kind: PartKind): { part: PartDraft; changes: FieldChange[] } {
  const { known, identity, details } = row;
  const before: PartDraft = known ?? blankPart;
  const part: PartDraft = {
    number: row.number,
    name: identity.name || before.name || row.number,
    kind,
    unit: details.values.unit ?? before.unit,
    note: details.values.note ?? before.note,
    supplier: details.values.supplier ?? before.supplier,
    supplierNumber: identity.supplierNumber || before.supplierNumber,
    packMilli: details.values.packMilli ?? before.packMilli,
    priceCents: details.values.priceCents ?? before.priceCents,
    massGrams: details.values.massGrams ?? before.massGrams,
    material: details.values.material ?? before.material,
    process: details.values.process ?? before.process,
    listedMilli: row.listedMilli ?? before.listedMilli,
  };
  const fields = Object.keys(part) as (keyof PartDraft)[];
  const changes = fields
    .filter((field) =>
      known === null ? part[field] !== '' && part[field] !== null : part[field] !== before[field],
    )
    .map((field) => ({ field, before: known === null ? null : before[field], after: part[field] }));
  return { part, changes };
}
