import { withoutDust } from '../specs/index.ts';
import type { ChainReading, LinkReading } from './chain-reading.ts';
import { type Link, linkAt } from './chain-verdict.ts';
import { conditionWords, growth, REFERENCE } from './conditions.ts';
import { mmWords } from './fit-view.ts';
import { choosePieces, type PieceToChoose } from './piece-choice.ts';
import { type Shelf, type Sized, shelfWords, sizedAt, unitLine } from './shelf.ts';

const mm = (value: number) => `${mmWords(value)} mm`;
const ends = (from: number, to: number) => (from === to ? mm(from) : `${mmWords(from)} to ${mm(to)}`);

/** What was measured of a link's size. */
interface Measured {
  index: number;
  reading: LinkReading;
  shelf: Shelf;
  sized: Sized[];
}

function statistics(values: readonly number[]) {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return {
    mean,
    deviation: values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : null,
    min: Math.min(...values),
    max: Math.max(...values),
  };
}

/** The gap at 20 °C as drawn, and as the pieces that are here make it. */
function gapLines(links: readonly Link[], measured: readonly Measured[]) {
  const drawn = { middle: 0, worst: 0, squares: 0 };
  const real = { middle: 0, min: 0, max: 0, squares: 0 };
  const bySizes = new Map(
    measured.map(({ index, sized }) => [index, statistics(sized.map((one) => one.mm))]),
  );
  for (const [index, link] of links.entries()) {
    const at = linkAt(link, REFERENCE);
    if (!at) return [];
    const direction = link.kind === 'size' ? link.direction : 1;
    drawn.middle += direction * at.middle;
    drawn.worst += at.half;
    drawn.squares += at.half ** 2;
    const found = bySizes.get(index);
    const [min, max] = found ? [found.min, found.max] : [at.middle - at.half, at.middle + at.half];
    real.middle += direction * (found?.mean ?? at.middle);
    real.min += direction === 1 ? min : -max;
    real.max += direction === 1 ? max : -min;
    const spread = found ? (found.deviation === null ? at.half : 3 * found.deviation) : at.half;
    real.squares += spread ** 2;
  }
  const [drawnSpread, realSpread] = [Math.sqrt(drawn.squares), Math.sqrt(real.squares)];
  return [
    {
      word: 'As drawn',
      middle: mm(drawn.middle),
      likely: ends(drawn.middle - drawnSpread, drawn.middle + drawnSpread),
      worst: ends(drawn.middle - drawn.worst, drawn.middle + drawn.worst),
    },
    {
      word: 'As measured',
      middle: mm(real.middle),
      likely: ends(real.middle - realSpread, real.middle + realSpread),
      worst: ends(real.min, real.max),
    },
  ];
}

/** Links of one part that are one piece: the first of each of its sizes, then the second of each, and so on. */
function piecesOf(measured: readonly Measured[]): Measured[][] {
  const pieces = new Map<string, Measured[]>();
  const times = new Map<string, number>();
  for (const one of measured) {
    const { partId, characteristicPosition } = one.reading.row;
    const size = `${partId}:${characteristicPosition}`;
    const time = times.get(size) ?? 0;
    times.set(size, time + 1);
    const piece = pieces.get(`${partId}:${time}`) ?? [];
    pieces.set(`${partId}:${time}`, [...piece, one]);
  }
  return [...pieces.values()];
}

interface Choosable {
  piece: PieceToChoose;
  links: Measured[];
}

/** Which pieces of the shelf make the gap best; null where nothing measured may be chosen. */
function choice(
  { wanted }: ChainReading,
  links: readonly Link[],
  rows: readonly { condition: typeof REFERENCE }[],
  measured: readonly Measured[],
) {
  const conditions = rows.map(({ condition }) => condition);
  const given = new Map<number, number>();
  const choosable = piecesOf(measured).flatMap((ones): Choosable[] => {
    const { partId } = ones[0]!.reading.row;
    const { units, fitted } = ones[0]!.shelf;
    const able = units.flatMap((unit, at) => {
      const sizes = ones.map(({ sized }) => sized.find((one) => one.unit === unit));
      return sizes.every((size) => size !== undefined) ? [{ at, sizes: sizes as Sized[] }] : [];
    });
    const before = given.get(partId!) ?? 0;
    if (fitted >= units.length || able.length <= before) return [];
    given.set(partId!, before + 1);
    const factors = ones.map(({ index }) => {
      const link = links[index]!;
      return conditions.map((condition) =>
        link.kind === 'size' ? link.direction * (growth(link.movement, condition) ?? 1) : 0,
      );
    });
    const positions = ones.map(({ reading }) => reading.row.characteristicPosition).join(',');
    const alike = `${partId}|${positions}|${factors.map((row) => row.join(',')).join(';')}`;
    return [
      {
        links: ones,
        piece: {
          kind: partId!,
          alike,
          candidates: able.map(({ at, sizes }) => ({
            unit: at,
            adds: conditions.map((_, condition) =>
              sizes.reduce((sum, { mm: size }, one) => sum + size * factors[one]![condition]!, 0),
            ),
          })),
        },
      },
    ];
  });
  if (choosable.length === 0) return null;
  const chosenLinks = new Set(choosable.flatMap(({ links: ones }) => ones.map(({ index }) => index)));
  const gaps = conditions.map((condition) => {
    let [base, half] = [0, 0];
    for (const [index, link] of links.entries()) {
      if (chosenLinks.has(index)) continue;
      const at = linkAt(link, condition);
      base += (link.kind === 'size' ? link.direction : 1) * (at?.middle ?? 0);
      half += at?.half ?? 0;
    }
    return { base, half };
  });
  const found = choosePieces(
    gaps,
    choosable.map(({ piece }) => piece),
    wanted,
  );
  const sums = gaps.map(
    ({ base }, condition) =>
      base +
      choosable.reduce(
        (sum, { piece }, at) => sum + piece.candidates[found.chosen[at]!]!.adds[condition]!,
        0,
      ),
  );
  return {
    isExact: found.isExact,
    isMet: found.margin >= -1e-9,
    margin:
      found.margin >= -1e-9 ? `${mm(withoutDust(found.margin))} to spare` : `${mm(-found.margin)} missing`,
    others: links.length - chosenLinks.size,
    gaps: conditions.map((condition, at) => ({
      condition: conditionWords(condition),
      gap:
        gaps[at]!.half === 0 ? mm(sums[at]!) : ends(sums[at]! - gaps[at]!.half, sums[at]! + gaps[at]!.half),
    })),
    pieces: choosable.map(({ piece, links: ones }, at) => {
      const { unit: place } = piece.candidates[found.chosen[at]!]!;
      const unit = ones[0]!.shelf.units[place]!;
      return {
        ...unitLine(unit),
        number: ones[0]!.reading.side?.part?.number ?? '',
        places: ones
          .map(({ index, reading, sized }) => {
            const size = sized.find((one) => one.unit === unit);
            return `link ${index + 1}, ${reading.label}: ${mm(size?.mm ?? 0)}`;
          })
          .join('; '),
      };
    }),
  };
}

/**
 * The gap of a chain with the pieces that are here: each measured size beside the drawn one, the gap as drawn and as
 * measured, and which pieces to take so that most is to spare.
 *
 * @returns  null where no link is a characteristic, or there is no verdict on the drawings
 */
export function realChainView(reading: ChainReading, shelfOf: (partId: number | null) => Shelf) {
  const { current, links: readings } = reading;
  if (!current.known) return null;
  const { links, verdict } = current;
  const drawn = readings.flatMap((one, index): Measured[] => {
    const { partId, characteristicPosition } = one.row;
    if (one.fit || partId === null || characteristicPosition === null) return [];
    const shelf = shelfOf(partId);
    return [{ index, reading: one, shelf, sized: sizedAt(shelf.units, characteristicPosition) }];
  });
  if (drawn.length === 0) return null;
  const measured = drawn.filter(({ sized }) => sized.length > 0);
  return {
    sizes: drawn.map(({ index, reading: one, shelf, sized }) => {
      const link = links[index]!;
      const at = linkAt(link, REFERENCE);
      const found = sized.length ? statistics(sized.map(({ mm: size }) => size)) : null;
      const { digit, ...words } = shelfWords(shelf, one.row.characteristicPosition!);
      return {
        ...words,
        digit: digit ? mm(digit) : '',
        place: index + 1,
        label: one.label,
        drawn: at ? ends(at.middle - at.half, at.middle + at.half) : '',
        mean: found ? mm(found.mean) : '',
        range: found ? ends(found.min, found.max) : '',
        off: found && at ? mm(found.mean - at.middle) : '',
      };
    }),
    gaps: measured.length ? gapLines(links, measured) : [],
    choice: measured.length ? choice(reading, links, verdict.rows, measured) : null,
  };
}
