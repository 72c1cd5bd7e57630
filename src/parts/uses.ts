import type { Act } from '../platform/acts.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import { mayHoldParts, type Part } from './part.ts';
import { formatQuantity, parseQuantity } from './quantity.ts';
import {
  partByNumber,
  partsByName,
  type Reader,
  readPart,
  readUse,
  structureInAct,
  useBetween,
} from './store.ts';
import { loopThrough } from './structure-graph.ts';

export interface NewUse {
  parentId: number;
  childId: number;
  /** thousandths of the child's unit, above zero; whole pieces where it is counted */
  milli: number;
  note?: string;
  /** the form's field that named the child, for a sentence about it */
  childField?: string;
}

/**
 * Puts a quantity of a part into another.
 *
 * @returns id of the structure line
 * @throws Refused     loop: the part already holds the assembly; the loop is named in order
 * @throws WrongField  child: it is there already, is removed, or the parent takes no parts
 */
export async function addUse(act: Act, input: NewUse): Promise<number> {
  const { tx } = act;
  const { milli, note = '', childField = 'child' } = input;
  const parent = await activePart(tx, input.parentId);
  const child = await activePart(tx, input.childId);
  if (!mayHoldParts(parent.kind)) {
    throw new WrongField(
      childField,
      `${parent.number} is ${parent.kind === 'stock' ? 'stock' : 'bought'}: parts go into assemblies and made parts.`,
    );
  }
  const there = await useBetween(tx, parent.id, child.id);
  if (there) {
    throw new WrongField(
      childField,
      `${child.number} goes into ${parent.number} already, ${formatQuantity(there.milli, child.unit)}: change that line.`,
    );
  }
  const { structure, numberOf } = await structureInAct(tx);
  const loop = loopThrough(structure, parent.id, child.id);
  if (loop) refuse('loop', loopSentence(loop.map(numberOf)));
  const { id } = await tx.use.create({ data: { parentId: parent.id, childId: child.id, milli, note } });
  await act.log({
    kind: 'add-use',
    partId: parent.id,
    thing: { type: 'part', id: child.id },
    milli,
    after: { child: child.number, parent: parent.number, unit: child.unit },
  });
  return id;
}

/** The same, as a form says it: the child by its number or its whole name, the quantity as typed. */
export async function addUseAsTyped(
  act: Act,
  input: { parentId: number; child: string; quantity: string; note?: string },
): Promise<number> {
  const child = await partAsTyped(act.tx, input.child, 'child');
  const milli = milliAsTyped(input.quantity, child, 'quantity');
  return addUse(act, { parentId: input.parentId, childId: child.id, milli, note: input.note });
}

/**
 * Changes quantity or note of a structure line.
 *
 * @throws NotFound    the line is gone
 * @throws WrongField  quantity: it does not fit the child's unit
 */
export async function changeUse(
  act: Act,
  input: { useId: number; quantity: string; note?: string },
): Promise<Line> {
  const { use, parent, child } = await readLine(act.tx, input.useId);
  const milli = milliAsTyped(input.quantity, child, 'quantity');
  const note = input.note ?? use.note;
  await act.tx.use.update({ where: { id: use.id }, data: { milli, note } });
  await act.log({
    kind: 'change-use',
    partId: parent.id,
    thing: { type: 'part', id: child.id },
    milli,
    before: { milli: use.milli, ...(note !== use.note && { note: use.note }) },
    after: {
      child: child.number,
      parent: parent.number,
      unit: child.unit,
      milli,
      ...(note !== use.note && { note }),
    },
  });
  return { use: { ...use, milli, note }, parent, child };
}

/** Takes a part out of another: the line is gone, the log keeps it. @throws NotFound the line is gone already */
export async function removeUse(act: Act, useId: number): Promise<Line> {
  const line = await readLine(act.tx, useId);
  await act.tx.use.delete({ where: { id: useId } });
  await act.log({
    kind: 'remove-use',
    partId: line.parent.id,
    thing: { type: 'part', id: line.child.id },
    milli: line.use.milli,
    before: {
      child: line.child.number,
      parent: line.parent.number,
      unit: line.child.unit,
      milli: line.use.milli,
    },
  });
  return line;
}

export interface Line {
  use: { id: number; milli: number; note: string };
  parent: Part;
  child: Part;
}

/** A structure line with both ends. @throws NotFound when it or an end of it is not there (any more) */
export async function readLine(reader: Reader, useId: number): Promise<Line> {
  const use = found(await readUse(reader, useId), 'This line is not in the structure any more.');
  return {
    use,
    parent: await activePart(reader, use.parentId),
    child: await activePart(reader, use.childId),
  };
}

/** A part that is in the build. @throws NotFound */
export async function activePart(reader: Reader, id: number): Promise<Part> {
  const part = found(await readPart(reader, id), 'There is no such part.');
  if (part.removedAt) found(null, `${part.number} was taken out of the build.`);
  return part;
}

/** A part by the number or the whole name that was typed. @throws WrongField at the field */
export async function partAsTyped(reader: Reader, text: string, field: string): Promise<Part> {
  const typed = text.trim();
  if (typed === '') throw new WrongField(field, 'Type a part number.');
  const byNumber = await partByNumber(reader, typed);
  if (byNumber?.removedAt) throw new WrongField(field, `${byNumber.number} was taken out of the build.`);
  if (byNumber) return byNumber;
  const [byName, another] = await partsByName(reader, typed);
  if (byName && another) {
    throw new WrongField(
      field,
      `${byName.number} and ${another.number} are both called so: type the number.`,
    );
  }
  if (!byName) throw new WrongField(field, 'No part has this number or name.');
  return byName;
}

/** Thousandths of the part's unit. @throws WrongField at the field */
export function milliAsTyped(text: string, part: Pick<Part, 'unit'>, field: string): number {
  const reading = parseQuantity(text, part.unit);
  if (!reading.ok) throw new WrongField(field, reading.sentence);
  return reading.milli;
}

/** `OR-1 holds OR-2, OR-2 holds OR-3, and OR-3 would hold OR-1 ...` */
export function loopSentence(loop: readonly string[]): string {
  const [parent, child, ...rest] = loop;
  if (child === undefined) return `${parent} cannot go into itself.`;
  const way = [child, ...rest, parent].join(' > ');
  return `${child} cannot go into ${parent}, because ${child} already holds it (${way}): the structure would close a loop.`;
}
