import { conditionWords, REFERENCE } from './conditions.ts';
import type { FitReading } from './fit-reading.ts';
import { fitVerdict } from './fit-verdict.ts';
import { mmWords } from './fit-view.ts';
import { type RealPair, realPairs } from './real-pairs.ts';
import { type Shelf, type Sized, shelfWords, sizedAt, unitLine } from './shelf.ts';
import type { Side } from './side-store.ts';
import type { Size } from './size.ts';

const mm = (value: number) => `${mmWords(value)} mm`;

const marginWords = (margin: number) => (margin >= 0 ? `${mm(margin)} to spare` : `${mm(-margin)} missing`);

function sideLine(word: string, { part, position }: Side, shelf: Shelf) {
  if (!part || position === null) return null;
  const sizes = sizedAt(shelf.units, position).map((one) => one.mm);
  const { digit, ...words } = shelfWords(shelf, position);
  return {
    word,
    number: part.number,
    href: part.href,
    ...words,
    digit: digit ? mm(digit) : '',
    sizes: sizes.length ? `${mmWords(Math.min(...sizes))} to ${mm(Math.max(...sizes))}` : '',
  };
}

const sizedLine = ({ unit, mm: size }: Sized) => ({ ...unitLine(unit), size: mm(size) });

const isStill = ({ air }: { air: string }) => air === REFERENCE.air;

/**
 * What the accepted pieces of a fit's two sides, as they were measured, make of it: which goes with which, or, where
 * one side is bought or not measured, each piece against the drawn limits of the other.
 *
 * @returns  null where neither side is a characteristic of a part, or there is no verdict on the drawings
 */
export function realView(reading: FitReading, shelfOf: (partId: number | null) => Shelf) {
  const { hole, shaft, current, range } = reading;
  if (!current.known || !hole.current || !shaft.current) return null;
  const sideOf = (side: Side) =>
    side.position === null ? { units: [], fitted: 0 } : shelfOf(side.part?.id ?? null);
  const [holeShelf, shaftShelf] = [sideOf(hole), sideOf(shaft)];
  const sides = [sideLine('Hole', hole, holeShelf), sideLine('Shaft', shaft, shaftShelf)].filter(
    (line) => line !== null,
  );
  if (sides.length === 0) return null;
  const left = ({ units, fitted }: Shelf, side: Side) =>
    units.length > 0 && fitted >= units.length ? [] : sizedAt(units, side.position);
  const [holes, shafts] = [left(holeShelf, hole), left(shaftShelf, shaft)];
  const isOnePart = hole.part !== null && hole.part.id === shaft.part?.id;
  const fitting = {
    holeMovement: hole.current.movement,
    shaftMovement: shaft.current.movement,
    wanted: current.wanted,
    range,
  };
  const base = { sides, isOnePart, pairs: [], leftOver: [], conditions: [], singles: [], worst: '' };
  if (holes.length === 0 && shafts.length === 0) return base;
  if (holes.length === 0 || shafts.length === 0 || isOnePart) {
    return { ...base, singles: isOnePart ? [] : singles(reading, holes, shafts) };
  }
  const found = realPairs(holes, shafts, fitting);
  const stillOnes = found.conditions.flatMap((condition, at) => (isStill(condition) ? [at] : []));
  const hasAir = stillOnes.length < found.conditions.length;
  const pairLine = ({ hole: h, shaft: s, clearances, margin, isUnsure }: RealPair) => ({
    hole: sizedLine(holes[h]!),
    shaft: sizedLine(shafts[s]!),
    clearances: [
      ...stillOnes.map((at) => mm(clearances[at]!)),
      ...(hasAir ? [`${mmWords(Math.min(...clearances))} to ${mm(Math.max(...clearances))}`] : []),
    ],
    margin: marginWords(margin),
    isUnsure,
  });
  return {
    ...base,
    conditions: [
      ...stillOnes.map((at) => conditionWords(found.conditions[at]!)),
      ...(hasAir ? ['In any air'] : []),
    ],
    notKnownAt: found.notKnownAt.join(', '),
    worst: found.worst === null ? '' : mm(found.worst),
    pairs: found.pairs.map(pairLine),
    leftOver: found.leftOver.map(({ side, unit, wants, cure }) => {
      const [own, others] = side === 'hole' ? [holes, shafts] : [shafts, holes];
      const other = side === 'hole' ? 'shaft' : 'hole';
      const isAlone = !found.leftOver.some((one) => one.side === other);
      return {
        word: side,
        unit: sizedLine(own[unit]!),
        wants: wants
          ? `a ${other} of ${mmWords(wants.lower)} to ${mm(wants.upper)}`
          : `no ${other}: what is wanted is narrower than what the temperatures take`,
        cure: cure
          ? `${side === 'hole' ? 'open it' : 'take off'} by ${mm(cure.by)}: then it goes with ${unitLine(others[cure.with]!.unit).label}`
          : isAlone
            ? `no ${other} is left here: it waits for the next one of that size`
            : '',
      };
    }),
  };
}

/** Each measured piece with the other side anywhere inside its limits. */
function singles({ hole, shaft, current, range }: FitReading, holes: Sized[], shafts: Sized[]) {
  if (!current.known || !hole.current || !shaft.current) return [];
  const real = (size: Size, value: number): Size => ({ ...size, lower: value, upper: value });
  const ofHoles = holes.length > 0;
  return (ofHoles ? holes : shafts).map((sized) => {
    const verdict = fitVerdict(
      {
        size: ofHoles ? real(current.hole, sized.mm) : current.hole,
        movement: hole.current!.movement,
      },
      {
        size: ofHoles ? current.shaft : real(current.shaft, sized.mm),
        movement: shaft.current!.movement,
      },
      current.wanted,
      range,
    );
    const [at20] = verdict.rows;
    return {
      word: ofHoles ? 'hole' : 'shaft',
      unit: sizedLine(sized),
      ends: at20 ? `${mmWords(at20.min)} to ${mm(at20.max)}` : '',
      margin: verdict.margin === null ? '' : marginWords(verdict.margin),
      verdict: verdict.verdict,
    };
  });
}
