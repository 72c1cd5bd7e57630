import { readFileSync } from 'node:fs';
import { takeFromPlan } from '../../src/parts/import-choice.ts';
import { guessColumns } from '../../src/parts/import-columns.ts';
import { planImport, usualImportOptions } from '../../src/parts/import-plan.ts';
import { type ImportTable, type ImportTableOptions, readImportTable } from '../../src/parts/import-table.ts';
import { readImportText } from '../../src/parts/import-text.ts';
import type {
  ColumnMapping,
  ImportOptions,
  ImportPlan,
  KnownBuild,
  KnownPart,
} from '../../src/parts/import-types.ts';

/**
 * 17 rows of the public master parts list of an open-source rover (Apache-2.0), as tests/checks/real/README.md says.
 * Nobody on this project wrote it.
 */
export function roverBytes(): Uint8Array {
  return readFileSync(new URL('../checks/real/rover_master_excerpt.csv', import.meta.url));
}

export function tableOf(text: string, options?: ImportTableOptions): ImportTable {
  const reading = readImportTable(text, options);
  if (!reading.ok) throw new Error(reading.sentence);
  return reading.table;
}

export function roverTable(): ImportTable {
  const text = readImportText(roverBytes());
  if (!text.ok) throw new Error(text.sentence);
  return tableOf(text.text);
}

export const emptyBuild: KnownBuild = { prefix: 'OR', currency: 'EUR', parts: [], uses: [] };

export function aPart(over: Partial<KnownPart> & { id: number; number: string }): KnownPart {
  return {
    name: over.number,
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
    ...over,
  };
}

/** The plan of a list given as text, its columns guessed unless some are chosen. */
export function planOf(
  text: string,
  build: Partial<KnownBuild> = {},
  options: Partial<ImportOptions> = {},
  chosen: Partial<ColumnMapping> = {},
): ImportPlan {
  const table = tableOf(text);
  const { mapping, hints } = guessColumns(table);
  const whole = { ...emptyBuild, ...build };
  const all = { ...usualImportOptions(whole.currency), ...hints, ...options };
  return planImport(table, { ...mapping, ...chosen }, whole, all);
}

/** The build after all of a plan but the bad rows has been taken: what a store would do, kept in memory. */
export function taken(plan: ImportPlan, before: KnownBuild, unusual: 'all' | 'none' = 'all'): KnownBuild {
  const choice = takeFromPlan(plan, { unusual, despiteBad: true, leaveOut: [] });
  if (!choice.ok) return before;
  const parts = new Map(before.parts.map((part) => [part.id, part]));
  const uses = new Map(before.uses.map((use) => [`${use.parentId} ${use.childId}`, use]));
  let nextId = Math.max(0, ...parts.keys()) + 1;
  const byLine = new Map<number, number>();
  const byNumber = new Map<string, number>();
  const { assemblies, parts: lines, uses: wanted } = choice.taking;
  for (const { number, name } of assemblies) {
    byNumber.set(number, nextId);
    parts.set(nextId, aPart({ id: nextId, number, name, kind: 'assembly' }));
    nextId += 1;
  }
  for (const { line, part, partId } of lines) {
    if (part === null) continue;
    const id = partId ?? nextId++;
    byLine.set(line, id);
    parts.set(id, { ...part, id });
  }
  for (const { line, use } of wanted) {
    const childId = line.partId ?? byLine.get(line.sameAsLine ?? line.line);
    const { parent } = use;
    const parentId =
      'part' in parent
        ? parent.part
        : 'line' in parent
          ? byLine.get(parent.line)
          : byNumber.get(parent.newAssembly);
    if (childId === undefined || parentId === undefined)
      throw new Error(`a use of line ${line.line} hangs nowhere`);
    uses.set(`${parentId} ${childId}`, { parentId, childId, quantityMilli: use.quantityMilli });
  }
  const keys = [...parts.values()].map(({ number }) => number.toUpperCase());
  if (new Set(keys).size !== keys.length)
    throw new Error(`a part number is given twice: ${keys.sort().join(' ')}`);
  return { ...before, parts: [...parts.values()], uses: [...uses.values()] };
}
