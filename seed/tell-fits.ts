import { addChain, addFit, addLink, setSurroundings } from '../src/fits/index.ts';
import type { Act } from '../src/platform/acts.ts';
import type { Book } from './book.ts';
import { chains, fits, type SideStory, surroundings } from './fits.ts';
import { HOURS } from './timeline.ts';

const NO_RANGE = { lowCelsius: null, highCelsius: null, lowHumidity: null, highHumidity: null };

/** Where a size stands on the part's drawings; null for one that is typed. */
async function positionOf(book: Book, act: Act, { part, label }: SideStory): Promise<number | null> {
  if (!part || label === undefined) return null;
  const found = await act.tx.characteristic.findFirst({
    where: { revision: { partId: book.parts.get(part) }, label, removedAt: null },
    orderBy: { id: 'desc' },
  });
  if (!found) throw new Error(`${part} has no size called ${label}`);
  return found.position;
}

/** What the hall is like is set, and fits and chains are written down, each on its day. */
export function tellFits(book: Book): void {
  const { on, ...ends } = surroundings;
  book.act(on, HOURS.late, 'jerica', (act) => setSurroundings(act, ends));
  for (const { on: day, name, hole, shaft, wanted, note = '' } of fits) {
    book.act(day, HOURS.late, 'jerica', async (act) => {
      const [min, max] = typeof wanted === 'string' ? [null, null] : wanted;
      return addFit(act, {
        name,
        holePart: hole.part ?? '',
        holePosition: await positionOf(book, act, hole),
        holeText: hole.text ?? '',
        holeExpansion: hole.expansion ?? null,
        holeDry: 0,
        holeDamp: 0,
        holeGrowth: hole.growth ?? '',
        shaftPart: shaft.part ?? '',
        shaftPosition: await positionOf(book, act, shaft),
        shaftText: shaft.text ?? '',
        shaftExpansion: shaft.expansion ?? null,
        shaftDry: 0,
        shaftDamp: 0,
        shaftGrowth: shaft.growth ?? '',
        wanted: typeof wanted === 'string' ? wanted : 'figures',
        wantedMin: min,
        wantedMax: max,
        ...NO_RANGE,
        note,
        version: null,
      });
    });
  }
  for (const { on: day, title, wanted, note = '', links } of chains) {
    book.act(day, HOURS.late, 'jerica', async (act) => {
      const [wantedMin, wantedMax] = wanted;
      const chainId = await addChain(act, {
        title,
        wantedMin,
        wantedMax,
        ...NO_RANGE,
        note,
        version: null,
      });
      for (const link of links) {
        const position = await positionOf(book, act, link);
        await addLink(act, {
          chainId,
          input: {
            part: link.part ?? '',
            size: position === null ? '' : `${book.parts.get(link.part ?? '')}-${position}`,
            text: link.text ?? '',
            fitId: null,
            label: link.name ?? '',
            direction: link.direction === 1 ? '1' : '-1',
            expansion: link.expansion ?? null,
            dry: 0,
            damp: 0,
            growth: link.growth ?? '',
          },
        });
      }
    });
  }
}
