import { addUse, createPart, removePart, removeUse, setShelf } from '../src/parts/index.ts';
import type { Book } from './book.ts';
import { partsAbove } from './parts-above.ts';
import { partsBelow } from './parts-below.ts';
import { shelfCounts, structureChanges } from './telling.ts';
import { HOURS } from './timeline.ts';
import type { PartStory } from './types.ts';

const LAID_OUT = -363;
const PUT_TOGETHER = -362;

/** Every part by its number. */
export const parts: ReadonlyMap<string, PartStory> = new Map(
  [...partsBelow, ...partsAbove].map((part) => [part.number, part]),
);

/** The parts list is written down, put together, and changed a little later. */
export function tellParts(book: Book): void {
  for (const part of parts.values())
    book.act(LAID_OUT, HOURS.plan, 'jerica', (act) => write(book, act, part));
  for (const { number, holds } of parts.values()) {
    for (const [child, much] of Object.entries(holds ?? {})) {
      book.act(PUT_TOGETHER, HOURS.plan, 'jerica', (act) =>
        addUse(act, {
          parentId: book.parts.get(number),
          childId: book.parts.get(child),
          milli: Math.round(much * 1000),
        }),
      );
    }
  }
  for (const { on, take, put } of structureChanges) {
    book.act(on, HOURS.late, 'jerica', async (act) => {
      if (take) await takeOut(book, act, take);
      if (put) {
        const [parent, child, much] = put;
        await addUse(act, {
          parentId: book.parts.get(parent),
          childId: book.parts.get(child),
          milli: much * 1000,
        });
      }
    });
  }
  for (const { on, part, much } of shelfCounts) {
    book.act(on, HOURS.shop, 'blaz', (act) =>
      setShelf(act, { partId: book.parts.get(part), quantity: much }),
    );
  }
}

type Act = Parameters<typeof createPart>[0];

async function write(book: Book, act: Act, part: PartStory): Promise<void> {
  const { id } = await createPart(act, {
    number: part.number,
    name: part.name,
    kind: part.kind,
    unit: part.unit ?? 'piece',
    materialId: part.material ? book.materials.get(part.material) : null,
    processId: part.process ? book.processes.get(part.process) : null,
    massGrams: part.grams ?? null,
    supplier: part.supplier ?? '',
    priceCents: part.cents ?? null,
    leadDays: part.leadDays ?? null,
    designHours: part.drawHours ?? null,
    makeDays: part.makeDays ?? null,
    shelfMilli: Math.round((part.shelf ?? 0) * 1000),
  });
  book.parts.set(part.number, id);
}

/** A part that goes into nothing any more is taken out of the build with it. */
async function takeOut(book: Book, act: Act, [parent, child]: [string, string]): Promise<void> {
  const childId = book.parts.get(child);
  const use = await act.tx.use.findFirstOrThrow({ where: { parentId: book.parts.get(parent), childId } });
  await removeUse(act, use.id);
  const open = await act.tx.job.findMany({ where: { partId: childId, droppedAt: null, finishedAt: null } });
  await removePart(act, childId, () => open);
}
