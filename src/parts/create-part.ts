import type { Act } from '../platform/acts.ts';
import { WrongField } from '../platform/refusal.ts';
import { type PartFields, unknownPart } from './part.ts';
import { nextPartNumber, partNumberKey, readPartNumber } from './part-number.ts';
import { buildFacts, partByNumber, type Reader, usedNumbers } from './store.ts';
import { addUse } from './uses.ts';

export type NewPart = Pick<PartFields, 'name' | 'kind'> &
  Partial<PartFields> & {
    /** left out or empty: the next number of the build's prefix */
    number?: string;
    shelfMilli?: number;
    /** puts it into an assembly in the same act */
    goesInto?: { parentId: number; milli: number } | null;
    /** the form's field that named the assembly, for a sentence about it */
    goesIntoField?: string;
  };

/**
 * Adds a part to the build.
 *
 * @returns id and number
 * @throws WrongField  number: not a part number, or given already (in any case, to a removed part too);
 *                     unit, materialId, processId, into: what does not hold together
 */
export async function createPart(act: Act, input: NewPart): Promise<{ id: number; number: string }> {
  const { number: typed = '', goesInto = null, goesIntoField = 'into', shelfMilli = 0, ...given } = input;
  const fields: PartFields = { ...unknownPart, ...given };
  const number = typed.trim() === '' ? await nextNumber(act.tx) : await freeNumber(act.tx, typed);
  await checkFields(act.tx, fields);
  const { id } = await act.tx.part.create({
    data: { ...fields, number, numberKey: partNumberKey(number), shelfMilli, createdAt: act.at },
  });
  await act.log({
    kind: 'create-part',
    partId: id,
    after: { number, name: fields.name, kind: fields.kind, unit: fields.unit },
  });
  if (goesInto) await addUse(act, { ...goesInto, childId: id, childField: goesIntoField });
  return { id, number };
}

async function nextNumber(tx: Reader): Promise<string> {
  const { prefix } = await buildFacts(tx);
  return nextPartNumber(prefix, await usedNumbers(tx));
}

async function freeNumber(tx: Reader, typed: string): Promise<string> {
  const reading = readPartNumber(typed);
  if (!reading.ok) throw new WrongField('number', reading.sentence);
  const other = await partByNumber(tx, reading.number);
  if (other) {
    throw new WrongField(
      'number',
      other.removedAt
        ? `${other.number} was "${other.name}", now taken out of the build: a number is given once. Choose another.`
        : `${other.number} is "${other.name}" already: choose another number, or leave it empty for the next one.`,
    );
  }
  return reading.number;
}

/** What must hold between the fields of a part, and what they point to. */
export async function checkFields(tx: Reader, fields: PartFields): Promise<void> {
  if (fields.kind === 'assembly' && fields.unit !== 'piece') {
    throw new WrongField('unit', 'Assemblies are counted in pieces.');
  }
  if (fields.materialId !== null) {
    const material = await tx.material.findUnique({ where: { id: fields.materialId } });
    if (!material) throw new WrongField('materialId', 'This material is not in the library. Choose again.');
  }
  if (fields.processId !== null) {
    const process = await tx.process.findUnique({ where: { id: fields.processId } });
    if (!process) throw new WrongField('processId', 'This process is not in the library. Choose again.');
  }
}
