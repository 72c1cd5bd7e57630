import { createHash } from 'node:crypto';
import type { AssemblyNode } from '../models/index.ts';

/** A part of the build as a model's products are held against it. */
export interface KnownPart {
  id: number;
  number: string;
  name: string;
  /** whether parts go into it at all: assemblies and made parts */
  holdsParts: boolean;
}

export interface KnownUse {
  id: number;
  parentId: number;
  childId: number;
  milli: number;
}

/** A product that the model names, once, wherever it stands in it. */
export interface Product {
  /** the same for the same product when the model is read again */
  key: string;
  /** its field in a form, where it can be said which part it is */
  field: string;
  name: string;
  number: string | null;
  /** it is put together from others */
  isAssembly: boolean;
  /** the part it is; null where none is called so */
  part: KnownPart | null;
  /** parts that are all called so: which one must be said */
  alike: KnownPart[];
}

export type LineState = 'same' | 'new line' | 'other quantity' | 'not in the model';

/** A line of the structure as the model has it, beside the line that is there. */
export interface ProposedLine {
  key: string;
  parent: Product;
  child: Product;
  /** in pieces; 0 where the model has none */
  inModel: number;
  /** null where there is no line */
  use: KnownUse | null;
  state: LineState;
}

export interface Proposal {
  top: Product;
  /** an assembly's lines stand together, the top's first */
  lines: ProposedLine[];
  /** bought and stock parts that the model takes apart: what is inside them is not proposed */
  closed: Product[];
}

const fold = (text: string) => text.normalize('NFKC').trim().replace(/\s+/g, ' ').toLowerCase();

/**
 * What the structure would be by an assembly's model, held against what it is. Pure; reading the same model again after
 * it was taken proposes nothing.
 *
 * A product is known again by its number, then by what was said of it, then by its name; capitals and blanks don't
 * matter. The model's top is the part whose model it is.
 *
 * @param tree  the products of the model; with several tops, they all go into the part
 * @param said  parts by the key of the product that somebody said they are
 */
export function proposeStructure(
  tree: readonly AssemblyNode[],
  top: KnownPart,
  parts: readonly KnownPart[],
  uses: readonly KnownUse[],
  said: ReadonlyMap<string, number> = new Map(),
): Proposal {
  const match = matcher(parts, said);
  const products = new Map<string, Product>();
  const contents = new Map<Product, Map<Product, number>>();
  const productOf = (node: AssemblyNode): Product => {
    const key = `${fold(node.number ?? '')}|${fold(node.name)}`;
    let product = products.get(key);
    if (!product) {
      const { name, number } = node;
      product = {
        key,
        field: fieldOf(key),
        name,
        number,
        isAssembly: node.children.length > 0,
        ...match(node, key),
      };
      products.set(key, product);
    }
    return product;
  };
  const whole: Product = {
    key: '',
    field: fieldOf(''),
    name: top.name,
    number: top.number,
    isAssembly: true,
    part: top,
    alike: [],
  };
  const read = (parent: Product, nodes: readonly AssemblyNode[]): void => {
    // A product that stands in many places has the same contents in each: the first tells.
    if (contents.has(parent)) return;
    const held = new Map<Product, number>();
    contents.set(parent, held);
    for (const node of nodes) {
      const child = productOf(node);
      held.set(child, (held.get(child) ?? 0) + node.quantity);
    }
    for (const node of nodes) if (node.children.length > 0) read(productOf(node), node.children);
  };
  const only = tree.length === 1 ? tree[0] : undefined;
  read(whole, only && only.children.length > 0 ? only.children : tree);

  const lines: ProposedLine[] = [];
  const closed: Product[] = [];
  for (const [parent, held] of contents) {
    if (parent.part && !parent.part.holdsParts) {
      closed.push(parent);
      continue;
    }
    lines.push(...linesOf(parent, held, uses, parts));
  }
  return { top: whole, lines, closed };
}

function linesOf(
  parent: Product,
  held: ReadonlyMap<Product, number>,
  uses: readonly KnownUse[],
  parts: readonly KnownPart[],
): ProposedLine[] {
  const there = parent.part ? uses.filter(({ parentId }) => parentId === parent.part?.id) : [];
  const lines = [...held].map(([child, inModel]): ProposedLine => {
    const use = (child.part && there.find(({ childId }) => childId === child.part?.id)) ?? null;
    const state = !use ? 'new line' : use.milli === inModel * 1000 ? 'same' : 'other quantity';
    return { key: `${parent.key}>${child.key}`, parent, child, inModel, use, state };
  });
  const named = new Set(lines.map(({ use }) => use?.id));
  const partOf = new Map(parts.map((part) => [part.id, part]));
  for (const use of there) {
    const part = partOf.get(use.childId);
    if (named.has(use.id) || !part) continue;
    const child: Product = {
      key: `part ${part.id}`,
      field: fieldOf(`part ${part.id}`),
      name: part.name,
      number: part.number,
      isAssembly: false,
      part,
      alike: [],
    };
    lines.push({ key: `line ${use.id}`, parent, child, inModel: 0, use, state: 'not in the model' });
  }
  return lines;
}

function fieldOf(key: string): string {
  return `as-${createHash('sha256').update(key).digest('hex').slice(0, 12)}`;
}

/** Finds the part that a product is. */
function matcher(parts: readonly KnownPart[], said: ReadonlyMap<string, number>) {
  const byId = new Map(parts.map((part) => [part.id, part]));
  const byNumber = new Map(parts.map((part) => [fold(part.number), part]));
  const byName = new Map<string, KnownPart[]>();
  for (const part of parts) {
    const same = byName.get(fold(part.name));
    if (same) same.push(part);
    else byName.set(fold(part.name), [part]);
  }
  return ({ name, number }: AssemblyNode, key: string): Pick<Product, 'part' | 'alike'> => {
    const numbered =
      (number === null ? undefined : byNumber.get(fold(number))) ??
      byNumber.get(fold(name)) ??
      byId.get(said.get(key) ?? 0);
    if (numbered) return { part: numbered, alike: [] };
    const called = byName.get(fold(name)) ?? [];
    return called.length === 1 ? { part: called[0] ?? null, alike: [] } : { part: null, alike: called };
  };
}

/**
 * The lines to do when some are taken: with each also those that put its assembly in, where that is new itself.
 *
 * @param keys  of the lines taken; what is not proposed any more is left out, as somebody else has done it
 */
export function linesTaken({ lines }: Proposal, keys: ReadonlySet<string>): ProposedLine[] {
  const taken = new Set(lines.filter(({ key, state }) => keys.has(key) && state !== 'same'));
  for (const line of taken) {
    if (line.parent.part) continue;
    // A set that grows while it is gone through: the lines added are looked at too.
    for (const above of lines) if (above.child === line.parent && above.state !== 'same') taken.add(above);
  }
  return lines.filter((line) => taken.has(line));
}
