import type { AssemblyNode } from '../models/index.ts';
import { addUse, changeUse, createPart, partAsTyped, removeUse } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import { found, WrongField } from '../platform/refusal.ts';
import { keepSaid, readKnown, readSaid } from './known.ts';
import { linesTaken, type Product, proposeStructure } from './propose.ts';

/** Signs of a part's name, as its form takes them. */
const LONGEST_NAME = 120;

/** What was taken of a proposal. */
export interface Taken {
  /** numbers of the parts that are new */
  created: string[];
  added: number;
  changed: number;
  removed: number;
}

/**
 * Takes lines of a model's structure over: parts that are new are created, lines added, changed or taken out, all of it
 * in one act. What somebody else has done meanwhile is left as it is.
 *
 * @param taken  keys of lines, as the proposal gives them
 * @param named  the number or name typed for a product that is a part already, by the product's field
 * @throws WrongField  at the product's field: no part is called so; which of several parts it is has not been said; it has no name
 * @throws Refused     a line would close a loop in the structure
 */
export async function takeLines(
  act: Act,
  {
    partId,
    tree,
    taken,
    named,
  }: {
    partId: number;
    tree: readonly AssemblyNode[];
    taken: ReadonlySet<string>;
    named: ReadonlyMap<string, string>;
  },
): Promise<Taken> {
  const { parts, uses } = await readKnown(act.tx);
  const top = found(
    parts.find(({ id }) => id === partId),
    'This part is not in the build any more.',
  );
  const proposal = proposeStructure(tree, top, parts, uses, await readSaid(act.tx, partId));
  const done: Taken = { created: [], added: 0, changed: 0, removed: 0 };
  const ids = new Map<Product, number>();
  const idOf = async (product: Product): Promise<number> => {
    const known = product.part?.id ?? ids.get(product);
    if (known !== undefined) return known;
    const id = await partFor(act, product, { topId: partId, named, done });
    ids.set(product, id);
    return id;
  };
  for (const { parent, child, use, inModel, state } of linesTaken(proposal, taken)) {
    if (state === 'not in the model' && use) {
      await removeUse(act, use.id);
      done.removed++;
    } else if (state === 'other quantity' && use) {
      await changeUse(act, { useId: use.id, quantity: String(inModel) });
      done.changed++;
    } else {
      const parentId = await idOf(parent);
      const childId = await idOf(child);
      const there = await act.tx.use.findUnique({ where: { parentId_childId: { parentId, childId } } });
      // A product said to be a part that goes in already: its line is brought to the model's quantity.
      if (!there) {
        await addUse(act, { parentId, childId, milli: inModel * 1000, childField: child.field });
        done.added++;
      } else if (there.milli !== inModel * 1000) {
        await changeUse(act, { useId: there.id, quantity: String(inModel) });
        done.changed++;
      }
    }
  }
  return done;
}

/** The part a product is said to be, or a new one. */
async function partFor(
  act: Act,
  product: Product,
  { topId, named, done }: { topId: number; named: ReadonlyMap<string, string>; done: Taken },
): Promise<number> {
  const { field, key, name } = product;
  const typed = named.get(field)?.trim() ?? '';
  if (typed) {
    const { id } = await partAsTyped(act.tx, typed, field);
    await keepSaid(act, { topId, partId: id, key, name });
    return id;
  }
  if (product.alike.length > 0) {
    const numbers = product.alike.map(({ number }) => number).join(', ');
    throw new WrongField(field, `${numbers} are all called so: type the number of the one it is.`);
  }
  if (name === '') {
    throw new WrongField(field, 'The model gives it no name: type the number of the part it is.');
  }
  const short = [...name].slice(0, LONGEST_NAME).join('');
  const { id, number } = await createPart(act, {
    name: short,
    kind: product.isAssembly ? 'assembly' : 'made',
  });
  // By its own name it would not be known again.
  if (short !== name) await keepSaid(act, { topId, partId: id, key, name: short });
  done.created.push(number);
  return id;
}
