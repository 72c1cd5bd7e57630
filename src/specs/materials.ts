import type { Act } from '../platform/acts.ts';
import type { Tx } from '../platform/database.ts';
import { freeName, listedEntry, refuseUnlessSeen } from './entry-acts.ts';
import { type MaterialInput, PROPERTIES, type PropertyName } from './entry-forms.ts';

/** A property as an entry keeps it. Low and high are the range of real stock. */
export interface KeptProperty {
  typical: number;
  low?: number;
  high?: number;
  /** the direction the value holds for, and the typical value across it */
  direction?: string;
  across?: number;
  /** temperatures between which an expansion was measured */
  between?: string;
  source: string;
  /** general knowledge, to be checked; published values name where they were seen */
  confidence?: string;
}

/** Everything that is known of a material. */
export interface MaterialEntry {
  id: number;
  name: string;
  family: string;
  properties: Record<PropertyName, KeptProperty | null>;
  water: { note: string; source: string } | null;
  stock: { sizes: string[]; source: string } | null;
  cautions: string[];
  cautionsSource: string;
  source: string;
  removed: boolean;
}

interface KeptData extends Partial<Record<PropertyName, KeptProperty>> {
  water?: { note: string; source: string };
  stock?: { sizes: string[]; source: string };
  cautionsSource?: string;
}

type MaterialRow = Awaited<ReturnType<Tx['material']['findMany']>>[number];

export function materialEntry(row: MaterialRow): MaterialEntry {
  const data = JSON.parse(row.data) as KeptData;
  const property = (name: PropertyName): KeptProperty | null => {
    // swelling has no column: no list of thousands asks for it
    const typical = name === 'swelling' ? (data.swelling?.typical ?? null) : row[name];
    return typical === null ? null : { ...(data[name] ?? { source: row.source }), typical };
  };
  return {
    id: row.id,
    name: row.name,
    family: row.family || 'other',
    properties: {
      density: property('density'),
      expansion: property('expansion'),
      stiffness: property('stiffness'),
      swelling: property('swelling'),
    },
    water: data.water?.note ? data.water : null,
    stock: data.stock?.sizes.length ? data.stock : null,
    cautions: JSON.parse(row.cautions) as string[],
    cautionsSource: data.cautionsSource ?? '',
    source: row.source,
    removed: row.removedAt !== null,
  };
}

/** What a form says, as a row. What the form does not ask (direction, confidence) stays while its value does. */
function rowOf(input: MaterialInput, before: MaterialEntry | null) {
  const data: KeptData = {};
  for (const name of PROPERTIES) {
    const typical = input[name];
    if (typical === null) continue;
    const kept = before?.properties[name];
    const low = input[`${name}Low`];
    const high = input[`${name}High`];
    const source = input[`${name}Source`];
    const { low: _low, high: _high, ...asked } = kept ?? { low: undefined, high: undefined };
    const same = kept?.typical === typical && kept.source === source;
    data[name] = {
      ...asked,
      typical,
      ...(low === null ? {} : { low }),
      ...(high === null ? {} : { high }),
      source,
      confidence: same ? kept.confidence : undefined,
    };
  }
  if (input.water) data.water = { note: input.water, source: input.waterSource };
  if (input.stock.length) data.stock = { sizes: input.stock, source: input.stockSource };
  data.cautionsSource = input.cautionsSource;
  return {
    name: input.name,
    family: input.family,
    density: input.density,
    expansion: input.expansion,
    stiffness: input.stiffness,
    cautions: JSON.stringify(input.cautions),
    source: input.source,
    data: JSON.stringify(data),
  };
}

/** Adds a material to the build's list. @returns its id @throws WrongField name: on the list already */
export async function addMaterial(act: Act, input: MaterialInput): Promise<number> {
  await freeName(act.tx, 'material', input.name);
  const { id } = await act.tx.material.create({ data: rowOf(input, null) });
  await act.log({ kind: 'add-material', thing: { type: 'material', id }, after: input });
  return id;
}

/**
 * Changes a material of the list.
 *
 * @param seen  the last change the editor knew of (lastEntryChange)
 * @throws NotFound, WrongField (name), Refused (changed meanwhile)
 */
export async function changeMaterial(
  act: Act,
  { id, seen, input }: { id: number; seen: number; input: MaterialInput },
): Promise<void> {
  const { tx } = act;
  await listedEntry(tx, 'material', id);
  await refuseUnlessSeen(tx, 'material', id, seen);
  await freeName(tx, 'material', input.name, id);
  const before = materialEntry(await tx.material.findUniqueOrThrow({ where: { id } }));
  await tx.material.update({ where: { id }, data: rowOf(input, before) });
  const { removed: _, ...was } = before;
  await act.log({ kind: 'change-material', thing: { type: 'material', id }, before: was, after: input });
}

/** What a form shows of an entry. */
export function materialValues(entry: MaterialEntry): Record<string, unknown> {
  const { properties } = entry;
  return {
    name: entry.name,
    family: entry.family,
    water: entry.water?.note ?? '',
    waterSource: entry.water?.source ?? '',
    stock: entry.stock?.sizes.join('\n') ?? '',
    stockSource: entry.stock?.source ?? '',
    cautions: entry.cautions.join('\n'),
    cautionsSource: entry.cautionsSource,
    source: entry.source,
    ...Object.fromEntries(
      PROPERTIES.flatMap((name) => {
        const kept = properties[name];
        return [
          [name, kept?.typical ?? ''],
          [`${name}Low`, kept?.low ?? ''],
          [`${name}High`, kept?.high ?? ''],
          [`${name}Source`, kept?.source ?? ''],
        ];
      }),
    ),
  };
}
