import type { Act } from '../platform/acts.ts';
import { WrongField } from '../platform/refusal.ts';
import type { Part } from './part.ts';
import { parseQuantity } from './quantity.ts';
import { activePart } from './uses.ts';

/**
 * Says how much of a part was counted on the shelf.
 *
 * @param input.quantity  as typed, in the part's unit; nought empties the shelf
 * @throws WrongField     quantity: it does not fit the unit
 */
export async function setShelf(
  act: Act,
  input: { partId: number; quantity: string },
): Promise<{ part: Part; milli: number }> {
  const part = await activePart(act.tx, input.partId);
  const milli = shelfMilli(input.quantity, part);
  await act.tx.part.update({ where: { id: part.id }, data: { shelfMilli: milli } });
  await act.log({
    kind: 'set-shelf',
    partId: part.id,
    milli,
    before: { milli: part.shelfMilli },
    after: { milli },
  });
  return { part, milli };
}

function shelfMilli(text: string, part: Part): number {
  const reading = parseQuantity(text, part.unit);
  if (reading.ok) return reading.milli;
  if (reading.code === 'zero') return 0;
  throw new WrongField('quantity', reading.sentence);
}
