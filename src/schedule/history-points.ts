import { durationLaws } from './risk-law.ts';
import { SPREAD_KNOTS } from './spread.ts';

/** So many places of the likely figure within its range have their own table; between two of them is the mean of both. */
const PEAKS = 32;

const laws = durationLaws();
const tables = new Map<number, Float64Array>();

/** Quantiles at k / 32 of the beta law on 0 .. 1 whose likely figure is at peak / PEAKS. */
function tableOf(peak: number): Float64Array {
  let table = tables.get(peak);
  if (!table) {
    table = new Float64Array(SPREAD_KNOTS);
    const last = SPREAD_KNOTS - 1;
    const uniforms = Uint32Array.from(table, (_, k) =>
      Math.min(2 ** 32 - 1, Math.round((k / last) * 2 ** 32)),
    );
    laws('betaPert', 0, peak / PEAKS, 1)(uniforms, table);
    table[0] = 0;
    table[last] = 1;
    tables.set(peak, table);
  }
  return table;
}

/**
 * The beta law of a soonest, a likely and a latest figure (risk-law.ts) as quantiles at k / 32, k = 0 .. 32.
 *
 * @param points  soonest <= likely <= latest
 * @returns       never falling, from the soonest to the latest
 */
export function threePoints([soonest, likely, latest]: readonly [number, number, number]): number[] {
  const range = latest - soonest;
  if (range <= 0) return Array(SPREAD_KNOTS).fill(soonest);
  const peak = Math.min(PEAKS, Math.max(0, ((likely - soonest) / range) * PEAKS));
  const below = Math.min(PEAKS - 1, Math.floor(peak));
  const share = peak - below;
  const lower = tableOf(below);
  const upper = tableOf(below + 1);
  const points: number[] = [];
  for (let k = 0; k < SPREAD_KNOTS; k++) {
    points.push(soonest + range * (lower[k]! + share * (upper[k]! - lower[k]!)));
  }
  return points;
}
