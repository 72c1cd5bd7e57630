import type { Tx } from '../platform/database.ts';
import { type Part, type PartFields, partFieldNames } from './part.ts';
import { partNumberKey } from './part-number.ts';
import { buildStructure, type Structure } from './structure-graph.ts';

/** Where rows may be read: the open transaction of an act, or what is committed (db.read). */
export type Reader = Pick<Tx, 'part' | 'use' | 'job' | 'material' | 'process' | 'build' | 'act'>;

type Row = Omit<Part, 'kind' | 'unit'> & { kind: string; unit: string; numberKey: string };

function asPart({ numberKey: _, ...row }: Row): Part {
  return row as Part;
}

/** A part by its id, removed ones too; null when there is none. */
export async function readPart(reader: Reader, id: number): Promise<Part | null> {
  const row = await reader.part.findUnique({ where: { id } });
  return row && asPart(row);
}

/** A part by its number in any case, removed ones too; null when there is none. */
export async function partByNumber(reader: Reader, number: string): Promise<Part | null> {
  const row = await reader.part.findUnique({ where: { numberKey: partNumberKey(number) } });
  return row && asPart(row);
}

/** Parts of exactly this name, removed ones left out; two at most are told. */
export async function partsByName(reader: Reader, name: string): Promise<Part[]> {
  const rows = await reader.part.findMany({
    where: { name: { equals: name }, removedAt: null },
    orderBy: { id: 'asc' },
    take: 2,
  });
  return rows.map(asPart);
}

/** Every number ever given, removed parts' too: none is given twice. */
export async function usedNumbers(reader: Reader): Promise<string[]> {
  const rows = await reader.part.findMany({ select: { number: true } });
  return rows.map(({ number }) => number);
}

/** A structure line; null when there is none. */
export interface Use {
  id: number;
  parentId: number;
  childId: number;
  milli: number;
  note: string;
}

export async function readUse(reader: Reader, id: number): Promise<Use | null> {
  return reader.use.findUnique({ where: { id } });
}

export async function useBetween(reader: Reader, parentId: number, childId: number): Promise<Use | null> {
  return reader.use.findUnique({ where: { parentId_childId: { parentId, childId } } });
}

/** The parts a part goes into, removed ones left out. */
export async function parentsOf(reader: Reader, childId: number): Promise<{ id: number; number: string }[]> {
  const rows = await reader.use.findMany({
    where: { childId, parent: { removedAt: null } },
    select: { parent: { select: { id: true, number: true } } },
    orderBy: { parent: { numberKey: 'asc' } },
  });
  return rows.map(({ parent }) => parent);
}

/** How many lines a part has, with removed parts at the other end left out. */
export async function countChildren(reader: Reader, parentId: number): Promise<number> {
  return reader.use.count({ where: { parentId, child: { removedAt: null } } });
}

/**
 * The structure as an act sees it, with what it has itself changed so far.
 *
 * @param alsoPartId  a removed part to be counted as if it were there
 */
export async function structureInAct(
  tx: Reader,
  alsoPartId?: number,
): Promise<{ structure: Structure; numberOf: (id: number) => string }> {
  const parts = await tx.part.findMany({
    where: { OR: [{ removedAt: null }, ...(alsoPartId ? [{ id: alsoPartId }] : [])] },
    select: { id: true, number: true, unit: true },
  });
  const numbers = new Map(parts.map(({ id, number }) => [id, number]));
  const uses = await tx.use.findMany({ select: { parentId: true, childId: true, milli: true } });
  return {
    structure: buildStructure(
      parts.map(({ id, unit }) => ({ id, unit: unit as Part['unit'] })),
      uses
        .filter(({ parentId, childId }) => numbers.has(parentId) && numbers.has(childId))
        .map(({ parentId, childId, milli }) => ({ parentId, childId, quantityMilli: milli })),
    ),
    numberOf: (id) => numbers.get(id) ?? `#${id}`,
  };
}

export interface BuildFacts {
  prefix: string;
  currency: string;
  timeZone: string;
}

export async function buildFacts(reader: Reader): Promise<BuildFacts> {
  const row = await reader.build.findUniqueOrThrow({
    where: { id: 1 },
    select: { partPrefix: true, currency: true, timeZone: true },
  });
  return { prefix: row.partPrefix, currency: row.currency, timeZone: row.timeZone };
}

/** The fields that would change, as they are and as they would be. */
export function fieldChanges(
  part: PartFields,
  fields: Partial<PartFields>,
): { before: Partial<PartFields>; after: Partial<PartFields> } {
  const changed = partFieldNames.filter((name) => fields[name] !== undefined && fields[name] !== part[name]);
  const pick = (from: Partial<PartFields>) =>
    Object.fromEntries(changed.map((name) => [name, from[name]])) as Partial<PartFields>;
  return { before: pick(part), after: pick(fields) };
}
