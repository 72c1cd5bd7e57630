import { z } from 'zod';
import type { Unit } from '../parts/index.ts';
import { choice, day, line, tick, words } from '../platform/http/fields.ts';
import type { LengthUnit } from '../specs/index.ts';
import { type CheckedUnits, DISPOSITIONS, type Disposition } from './check-rules.ts';
import { type Gauged, judge, type Measured } from './measure.ts';
import { readCount } from './say.ts';

/** A line of a form that is typed by the line of a parcel: its id and what it is counted in. */
export interface TypedLine {
  id: number;
  unit: Unit;
}

type Issues = z.core.$RefinementCtx;

function issue(check: Issues, field: string, message: string): void {
  check.addIssue({ code: 'custom', path: [field], message });
}

/** Reads fixed fields beside numbered ones, so that everything wrong is told at once. */
function fixedFields<S extends z.ZodType>(schema: S, typed: unknown, check: Issues): z.output<S> | null {
  const read = schema.safeParse(typed);
  if (read.success) return read.data;
  for (const { path, message } of read.error.issues) issue(check, String(path[0] ?? '_form'), message);
  return null;
}

const typedText = line(40);

/**
 * Reads the quantities typed as `PREFIX-id`. A number that is not among the lines is told, never passed over: the form
 * would do less than it says.
 */
function typedCounts(
  typed: Record<string, unknown>,
  prefix: string,
  lines: readonly TypedLine[],
  check: Issues,
): Map<number, number | null> {
  const counts = new Map<number, number | null>();
  const known = new Set(lines.map(({ id }) => `${prefix}-${id}`));
  for (const name of Object.keys(typed)) {
    if (name.startsWith(`${prefix}-`) && !known.has(name)) {
      issue(check, '_form', `There is no line ${name.slice(prefix.length + 1, prefix.length + 13)} here.`);
    }
  }
  for (const { id, unit } of lines) {
    const name = `${prefix}-${id}`;
    const text = fixedFields(z.object({ [name]: typedText }), { [name]: typed[name] }, check)?.[name];
    if (text === undefined) continue;
    const reading = readCount(text, unit);
    if ('sentence' in reading) issue(check, name, reading.sentence);
    else counts.set(id, reading.milli);
  }
  return counts;
}

const ParcelFields = z.object({
  sentOn: day,
  carrier: line(60),
  tracking: line(80),
  note: words(500),
});

/** POST /parcels. @param claims  of the maker, as `q-CLAIM` */
export function parcelForm(claims: readonly TypedLine[]) {
  return z.looseObject({}).transform((typed, check) => {
    const fields = fixedFields(ParcelFields, typed, check);
    const counts = typedCounts(typed, 'q', claims, check);
    const lines = [...counts]
      .filter((entry): entry is [number, number] => entry[1] !== null && entry[1] > 0)
      .map(([claimId, milli]) => ({ claimId, milli }));
    if (lines.length === 0 && counts.size === claims.length && counts.size > 0) {
      issue(check, `q-${claims[0]?.id}`, 'Say how much of what is in the parcel.');
    }
    return fields ? { ...fields, lines } : z.NEVER;
  });
}

/** What is done with the count as a parcel comes in. */
export const COUNTING = ['now', 'as posted', 'later'] as const;

const ArrivalFields = z.object({
  arrivedOn: day,
  note: words(1000),
  counting: choice(COUNTING, 'Say whether it is counted.'),
});

function countsOf(
  typed: Record<string, unknown>,
  lines: readonly TypedLine[],
  check: Issues,
): { lineId: number; milli: number }[] {
  const counts: { lineId: number; milli: number }[] = [];
  for (const [lineId, milli] of typedCounts(typed, 'c', lines, check)) {
    if (milli === null) issue(check, `c-${lineId}`, 'Count it; 0 where there is none.');
    else counts.push({ lineId, milli });
  }
  return counts;
}

/** POST /receiving/parcels/:id/arrival. @param lines  of the parcel, as `c-LINE` */
export function arrivalForm(lines: readonly (TypedLine & { milli: number })[]) {
  return z.looseObject({}).transform((typed, check) => {
    const fields = fixedFields(ArrivalFields, typed, check);
    if (!fields) return z.NEVER;
    const { counting, ...arrival } = fields;
    const posted = lines.map(({ id, milli }) => ({ lineId: id, milli }));
    const counts = counting === 'now' ? countsOf(typed, lines, check) : counting === 'later' ? null : posted;
    return { ...arrival, counts };
  });
}

/** POST /receiving/parcels/:id/count */
export function countForm(lines: readonly TypedLine[]) {
  return z.looseObject({}).transform((typed, check) => {
    const fields = fixedFields(z.object({ note: words(1000) }), typed, check);
    const counts = countsOf(typed, lines, check);
    return fields ? { ...fields, counts } : z.NEVER;
  });
}

/** A button and nothing else. */
export const ButtonForm = z.object({});

export const WriteOffForm = z.object({ note: words(1000, 'Say in a word why.') });

export const GiveUpForm = z.object({
  quantity: line(40, 'Type how much.'),
  words: words(1000, 'Say in a word what happened.'),
});

const CheckFields = z.object({
  disposition: choice(DISPOSITIONS, 'Choose what becomes of it.'),
  reason: words(1000),
  gauge: line(80),
});

/** What a form of an inspection comes to. */
export interface TypedCheck {
  units: CheckedUnits;
  disposition: Disposition;
  reason: string;
  gauge: string;
  values: Measured[];
}

/**
 * POST /receiving/lines/:id/checks: pieces by their numbers in `units`, anything else by `quantity` with what was seen
 * `waiting` in thousandths; measured values as `v-CHARACTERISTIC`, a tick that one is really so as `sure-CHARACTERISTIC`.
 *
 * @param needOf  which dimensions a piece must have measured to be accepted as drawn
 */
export function checkForm(
  dimensions: readonly Gauged[],
  unit: Unit,
  shown: LengthUnit,
  needOf: (unitNo: number) => 'every' | 'key' = () => 'key',
) {
  return z.looseObject({}).transform((typed, check): TypedCheck => {
    const fields = fixedFields(CheckFields, typed, check);
    const units = typedUnits(typed, unit, check);
    const need = units && 'unitNos' in units && units.unitNos.some((no) => needOf(no) === 'every');
    const judged = judgedValues(typed, fields, dimensions, shown, need ? 'every' : 'key', check);
    return fields && judged && units ? { units, ...fields, values: judged } : z.NEVER;
  });
}

/** Reads and judges what is typed of one unit beside its disposition; null where the disposition is missing. */
function judgedValues(
  typed: Record<string, unknown>,
  fields: { disposition: Disposition; reason: string; gauge: string } | null,
  dimensions: readonly Gauged[],
  shown: LengthUnit,
  need: 'every' | 'key',
  check: Issues,
): Measured[] | null {
  const typedValues = typedValuesOf(typed, dimensions, check);
  if (!fields) return null;
  const { disposition, reason, gauge } = fields;
  if (disposition !== 'accept' && !reason) {
    issue(check, 'reason', 'Say why it is not accepted as drawn.');
  }
  const sure = new Set(dimensions.filter(({ id }) => tick.parse(typed[`sure-${id}`])).map(({ id }) => id));
  const { values, errors, questions } = judge(typedValues, dimensions, disposition, shown, sure, need);
  for (const [id, sentence] of errors) issue(check, `v-${id}`, sentence);
  for (const id of questions.keys()) issue(check, `sure-${id}`, 'Tick this if it is really so.');
  if (values.length && !gauge) issue(check, 'gauge', 'Say what it was measured with.');
  return values;
}

const CorrectionFields = CheckFields.extend({ why: words(1000, 'Say what was wrong, and how it is known.') });

/** POST /receiving/checks/:id/correction. @param need  as for the inspection itself */
export function checkCorrectionForm(dimensions: readonly Gauged[], shown: LengthUnit, need: 'every' | 'key') {
  return z.looseObject({}).transform((typed, check) => {
    const fields = fixedFields(CorrectionFields, typed, check);
    const values = judgedValues(typed, fields, dimensions, shown, need, check);
    const version =
      typeof typed.version === 'string' && /^\d{1,9}$/.test(typed.version) ? Number(typed.version) : 0;
    return fields && values ? { ...fields, values, version } : z.NEVER;
  });
}

function typedValuesOf(
  typed: Record<string, unknown>,
  dimensions: readonly Gauged[],
  check: Issues,
): Map<number, string> {
  const values = new Map<number, string>();
  const known = new Set(dimensions.map(({ id }) => `v-${id}`));
  for (const [name, text] of Object.entries(typed)) {
    if (!name.startsWith('v-')) continue;
    if (!known.has(name))
      issue(check, '_form', 'A value is of another drawing than these units were made to.');
    else if (typeof text !== 'string') issue(check, name, 'Send this as text.');
    else values.set(Number(name.slice(2)), text);
  }
  return values;
}

function typedUnits(typed: Record<string, unknown>, unit: Unit, check: Issues): CheckedUnits | null {
  if (unit === 'piece') {
    const text = typeof typed.units === 'string' ? typed.units.trim() : '';
    if (/^[1-9]\d{0,8}(,[1-9]\d{0,8}){0,999}$/.test(text)) return { unitNos: text.split(',').map(Number) };
    issue(check, 'units', 'Say which pieces this is about.');
    return null;
  }
  const text = fixedFields(z.object({ quantity: typedText }), { quantity: typed.quantity }, check)?.quantity;
  if (text === undefined) return null;
  const reading = readCount(text, unit);
  if ('sentence' in reading) issue(check, 'quantity', reading.sentence);
  else if (!reading.milli) issue(check, 'quantity', 'Type how much this is about.');
  else {
    const waiting =
      typeof typed.waiting === 'string' && /^\d{1,10}$/.test(typed.waiting) ? typed.waiting : '-1';
    return { milli: reading.milli, waitingMilli: Number(waiting) };
  }
  return null;
}
