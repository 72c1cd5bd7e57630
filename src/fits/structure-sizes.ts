import { partByNumber } from '../parts/index.ts';
import type { Tx } from '../platform/database.ts';
import { type Reader, type SizeChoice, sizeChoices } from './side-store.ts';

/** Deeper than any machine is built. */
const DEEPEST = 20;
/** So many sizes can still be looked through; the nearest parts come first. */
const MOST_SIZES = 400;

/** A part with all parts that go into it, however deep; the nearest first. */
async function partsUnder(reader: Pick<Tx, 'use'>, partId: number): Promise<number[]> {
  const found = new Set([partId]);
  let level = [partId];
  for (let depth = 0; depth < DEEPEST && level.length > 0; depth += 1) {
    const uses = await reader.use.findMany({
      where: { parentId: { in: level }, child: { removedAt: null } },
      select: { childId: true },
      orderBy: { id: 'asc' },
    });
    level = [...new Set(uses.map(({ childId }) => childId))].filter((id) => !found.has(id));
    for (const id of level) found.add(id);
  }
  return [...found];
}

/**
 * The sizes of a part, and of all that goes into it, to choose from; a sentence where there are none.
 *
 * The value of a choice is the part's id and the size's position: `12-3`.
 */
export async function sizesUnder(
  reader: Reader & Pick<Tx, 'use'> & Parameters<typeof partByNumber>[0],
  number: string,
) {
  if (number === '') return { number: '', name: '', sizes: [], sentence: '' };
  const part = await partByNumber(reader, number);
  if (!part || part.removedAt !== null)
    return { number, name: '', sizes: [], sentence: `No part has the number ${number}.` };
  const ids = await partsUnder(reader, part.id);
  const parts = await reader.part.findMany({
    where: { id: { in: ids } },
    select: { id: true, number: true, name: true },
  });
  const byId = new Map(parts.map((one) => [one.id, one]));
  const sizes: (SizeChoice & { group: string })[] = [];
  for (const id of ids) {
    if (sizes.length >= MOST_SIZES) break;
    const one = byId.get(id);
    if (!one) continue;
    for (const { value, label } of await sizeChoices(reader, id)) {
      sizes.push({ value: `${id}-${value}`, label, group: `${one.number} ${one.name}` });
    }
  }
  return {
    number: part.number,
    name: part.name,
    sizes,
    sentence: sizes.length
      ? ''
      : `Neither ${part.number} nor what goes into it has a size with limits on a released revision or draft: type one below, or add it to its drawing.`,
  };
}

/** A chosen size: the part's id and the position. Null for text that is none. */
export function chosenSize(text: string): { partId: number; position: number } | null {
  const match = /^([1-9]\d{0,8})-([1-9]\d{0,5})$/.exec(text);
  return match ? { partId: Number(match[1]), position: Number(match[2]) } : null;
}
