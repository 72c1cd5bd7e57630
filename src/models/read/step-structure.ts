import { type AssemblyNode, Unreadable } from '../facts.ts';
import { headerValues, idOf, type StepEntity, stepEntities, textOf, textsOf } from './step-text.ts';

export interface StepStructure {
  schemas: string[];
  name: string;
  writtenAt: string;
  entities: number;
  /** the lengths' unit, with sentences where it is not plain */
  unit: string | null;
  warnings: string[];
  tree: AssemblyNode[];
}

const mostNodes = 20_000;
const mostLevels = 60;
/** More than this takes the kernel longer and more memory than a model may. */
const mostEntities = 600_000;

const wantedTypes =
  /^(?:PRODUCT|PRODUCT_DEFINITION|PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS|PRODUCT_DEFINITION_FORMATION\w*|NEXT_ASSEMBLY_USAGE_OCCURRENCE|PRODUCT_DEFINITION_SHAPE|SHAPE_DEFINITION_REPRESENTATION)$|LENGTH_UNIT|GLOBAL_UNIT_ASSIGNED_CONTEXT/;

/**
 * What the text of a STEP file says beside its geometry: header, unit, products and what they are put together from.
 *
 * @throws Unreadable  more entities than are read
 * Source: ISO 10303-21 for the text, ISO 10303-41 and -44 for products and usages, from memory.
 */
export function stepStructure(text: string): StepStructure {
  const { kept, count } = stepEntities(text, (type) => wantedTypes.test(type));
  if (count > mostEntities) {
    throw new Unreadable(
      `The STEP file has ${count.toLocaleString('en')} entities; at most ${mostEntities.toLocaleString('en')} are read.`,
    );
  }
  const [name, writtenAt] = headerValues(text, 'FILE_NAME');
  const { unit, warnings } = lengthUnit(kept);
  return {
    schemas: textsOf(headerValues(text, 'FILE_SCHEMA')[0]),
    // Often with the whole path on the writer's machine, which concerns nobody here.
    name: textOf(name).split(/[/\\]/).at(-1)!.trim(),
    writtenAt: textOf(writtenAt),
    entities: count,
    unit,
    warnings,
    tree: assemblyTree(kept),
  };
}

const prefixes: Readonly<Record<string, string>> = {
  '.MILLI.': 'mm',
  '.CENTI.': 'cm',
  '.DECI.': 'dm',
  '.MICRO.': 'µm',
  '.KILO.': 'km',
  $: 'm',
};

const customary: Readonly<Record<string, string>> = {
  INCH: 'in',
  FOOT: 'ft',
  YARD: 'yd',
  MIL: 'mil',
  MILLIMETRE: 'mm',
  MILLIMETER: 'mm',
  METRE: 'm',
  METER: 'm',
};

/** The unit of length that the geometry's contexts name. */
function lengthUnit(entities: Map<number, StepEntity>): { unit: string | null; warnings: string[] } {
  const units = new Set<string>();
  for (const { parts } of entities.values()) {
    const context = parts.find(({ type }) => type === 'GLOBAL_UNIT_ASSIGNED_CONTEXT');
    const [list] = context?.items ?? [];
    if (list?.kind !== 'list') continue;
    for (const item of list.items) {
      const unit = entities.get(idOf(item) ?? -1);
      if (unit?.parts.some(({ type }) => type === 'LENGTH_UNIT')) units.add(unitName(unit));
    }
  }
  const [unit] = units;
  if (unit === undefined) return { unit: null, warnings: ['The file names no unit of length.'] };
  return units.size === 1
    ? { unit, warnings: [] }
    : { unit: null, warnings: [`The file has lengths in ${[...units].join(' and ')}.`] };
}

function unitName({ parts }: StepEntity): string {
  const si = parts.find(({ type }) => type === 'SI_UNIT');
  if (si) {
    const [prefix] = si.items;
    const word = prefix?.kind === 'word' ? prefix.word.toUpperCase() : '$';
    return prefixes[word] ?? `${word.replace(/\./g, '').toLowerCase()}metre`;
  }
  const named = textOf(parts.find(({ type }) => type === 'CONVERSION_BASED_UNIT')?.items[0]).trim();
  return customary[named.toUpperCase()] ?? (named.toLowerCase() || 'a unit without a name');
}

interface Product {
  name: string;
  number: string | null;
  description: string | null;
}

/** Products by levels with how many of each, in the order in which they are first used. */
function assemblyTree(entities: Map<number, StepEntity>): AssemblyNode[] {
  const uses = new Map<number, Map<number, number>>();
  const used = new Set<number>();
  const definitions: number[] = [];
  const shaped = new Set<number>();
  for (const { id, type, items } of entities.values()) {
    if (/^PRODUCT_DEFINITION(?:_WITH_ASSOCIATED_DOCUMENTS)?$/.test(type)) definitions.push(id);
    if (type === 'SHAPE_DEFINITION_REPRESENTATION') {
      const shape = entities.get(idOf(items[0]) ?? -1);
      if (shape?.type === 'PRODUCT_DEFINITION_SHAPE') shaped.add(idOf(shape.items[2]) ?? -1);
    }
    if (type !== 'NEXT_ASSEMBLY_USAGE_OCCURRENCE') continue;
    const whole = idOf(items[3]);
    const piece = idOf(items[4]);
    if (whole === null || piece === null) continue;
    const pieces = uses.get(whole) ?? new Map<number, number>();
    pieces.set(piece, (pieces.get(piece) ?? 0) + 1);
    uses.set(whole, pieces);
    used.add(piece);
  }
  let nodes = 0;
  const grown = (id: number, quantity: number, above: readonly number[]): AssemblyNode => {
    nodes += 1;
    if (nodes > mostNodes) {
      throw new Unreadable(`The assembly has more than ${mostNodes.toLocaleString('en')} places.`);
    }
    if (above.includes(id)) throw new Unreadable('A product of the STEP file is a piece of itself.');
    if (above.length > mostLevels)
      throw new Unreadable(`The assembly is more than ${mostLevels} levels deep.`);
    const pieces = [...(uses.get(id) ?? [])];
    return {
      ...productOf(entities, id),
      quantity,
      children: pieces.map(([piece, count]) => grown(piece, count, [...above, id])),
    };
  };
  // A product without a shape is a material or a document of another one.
  const tops = definitions.filter(
    (id) => !used.has(id) && (shaped.size === 0 || shaped.has(id) || uses.has(id)),
  );
  // Where everything is a piece of something there is a circle; it is met on the way from any of them.
  return (tops.length > 0 ? tops : definitions.slice(0, 1)).map((id) => grown(id, 1, []));
}

function productOf(entities: Map<number, StepEntity>, definition: number): Product {
  const formation = entities.get(idOf(entities.get(definition)?.items[2]) ?? -1);
  const [id, name, description] = entities.get(idOf(formation?.items[2]) ?? -1)?.items ?? [];
  const number = textOf(id).trim();
  const shown = textOf(name).trim() || number;
  return {
    name: shown,
    number: number !== '' && number !== shown ? number : null,
    description: textOf(description).trim() || null,
  };
}
