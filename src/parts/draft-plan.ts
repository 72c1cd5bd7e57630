import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import type { FileStore } from '../platform/files.ts';
import { type DraftOptions, readDraftOptions, readingOf } from './draft-options.ts';
import { guessColumns } from './import-columns.ts';
import { planImport } from './import-plan.ts';
import { type ImportTable, readImportTable } from './import-table.ts';
import { readImportText } from './import-text.ts';
import {
  type ColumnMapping,
  type ImportOptions,
  type ImportPlan,
  importFields,
  type KnownBuild,
  textKey,
} from './import-types.ts';
import type { Part } from './part.ts';
import { buildFacts, type Reader } from './store.ts';

/** A list that was uploaded and waits for the person's word. */
export interface Draft {
  id: number;
  personId: number;
  name: string;
  sha256: string;
  options: DraftOptions;
  /** nothing was said about it yet */
  untouched: boolean;
  createdAt: Date;
  takenAt: Date | null;
}

type DraftReader = Reader & {
  importDraft: { findUnique(args: { where: { id: number } }): Promise<DraftRow | null> };
};
interface DraftRow extends Omit<Draft, 'options' | 'untouched'> {
  options: string;
}

export async function readDraft(reader: DraftReader, id: number): Promise<Draft | null> {
  const row = await reader.importDraft.findUnique({ where: { id } });
  if (!row) return null;
  return { ...row, options: readDraftOptions(row.options), untouched: row.options === '{}' };
}

/** The table of a list as far as it can be read. */
export type DraftTable =
  | {
      ok: true;
      table: ImportTable;
      encoding: string;
      how: 'chosen' | 'mark' | 'recognised' | 'assumed';
      mapping: ColumnMapping;
      reading: ImportOptions;
    }
  | { ok: false; sentence: string; field: string };

/** Reads the bytes of a list as the person said, guessing what was not said. */
export function readDraftTable(bytes: Uint8Array, options: DraftOptions, currency: string): DraftTable {
  const text = readImportText(bytes, options.encoding);
  if (!text.ok) return { ok: false, sentence: text.sentence, field: 'encoding' };
  const read = readImportTable(text.text, {
    delimiter: options.delimiter,
    headerLine: options.headerLine,
    quotes: options.quotes,
  });
  if (!read.ok) {
    const field =
      read.code === 'open-quote' ? 'quotes' : read.code === 'no-header' ? 'headerLine' : 'delimiter';
    return { ok: false, sentence: read.sentence, field };
  }
  const { table } = read;
  const guess = guessColumns(table);
  const mapping = chosenMapping(options, table.header) ?? guess.mapping;
  return {
    ok: true,
    table,
    encoding: text.encoding,
    how: text.how,
    mapping,
    reading: readingOf(options, guess.hints, currency),
  };
}

/** The columns a person chose, where they chose them for a list that had this header. */
function chosenMapping({ columns, header }: DraftOptions, now: readonly string[]): ColumnMapping | null {
  if (!columns || header?.join('\n') !== now.join('\n')) return null;
  return Object.fromEntries(importFields.map((field) => [field, columns[field] ?? null])) as ColumnMapping;
}

/** A kept list's bytes: at most a few MB. */
export function draftBytes(files: FileStore, sha256: string): Promise<Buffer> {
  return readFile(files.pathOf(sha256));
}

/** The build as a plan needs it, with the libraries' own spellings. */
export interface BuildNow {
  known: KnownBuild;
  parts: ReadonlyMap<number, Part>;
  materials: ReadonlyMap<string, { id: number; name: string }>;
  processes: ReadonlyMap<string, { id: number; name: string }>;
}

export async function readBuildNow(reader: Reader): Promise<BuildNow> {
  const { prefix, currency } = await buildFacts(reader);
  const rows = (await reader.part.findMany({ orderBy: { numberKey: 'asc' } })) as unknown as Part[];
  // Entries taken out of the libraries as well: a part may still have one, and its name must be known again.
  const names = { select: { id: true, name: true } } as const;
  const materials = await reader.material.findMany(names);
  const processes = await reader.process.findMany(names);
  const nameIn = (names: readonly { id: number; name: string }[]) => {
    const byId = new Map(names.map(({ id, name }) => [id, name]));
    return (id: number | null) => (id === null ? '' : (byId.get(id) ?? ''));
  };
  const materialName = nameIn(materials);
  const processName = nameIn(processes);
  const active = rows.filter(({ removedAt }) => removedAt === null);
  const ids = new Set(active.map(({ id }) => id));
  const uses = await reader.use.findMany({ select: { parentId: true, childId: true, milli: true } });
  return {
    known: {
      prefix,
      currency,
      parts: active.map((part) => ({
        id: part.id,
        number: part.number,
        name: part.name,
        kind: part.kind,
        unit: part.unit,
        // A list says a note in one line; the same words on several lines are no change.
        note: part.note.replace(/\s+/g, ' ').trim(),
        supplier: part.supplier,
        supplierNumber: part.supplierNumber,
        packMilli: part.packMilli,
        priceCents: part.priceCents,
        massGrams: part.massGrams,
        material: materialName(part.materialId),
        process: processName(part.processId),
        listedMilli: part.listedMilli,
      })),
      uses: uses
        .filter(({ parentId, childId }) => ids.has(parentId) && ids.has(childId))
        .map(({ parentId, childId, milli }) => ({ parentId, childId, quantityMilli: milli })),
      retiredNumbers: rows.filter(({ removedAt }) => removedAt !== null).map(({ number }) => number),
    },
    parts: new Map(active.map((part) => [part.id, part])),
    materials: new Map(materials.map((one) => [textKey(one.name), one])),
    processes: new Map(processes.map((one) => [textKey(one.name), one])),
  };
}

/** What taking the list would do to the build as it is. */
export function planDraft(draft: DraftTable & { ok: true }, build: BuildNow): ImportPlan {
  return planImport(
    { ...draft.table, rows: asMeant(draft.table.rows, draft.mapping, build) },
    draft.mapping,
    build.known,
    draft.reading,
  );
}

/**
 * Cells as they are meant: materials and processes as the libraries write them, so that a capital letter more is no
 * change; and without the apostrophe that keeps a spreadsheet from taking a text for a formula.
 */
function asMeant(
  rows: ImportTable['rows'],
  mapping: ColumnMapping,
  build: Pick<BuildNow, 'materials' | 'processes'>,
): ImportTable['rows'] {
  return rows.map((row) => {
    const cells = row.cells.map((cell) => cell.replace(/^'(?=[=+\-@])/, ''));
    for (const [column, names] of [
      [mapping.material, build.materials],
      [mapping.process, build.processes],
    ] as const) {
      const known = column === null ? undefined : names.get(textKey(cells[column] ?? ''));
      if (column !== null && known) cells[column] = known.name;
    }
    return { ...row, cells };
  });
}

/** Two plans with one mark do the same: the person's word holds for what the person saw. */
export function planMark(plan: ImportPlan): string {
  return createHash('sha256')
    .update(JSON.stringify([plan.lines, plan.newAssemblies]))
    .digest('hex')
    .slice(0, 32);
}
