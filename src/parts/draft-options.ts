import { z } from 'zod';
import { choice, line, optionalNumber, tick } from '../platform/http/fields.ts';
import type { ColumnGuess } from './import-columns.ts';
import { usualImportOptions } from './import-plan.ts';
import { importDelimiters } from './import-table.ts';
import { importEncodings } from './import-text.ts';
import {
  type ColumnMapping,
  type ImportField,
  type ImportOptions,
  importFields,
  type UseAnswer,
} from './import-types.ts';
import { isCurrency } from './money.ts';
import { partKinds } from './part.ts';
import { readNumber } from './typed-number.ts';

const massUnits = ['mg', 'g', 'kg', 't', 'oz', 'lb'] as const;

const encodings = importEncodings.map(({ label }) => label) as [string, ...string[]];
export const delimiterWords = importDelimiters.map(({ name }) => name) as [string, ...string[]];

/** A column's number counted from 0, or nothing: this list does not have it. */
const column = line(4).transform((text, check) => {
  if (text === '') return null;
  if (!/^\d{1,3}$/.test(text)) check.addIssue('Choose a column of the list.');
  return Number(text);
});

/** How a person says that a list is to be read. */
export const DraftForm = z.object({
  encoding: choice(['guess', ...encodings]),
  delimiter: choice(['guess', ...delimiterWords]),
  header: choice(['guess', 'line', 'none']),
  headerLine: optionalNumber({ min: 1, max: 100_000, whole: true }),
  quotes: choice(['enclose', 'inch']),
  ...(Object.fromEntries(importFields.map((field) => [`column-${field}`, column])) as Record<
    `column-${ImportField}`,
    typeof column
  >),
  decimalMark: choice(['guess', 'dot', 'comma']),
  quantityIs: choice(['total', 'each']),
  priceIs: choice(['pack', 'unit']),
  listCurrency: line(3, 'Three letters, like EUR.').transform((text, check) => {
    const code = text.toUpperCase();
    if (text !== '' && !isCurrency(code)) check.addIssue('Three letters, like EUR.');
    return code;
  }),
  exchangeRate: line(20).superRefine((text, check) => {
    if (text === '') return;
    const reading = readNumber(text);
    if (!reading.ok) check.addIssue(reading.sentence);
    else if (reading.value.numerator <= 0n) check.addIssue('A rate is above zero.');
  }),
  massUnit: choice(massUnits),
  usualKind: choice(partKinds),
  createAssemblies: tick,
  tidyNumbers: tick,
  repeatedNumbers: choice(['refuse', 'further-use']),
});

/** What is kept with a draft; everything is optional, because a draft begins with nothing said. */
const Stored = z.object({
  encoding: z.string().optional(),
  delimiter: z.enum([',', ';', '\t', '|']).optional(),
  headerLine: z.number().nullable().optional(),
  quotes: z.boolean().optional(),
  /** the columns, good only for a list with this header */
  columns: z.record(z.string(), z.number().nullable()).optional(),
  header: z.array(z.string()).optional(),
  reading: z
    .object({
      decimalMark: z.enum(['guess', 'dot', 'comma']),
      quantityIs: z.enum(['total', 'each']),
      priceIs: z.enum(['pack', 'unit']),
      listCurrency: z.string(),
      exchangeRate: z.string(),
      massUnit: z.enum(massUnits),
      usualKind: z.enum(partKinds),
      createAssemblies: z.boolean(),
      tidyNumbers: z.boolean(),
      repeatedNumbers: z.enum(['refuse', 'further-use']),
    })
    .optional(),
  answers: z.array(z.object({ line: z.number(), assembly: z.string(), quantity: z.string() })).optional(),
});

export type DraftOptions = z.output<typeof Stored>;

export function readDraftOptions(json: string): DraftOptions {
  return Stored.parse(JSON.parse(json));
}

/**
 * What a form says, as it is kept.
 *
 * @param mapping, header  the columns with what the person chose put over them, and the header they were chosen for
 */
export function optionsOfForm(
  form: z.output<typeof DraftForm>,
  mapping: ColumnMapping,
  header: readonly string[],
  answers: readonly UseAnswer[],
): DraftOptions {
  return {
    encoding: form.encoding === 'guess' ? undefined : form.encoding,
    delimiter: importDelimiters.find(({ name }) => name === form.delimiter)?.sign,
    headerLine: form.header === 'guess' ? undefined : form.header === 'none' ? null : (form.headerLine ?? 1),
    quotes: form.quotes === 'enclose',
    columns: { ...mapping },
    header: [...header],
    reading: {
      decimalMark: form.decimalMark,
      quantityIs: form.quantityIs,
      priceIs: form.priceIs,
      listCurrency: form.listCurrency,
      exchangeRate: form.exchangeRate,
      massUnit: form.massUnit,
      usualKind: form.usualKind,
      createAssemblies: form.createAssemblies,
      tidyNumbers: form.tidyNumbers,
      repeatedNumbers: form.repeatedNumbers,
    },
    answers: [...answers],
  };
}

/** The columns that a form says otherwise than they were shown. */
export function chosenColumns(
  form: z.output<typeof DraftForm>,
  shown: ColumnMapping,
): Partial<ColumnMapping> {
  const said = importFields.map((field) => [field, form[`column-${field}`]] as const);
  return Object.fromEntries(said.filter(([field, column]) => column !== shown[field]));
}

/** Kept options as the form shows them. */
export function formOfOptions(
  options: DraftOptions,
  mapping: ColumnMapping,
  reading: ImportOptions,
): Record<string, unknown> {
  const { answers: _, ...rest } = reading;
  return {
    encoding: options.encoding ?? 'guess',
    delimiter: importDelimiters.find(({ sign }) => sign === options.delimiter)?.name ?? 'guess',
    header: options.headerLine === undefined ? 'guess' : options.headerLine === null ? 'none' : 'line',
    headerLine: options.headerLine ?? '',
    quotes: options.quotes === false ? 'inch' : 'enclose',
    ...Object.fromEntries(importFields.map((field) => [`column-${field}`, mapping[field] ?? ''])),
    ...rest,
  };
}

/** How the figures of a list are read: what the person said, else what its header hints at, else the usual. */
export function readingOf(
  options: DraftOptions,
  hints: ColumnGuess['hints'],
  currency: string,
): ImportOptions {
  return {
    ...usualImportOptions(currency),
    ...hints,
    ...options.reading,
    answers: options.answers ?? [],
  };
}
