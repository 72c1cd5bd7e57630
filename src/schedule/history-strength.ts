import type { KeptClaim } from './history-facts.ts';

/** The correlation taken where no history tells, and how many pairs of claims it counts for. Common practice, no source. */
export const USUAL_STRENGTH = 0.3;
const USUAL_PAIRS = 20;
const GREATEST = 0.9;
/** Of one maker's claims so many of the last are compared. */
const LATEST = 100;

/** How far what one maker has in hand at one time is late or early together. */
export interface Strength {
  /** correlation, 0 .. 0.9 */
  value: number;
  /** pairs of claims of one maker that overlapped in time */
  pairs: number;
  /** of the pairs alone; null without any */
  seen: number | null;
  because: string;
}

/**
 * The standard normal value that a share lies below, 0 < share < 1; exact to 0.00045.
 *
 * Source: Abramowitz and Stegun, "Handbook of Mathematical Functions" (1964), 26.2.23, from memory.
 */
export function normalScore(share: number): number {
  const tail = Math.min(share, 1 - share);
  const t = Math.sqrt(-2 * Math.log(tail));
  const value =
    t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  // the middle itself, which the fraction misses by as much
  if (share === 0.5) return 0;
  return share < 0.5 ? -value : value;
}

/** Normal scores of values by rank, rank / (n + 1), equal values sharing the mean of theirs. */
function scoresOf(values: readonly number[]): Float64Array {
  const n = values.length;
  const order = Array.from(values, (_, k) => k).sort((a, b) => values[a]! - values[b]!);
  const scores = new Float64Array(n);
  for (let first = 0; first < n; ) {
    let end = first + 1;
    while (end < n && values[order[end]!] === values[order[first]!]) end++;
    const score = normalScore((first + 1 + end) / 2 / (n + 1));
    for (let k = first; k < end; k++) scores[order[k]!] = score;
    first = end;
  }
  return scores;
}

/**
 * The strength of the slow months that a maker's claims share: the correlation of the normal scores of days taken over
 * days promised, over all pairs of posted claims of one maker whose times overlapped, drawn towards USUAL_STRENGTH,
 * which counts as 20 pairs. By ranks, so that the logarithm of the ratio would give the same.
 *
 * A maker who is always slow counts as well: how slow somebody is, is as common to what they have in hand, as long as
 * few of their promises are known. Pairs of one claim are not independent; the 20 are chosen with that in mind.
 *
 * Source: scores, van der Waerden (1952); pairs within a class, Fisher, "Statistical Methods for Research Workers"
 * (1925); both from memory.
 */
export function strengthOf(kept: readonly KeptClaim[]): Strength {
  const scores = scoresOf(kept.map(({ ratio }) => ratio));
  let squares = 0;
  for (const score of scores) squares += score * score;
  const byMaker = new Map<number, number[]>();
  kept.forEach(({ personId }, at) => {
    const list = byMaker.get(personId);
    if (list) list.push(at);
    else byMaker.set(personId, [at]);
  });
  let pairs = 0;
  let products = 0;
  for (const all of byMaker.values()) {
    const claims = all.sort((a, b) => kept[a]!.claimedOn - kept[b]!.claimedOn).slice(-LATEST);
    claims.forEach((one, place) => {
      for (let next = place + 1; next < claims.length; next++) {
        const other = claims[next]!;
        // In the order of claiming: what was claimed before the first was posted overlaps it.
        if (kept[other]!.claimedOn >= kept[one]!.postedOn) break;
        pairs++;
        products += scores[one]! * scores[other]!;
      }
    });
  }
  const seen = pairs === 0 || squares === 0 ? null : (products * kept.length) / (pairs * squares);
  const drawn = (pairs * (seen ?? USUAL_STRENGTH) + USUAL_PAIRS * USUAL_STRENGTH) / (pairs + USUAL_PAIRS);
  const value = Math.min(GREATEST, Math.max(0, drawn));
  const because =
    seen === null
      ? `no two promises of one maker overlapped yet: ${USUAL_STRENGTH}, common practice, no source`
      : `${pairs} ${pairs === 1 ? 'pair' : 'pairs'} of one maker’s promises that overlapped go together by ${seen.toFixed(2)}; drawn towards ${USUAL_STRENGTH} as by ${USUAL_PAIRS} pairs`;
  return { value, pairs, seen, because };
}
