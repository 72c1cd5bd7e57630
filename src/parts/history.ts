import type { Database } from '../platform/database.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { formatMoney } from './money.ts';
import { partPath } from './part.ts';
import { formatMass } from './part-words.ts';
import { formatQuantity, type Unit } from './quantity.ts';

/** A row of the log with the names its sentence needs, as they are now. */
export interface ActRow {
  id: number;
  /** ISO text, UTC */
  at: string;
  kind: string;
  personId: number | null;
  who: string | null;
  partId: number | null;
  partNumber: string | null;
  partName: string | null;
  partUnit: Unit | null;
  jobId: number | null;
  jobTitle: string | null;
  jobKind: string | null;
  aboutId: number | null;
  about: string | null;
  thingType: string | null;
  thingId: number | null;
  milli: number | null;
  before: string | null;
  after: string | null;
}

/** A line of a history, as p.history shows it. */
export interface HistoryLine {
  when: string;
  iso: string;
  who: string;
  what: string;
  note: string;
  href: string;
}

// Structure lines are logged with the part they go into; the part that goes in is the thing.
const ABOUT = `(a.partId = @partId OR (a.thingType = 'part' AND a.thingId = @partId))
     AND (@kinds IS NULL OR a.kind IN (SELECT value FROM json_each(@kinds)))`;
const ROWS = `
  SELECT a.id, a.at, a.kind, a.personId, p.name AS who, a.partId, t.number AS partNumber, t.name AS partName,
         t.unit AS partUnit, a.jobId, j.title AS jobTitle, j.kind AS jobKind, a.aboutId, b.name AS about, a.thingType,
         a.thingId, a.milli, a.before, a.after
    FROM Act a
    LEFT JOIN Person p ON p.id = a.personId
    LEFT JOIN Person b ON b.id = a.aboutId
    LEFT JOIN Job j ON j.id = a.jobId
    LEFT JOIN Part t ON t.id = COALESCE(a.partId, j.partId)
   WHERE ${ABOUT} ORDER BY a.id DESC LIMIT @limit OFFSET @offset`;

/** How the page of a part tells its log. */
export interface HistoryTelling {
  timeZone: string;
  now: Date;
  /** words for what is no act of the parts, and where such a row leads */
  say: (row: ActRow) => string;
  leadsTo: (row: ActRow) => string | null;
}

/**
 * The log of one part, newest first: what was done to it and its jobs, and where it was put into something.
 *
 * @param page.kinds  only acts of these kinds; all where left out
 */
export function partHistory(
  hot: Database['hot'],
  part: { id: number; unit: Unit },
  { limit, offset = 0, kinds }: { limit: number; offset?: number; kinds?: readonly string[] },
  telling: HistoryTelling,
): { lines: HistoryLine[]; total: number } {
  const asked = { partId: part.id, kinds: kinds ? JSON.stringify(kinds) : null };
  const rows = hot
    .prepare<[typeof asked & { limit: number; offset: number }], ActRow>(ROWS)
    .all({ ...asked, limit, offset });
  const count = hot
    .prepare<[typeof asked], { n: number }>(`SELECT count(*) AS n FROM Act a WHERE ${ABOUT}`)
    .get(asked);
  const build = hot.prepare<[], { currency: string }>('SELECT currency FROM Build WHERE id = 1').get();
  const today = dayIn(telling.timeZone, telling.now);
  const lines = rows.map((row): HistoryLine => {
    const own = wordsOf(row, part, build?.currency ?? '');
    return {
      when: dayWords(dayIn(telling.timeZone, new Date(row.at)), today),
      iso: row.at,
      who: row.who ?? 'A visitor',
      what: own?.what ?? telling.say(row),
      note: own?.note ?? '',
      href: (own ? own.href : telling.leadsTo(row)) ?? '',
    };
  });
  return { lines, total: count?.n ?? 0 };
}

function fieldsOf(json: string | null): Record<string, unknown> {
  const value: unknown = json === null ? {} : JSON.parse(json);
  return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
}

type Words = Pick<HistoryLine, 'what'> & Partial<Pick<HistoryLine, 'note' | 'href'>>;

/** What an act of the parts says on the page of the part it is about; null for acts of others. */
function wordsOf(row: ActRow, part: { id: number; unit: Unit }, currency: string): Words | null {
  const before = fieldsOf(row.before);
  const after = fieldsOf(row.after);
  const lineUnit = (after.unit ?? before.unit ?? 'piece') as Unit;
  const told = (milli: unknown, unit = lineUnit) =>
    typeof milli === 'number' ? formatQuantity(milli, unit) : '';
  const asChild = row.partId !== part.id;
  const other = String((asChild ? (after.parent ?? before.parent) : (after.child ?? before.child)) ?? '');
  const href = other === '' ? '' : partPath(other);
  switch (row.kind) {
    case 'create-part':
      return { what: 'added the part' };
    case 'change-part':
      return changeWords('', before, after, part.unit, currency);
    case 'import-part':
      return before.number === undefined && after.number !== undefined
        ? { what: 'added the part from a list', note: usesWords(after, part.unit) }
        : changeWords(' from a list', before, after, part.unit, currency);
    case 'remove-part':
      return { what: 'took it out of the build' };
    case 'restore-part':
      return { what: 'put it back into the build' };
    case 'add-use':
      return asChild
        ? { what: `put ${told(row.milli)} into ${other}`, href }
        : { what: `put ${told(row.milli)} of ${other} into it`, href };
    case 'change-use':
      return {
        what: `made it ${told(row.milli)} ${asChild ? `in ${other}` : `of ${other}`}`,
        note: `it was ${told(before.milli)}`,
        href,
      };
    case 'remove-use':
      return { what: asChild ? `took it out of ${other}` : `took ${other} out of it`, href };
    case 'set-shelf':
      return { what: `counted ${told(row.milli, part.unit)} on the shelf` };
    default:
      return null;
  }
}

function changeWords(
  how: string,
  before: Record<string, unknown>,
  after: Record<string, unknown>,
  unit: Unit,
  currency: string,
): Words {
  const changed = Object.keys(after).filter((field) => labels[field] !== undefined);
  const told = changed
    .filter((field) => !/Id$|^note$/.test(field))
    .map((field) => {
      const [from, to] = [before, after].map((values) => valueWords(field, values[field], unit, currency));
      return `${labels[field]} ${from} to ${to}`;
    });
  const uses = usesWords(after, unit);
  return {
    what:
      changed.length > 0
        ? `changed ${changed.map((field) => labels[field]).join(', ')}${how}`
        : `looked it over${how}`,
    note: [...told, uses].filter(Boolean).join('; '),
  };
}

/** Where a list put the part. */
function usesWords({ uses }: Record<string, unknown>, unit: Unit): string {
  if (!Array.isArray(uses)) return '';
  const lines = uses as { parent: string; milli: number }[];
  return lines.map(({ parent, milli }) => `${formatQuantity(milli, unit)} into ${parent}`).join('; ');
}

const labels: Readonly<Record<string, string>> = {
  name: 'name',
  kind: 'kind',
  unit: 'unit',
  note: 'note',
  materialId: 'material',
  material: 'material',
  processId: 'process',
  process: 'process',
  massGrams: 'mass',
  supplier: 'supplier',
  supplierNumber: "supplier's number",
  packMilli: 'pack',
  priceCents: 'price',
  leadDays: 'delivery',
  designHours: 'hours to draw',
  makeDays: 'days to make',
  listedMilli: 'listed total',
};

function valueWords(field: string, value: unknown, unit: Unit, currency: string): string {
  if (value === null || value === undefined || value === '') return 'not known';
  if (typeof value !== 'number') return `"${String(value)}"`;
  if (field === 'massGrams') return formatMass(value);
  if (field === 'priceCents') return formatMoney(value, currency);
  if (field === 'packMilli' || field === 'listedMilli') return formatQuantity(value, unit);
  return String(value);
}
