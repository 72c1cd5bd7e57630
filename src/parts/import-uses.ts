import { textLimits } from './import-cells.ts';
import { andList } from './import-match.ts';
import { type Assembly, describing, type PlanRow } from './import-row.ts';
import {
  type ImportOptions,
  type ImportUse,
  type KnownPart,
  type PartKind,
  textKey,
} from './import-types.ts';
import { partNumberKey } from './part-number.ts';
import { formatQuantity, parseQuantity } from './quantity.ts';

/** Parts by number and by name, those of the build and those of the list. */
export interface AssemblyNames {
  find(text: string): readonly Assembly[];
}

export function assemblyNames(parts: readonly KnownPart[], rows: readonly PlanRow[]): AssemblyNames {
  const byNumber = new Map<string, Assembly>();
  const byName = new Map<string, Assembly[]>();
  const addName = (name: string, assembly: Assembly) => {
    const key = textKey(name);
    const there = byName.get(key);
    if (key === '') return;
    if (there) there.push(assembly);
    else byName.set(key, [assembly]);
  };
  for (const part of parts) {
    const assembly: Assembly = { kind: 'known', part };
    byNumber.set(partNumberKey(part.number), assembly);
    addName(part.name, assembly);
  }
  for (const row of rows) {
    if (row.main !== null) continue;
    const { number, name } = row.identity;
    const assembly: Assembly = row.known ? { kind: 'known', part: row.known } : { kind: 'row', row };
    if (number !== '') byNumber.set(partNumberKey(number), assembly);
    // A list that renames a part names it by its new name elsewhere too.
    if (row.known === null || textKey(name) !== textKey(row.known.name)) addName(name, assembly);
  }
  return {
    find(text) {
      const numbered = byNumber.get(partNumberKey(text));
      return numbered ? [numbered] : (byName.get(textKey(text)) ?? []);
    },
  };
}

/**
 * The assemblies named in one cell: the whole cell where it is a name known, else cut at `;` or `|`, then `,`, then
 * `/`, leaving whole at each step what is a name known. Each once.
 */
export function splitAssemblies(cell: string, names: AssemblyNames): string[] {
  const cut = (text: string, separators: readonly RegExp[]): string[] => {
    const piece = text.trim();
    const [separator, ...rest] = separators;
    if (piece === '') return [];
    if (separator === undefined || names.find(piece).length > 0) return [piece];
    return piece.split(separator).flatMap((smaller) => cut(smaller, rest));
  };
  const pieces = cut(cell, [/[;|]/, /,/, /\//]);
  return [...new Map(pieces.map((piece) => [textKey(piece), piece])).values()];
}

/** The one assembly a text means; new where nobody knows it; a sentence where it could be several. */
export function resolveAssembly(text: string, names: AssemblyNames): Assembly | string {
  const found = names.find(text);
  const assemblies = found.filter((one) => one.kind === 'known' && one.part.kind === 'assembly');
  const [only, ...others] = found.length > 1 && assemblies.length > 0 ? assemblies : found;
  if (!only) return { kind: 'new', key: textKey(text), name: text };
  if (others.length === 0) return only;
  const shown = found.map((one) => {
    if (one.kind === 'known') return one.part.number;
    return one.kind === 'row' ? one.row.identity.number || `the row on line ${one.row.row.line}` : one.name;
  });
  return `"${text}" could be ${andList(shown, 'or')}: give the part number of the assembly.`;
}

/** What a use needs to know besides its row. */
export interface UseContext {
  options: Pick<ImportOptions, 'quantityIs' | 'answers'>;
  /** Number given to a new assembly; null where none are made. */
  newNumber: (assembly: Assembly & { kind: 'new' }, line: number) => string | null;
  /** Quantity of a use the build has, in thousandths; null where there is none. */
  beforeMilli: (parentId: number, childId: number) => number | null;
}

/**
 * Fills in the uses a row asks for, each with its quantity, and the total left over where the list cannot split it.
 *
 * One assembly: the quantity is its. Several with a quantity in each: likewise. Several with one total: the use that
 * is already there stays, an answer of the person counts, and otherwise the person is asked.
 */
export function planUses(row: PlanRow, context: UseContext): void {
  const { unit } = describing(row).details;
  const { quantityMilli } = row.details;
  const child = describing(row).known;
  const shared = row.assemblies.length > 1 && context.options.quantityIs === 'total';
  row.assemblies.forEach((assembly, at) => {
    const text = row.assemblyTexts[at] ?? '';
    const holder = holderOf(assembly, row.row.line, context);
    if (holder === null) {
      row.doubts.push(`"${text}" is no part known: the row comes in without this use.`);
      return;
    }
    const beforeMilli =
      child !== null && 'part' in holder.parent ? context.beforeMilli(holder.parent.part, child.id) : null;
    const answer = context.options.answers.find(
      (one) =>
        one.line === row.row.line && textKey(one.assembly) === textKey(text) && one.quantity.trim() !== '',
    );
    let own = shared ? beforeMilli : (quantityMilli ?? beforeMilli);
    if (answer) {
      const reading = parseQuantity(answer.quantity, unit);
      if (reading.ok) own = reading.milli;
      else row.problems.push(`Quantity in "${text}": ${reading.sentence}`);
    }
    const verdict =
      own === null ? 'ask' : beforeMilli === null ? 'new' : own === beforeMilli ? 'same' : 'update';
    row.uses.push({ assembly: text, ...holder, quantityMilli: own, beforeMilli, verdict });
  });

  if (context.options.quantityIs === 'total' && row.assemblies.length !== 1) row.listedMilli = quantityMilli;
  if (!shared || quantityMilli === null) return;
  const total = formatQuantity(quantityMilli, unit);
  if (row.uses.some(({ verdict }) => verdict === 'ask')) {
    row.notes.push(
      `The list names ${total} for ${row.assemblies.length} assemblies together: say how many go into each.`,
    );
    return;
  }
  const told = row.uses.reduce((all, use) => all + (use.quantityMilli ?? 0), 0);
  if (told !== quantityMilli) {
    row.notes.push(`The uses come to ${formatQuantity(told, unit)}, the list says ${total} in all.`);
  }
}

/** Doubts about a part that is asked to hold others, and names no part can have. */
export function checkAssembly(assembly: Assembly, row: PlanRow, kindOf: (row: PlanRow) => PartKind): void {
  if (assembly.kind === 'new') {
    const { length } = assembly.name;
    if (length > textLimits.name) {
      row.problems.push(`An assembly's name has ${length} characters: at most ${textLimits.name} are taken.`);
    }
    return;
  }
  const kind = assembly.kind === 'known' ? assembly.part.kind : kindOf(assembly.row);
  if (kind !== 'bought' && kind !== 'stock') return;
  const shown =
    assembly.kind === 'known'
      ? assembly.part.number
      : assembly.row.identity.number || assembly.row.identity.name;
  row.doubts.push(`${shown} is a ${kind} part, and the list puts parts into it.`);
}

function holderOf(
  assembly: Assembly,
  line: number,
  context: UseContext,
): Pick<ImportUse, 'parent' | 'parentNumber' | 'parentName'> | null {
  if (assembly.kind === 'known') {
    const { id, number, name } = assembly.part;
    return { parent: { part: id }, parentNumber: number, parentName: name };
  }
  if (assembly.kind === 'row') {
    const { row, number, identity } = assembly.row;
    return { parent: { line: row.line }, parentNumber: number, parentName: identity.name };
  }
  const number = context.newNumber(assembly, line);
  return number === null
    ? null
    : { parent: { newAssembly: number }, parentNumber: number, parentName: assembly.name };
}
