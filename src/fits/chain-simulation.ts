import { expansionFactor, seededChance } from '../specs/index.ts';
import { type Link, playRow } from './chain-verdict.ts';
import { REFERENCE, type TemperatureRange } from './conditions.ts';
import type { FitVerdict } from './fit-verdict.ts';
import type { Gap } from './wanted.ts';

/** What came of building the chain many times; lengths in mm, shares from 0 to 1. */
export interface ChainSimulation {
  runs: number;
  seed: number;
  inside: number;
  tooTight: number;
  tooLoose: number;
  mean: number;
  /** the gap that 5 of 1000 stay below, and that 5 of 1000 exceed */
  low: number;
  high: number;
  /** counts between equally spaced edges from the smallest to the greatest gap */
  counts: number[];
  from: number;
  to: number;
}

const RUNS = 20_000;
const BARS = 32;

/** Normal values, cut off at three standard deviations: an inspected part is inside its limits. */
function normalWithin(chance: () => number): () => number {
  return () => {
    for (;;) {
      // polar form of Box and Muller's method (Marsaglia and Bray 1964)
      const [x, y] = [2 * chance() - 1, 2 * chance() - 1];
      const square = x * x + y * y;
      if (square === 0 || square >= 1) continue;
      const value = x * Math.sqrt((-2 * Math.log(square)) / square);
      if (Math.abs(value) <= 3) return value;
    }
  };
}

/** A fit's clearance anywhere in its ranges; `warm` and `damp` go from 0, the lower end, to 1. */
type Clearance = (warm: number, damp: number) => Gap;

/** Clearances go evenly with temperature and with the air, as lengths do; null where a corner is not known. */
function clearanceOf(fit: FitVerdict, { low, high }: TemperatureRange): Clearance | null {
  const [coldDry, warmDry, coldDamp, warmDamp] = (['driest', 'dampest'] as const).flatMap((air) =>
    [low, high].map((celsius) => playRow(fit, { celsius, air })),
  );
  if (!coldDry || !warmDry || !coldDamp || !warmDamp) return null;
  const between = (end: 'min' | 'max', warm: number, damp: number) => {
    const dryAir = coldDry[end] + (warmDry[end] - coldDry[end]) * warm;
    const dampAir = coldDamp[end] + (warmDamp[end] - coldDamp[end]) * warm;
    return dryAir + (dampAir - dryAir) * damp;
  };
  return (warm, damp) => ({ min: between('min', warm, damp), max: between('max', warm, damp) });
}

/**
 * Builds the chain again and again from parts taken at random, at a temperature and in air taken at random.
 *
 * Each size is normal about the middle of its limits, three standard deviations to a limit, none beyond. One
 * temperature and one state of the air hold for the whole machine, evenly spread over their ranges. In a fit's play the
 * part sits anywhere. The same seed gives the same figures.
 *
 * @returns  null where an expansion that is needed is not known
 */
export function chainSimulation(
  links: readonly Link[],
  wanted: Gap,
  range: TemperatureRange,
  seed = 1,
): ChainSimulation | null {
  const moves = range.low !== REFERENCE.celsius || range.high !== REFERENCE.celsius;
  if (moves && links.some((link) => link.kind === 'size' && link.movement.expansion === null)) return null;
  const clearances = links.map((link) => (link.kind === 'play' ? clearanceOf(link.fit, range) : null));
  if (links.some((link, index) => link.kind === 'play' && !clearances[index])) return null;
  const chance = seededChance(seed);
  const normal = normalWithin(chance);
  const gaps = new Float64Array(RUNS);
  for (let run = 0; run < RUNS; run += 1) {
    const warm = chance();
    const celsius = range.low + (range.high - range.low) * warm;
    const air = chance();
    let gap = 0;
    for (const [index, link] of links.entries()) {
      if (link.kind === 'play') {
        const { min, max } = clearances[index]?.(warm, air) ?? { min: 0, max: 0 };
        const play = Math.max(0, (min + max) / 2 + (normal() * (max - min)) / 6);
        gap += (chance() - 0.5) * play;
        continue;
      }
      const { size, movement, direction } = link;
      const percent = movement.dry + (movement.damp - movement.dry) * air;
      const length = (size.lower + size.upper) / 2 + (normal() * (size.upper - size.lower)) / 6;
      gap += direction * length * expansionFactor(movement.expansion ?? 0, celsius) * (1 + percent / 100);
    }
    gaps[run] = gap;
  }
  return counted(gaps.sort(), wanted, seed);
}

function counted(gaps: Float64Array, wanted: Gap, seed: number): ChainSimulation {
  const at = (share: number) => gaps[Math.min(gaps.length - 1, Math.floor(share * gaps.length))] ?? 0;
  const [from, to] = [at(0), at(1)];
  const counts = new Array<number>(BARS).fill(0);
  let [sum, tooTight, tooLoose] = [0, 0, 0];
  // a nanometre of room, so that sums of decimals on the limit itself are inside
  const room = 1e-6;
  for (const gap of gaps) {
    sum += gap;
    if (gap < wanted.min - room) tooTight += 1;
    else if (gap > wanted.max + room) tooLoose += 1;
    const bar = to > from ? Math.min(BARS - 1, Math.floor(((gap - from) / (to - from)) * BARS)) : 0;
    counts[bar] = (counts[bar] ?? 0) + 1;
  }
  const runs = gaps.length;
  return {
    runs,
    seed,
    inside: (runs - tooTight - tooLoose) / runs,
    tooTight: tooTight / runs,
    tooLoose: tooLoose / runs,
    mean: sum / runs,
    low: at(0.005),
    high: at(0.995),
    counts,
    from,
    to,
  };
}
