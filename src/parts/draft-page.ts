import { fieldNames } from './import-columns.ts';
import type { ImportTable } from './import-table.ts';
import type {
  ColumnMapping,
  FieldChange,
  ImportLine,
  ImportPlan,
  ImportVerdict,
  UseQuestion,
} from './import-types.ts';
import { importFields } from './import-types.ts';
import { formatMoney } from './money.ts';
import { partPath } from './part.ts';
import { formatMass } from './part-words.ts';
import { formatQuantity, type Unit } from './quantity.ts';

export const verdicts = ['new', 'update', 'same', 'unusual', 'bad'] as const satisfies ImportVerdict[];

const verdictWords: Readonly<Record<ImportVerdict, string>> = {
  new: 'new',
  update: 'changes',
  same: 'as it is',
  unusual: 'unusual',
  bad: 'bad',
};

/** The lines that show how far a row is from coming in. */
const verdictLines: Readonly<Record<ImportVerdict, string>> = {
  new: 'thick',
  update: 'dashed',
  same: 'thin',
  unusual: 'chain',
  bad: 'struck',
};

export interface PlanRow {
  line: string;
  verdict: string;
  /** the kind of line for p.state */
  stroke: string;
  number: string;
  numberProposed: boolean;
  name: string;
  href: string;
  /** what would change or come in, one short text each */
  changes: string[];
  reasons: string[];
  notes: string[];
}

export interface PlanPage {
  rows: PlanRow[];
  show: ImportVerdict | '';
  tabs: { href: string; label: string; current: boolean; count: number }[];
  pager: { page: number; pages: number; prev: string; next: string; text: string };
}

const rowsOnPage = 100;

/** One page of a plan's rows. @param at  where the draft is: /import/7 */
export function planPage(
  plan: ImportPlan,
  table: ImportTable,
  mapping: ColumnMapping,
  currency: string,
  { at, show, page }: { at: string; show: ImportVerdict | ''; page: number },
): PlanPage {
  const lines = plan.lines.filter(({ verdict }) => show === '' || verdict === show);
  const pages = Math.max(1, Math.ceil(lines.length / rowsOnPage));
  const shown = Math.min(page, pages);
  const address = (verdict: ImportVerdict | '', other = 1) => {
    const search = new URLSearchParams();
    if (verdict) search.set('show', verdict);
    if (other > 1) search.set('page', String(other));
    return `${at}${search.size > 0 ? `?${search}` : ''}#rows`;
  };
  const cells = new Map(table.rows.map((row) => [row.line, row.cells]));
  const asWritten = (line: number, field: 'number' | 'name') => cells.get(line)?.[mapping[field] ?? -1] ?? '';
  return {
    rows: lines
      .slice((shown - 1) * rowsOnPage, shown * rowsOnPage)
      .map((line) => rowOf(line, asWritten, currency)),
    show,
    tabs: [
      { href: address(''), label: 'all rows', current: show === '', count: plan.lines.length },
      ...verdicts
        .filter((verdict) => plan.counts[verdict] > 0)
        .map((verdict) => ({
          href: address(verdict),
          label: verdictWords[verdict],
          current: show === verdict,
          count: plan.counts[verdict],
        })),
    ],
    pager: {
      page: shown,
      pages,
      prev: shown > 1 ? address(show, shown - 1) : '',
      next: shown < pages ? address(show, shown + 1) : '',
      text: `${lines.length} rows`,
    },
  };
}

function rowOf(
  line: ImportLine,
  asWritten: (line: number, field: 'number' | 'name') => string,
  currency: string,
): PlanRow {
  const { part } = line;
  const unit = part?.unit ?? 'piece';
  const isNew = line.partId === null;
  return {
    line: line.lastLine > line.line ? `${line.line}-${line.lastLine}` : String(line.line),
    verdict:
      line.verdict === 'unusual' && line.wouldBe !== 'unusual'
        ? `unusual, ${verdictWords[line.wouldBe]}`
        : verdictWords[line.verdict],
    stroke: verdictLines[line.verdict],
    number: part?.number ?? asWritten(line.line, 'number'),
    numberProposed: line.numberProposed,
    name: (part?.name ?? asWritten(line.line, 'name')).slice(0, 200),
    href: line.partId !== null && part ? partPath(part.number) : '',
    changes: [
      ...line.changes
        .filter(({ field }) => !isNew || !['number', 'name'].includes(field))
        .map((change) => changeWords(change, unit, currency, isNew)),
      ...line.uses
        .filter(({ verdict }) => verdict !== 'same')
        .map(({ parentName, parentNumber, quantityMilli, beforeMilli }) => {
          const into = parentName || parentNumber;
          if (quantityMilli === null) return `into ${into}: how many is not said`;
          const told = `${formatQuantity(quantityMilli, unit)} into ${into}`;
          return beforeMilli === null ? told : `${told}, now ${formatQuantity(beforeMilli, unit)}`;
        }),
    ],
    reasons: line.reasons,
    notes: line.notes,
  };
}

function changeWords(
  { field, before, after }: FieldChange,
  unit: Unit,
  currency: string,
  isNew: boolean,
): string {
  const label = field === 'listedMilli' ? 'total named' : fieldNames[fieldOf[field] ?? 'note'];
  const told = valueWords(field, after, unit, currency);
  return isNew ? `${label} ${told}` : `${label} ${valueWords(field, before, unit, currency)} to ${told}`;
}

const fieldOf: Partial<Record<FieldChange['field'], keyof typeof fieldNames>> = {
  ...Object.fromEntries(importFields.map((field) => [field, field])),
  packMilli: 'packSize',
  priceCents: 'price',
  massGrams: 'mass',
};

function valueWords(
  field: FieldChange['field'],
  value: string | number | null,
  unit: Unit,
  currency: string,
): string {
  if (value === null || value === '') return 'not known';
  if (typeof value === 'string') return value.length > 60 ? `${value.slice(0, 60)}...` : value;
  if (field === 'priceCents') return formatMoney(value, currency);
  if (field === 'massGrams') return formatMass(value);
  return formatQuantity(value, unit);
}

/** The columns to choose from, each with its first cell that is not empty. */
export function columnChoices(table: ImportTable): { value: string; label: string }[] {
  return table.header.map((title, column) => {
    const sample = table.rows.find(({ cells }) => cells[column])?.cells[column] ?? '';
    const shown = sample.length > 30 ? `${sample.slice(0, 30)}...` : sample;
    return { value: String(column), label: shown ? `${title} (${shown})` : title };
  });
}

export const fieldChoices = importFields.map((field) => ({
  name: `column-${field}`,
  label: fieldNames[field],
}));

/** Questions of a plan with the total each row named. */
export function questionRows(questions: readonly UseQuestion[]) {
  return questions.map((question, at) => ({
    ...question,
    field: `quantity-${at}`,
    listed: question.listedMilli === null ? '' : formatQuantity(question.listedMilli, question.unit),
  }));
}
