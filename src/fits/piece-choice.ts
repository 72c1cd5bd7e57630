import type { Gap } from './wanted.ts';

/** How the gap goes in one condition: it is `base`, give or take `half`, plus what each piece adds. */
export interface GapIn {
  base: number;
  half: number;
}

/** A piece to choose: one of the candidates, each by what it adds to the gap in every condition. */
export interface PieceToChoose {
  /** pieces of one kind come from one heap: none is taken twice */
  kind: number;
  /** pieces of one kind whose candidates add the same to the gap wherever they go: their order is nothing */
  alike: string;
  candidates: readonly { unit: number; adds: readonly number[] }[];
}

export interface PieceChoice {
  /** for each piece the index of its candidate */
  chosen: number[];
  /** the least there is to spare over all conditions */
  margin: number;
  /** every choice was looked at; else it is the best that exchanging one or two at a time found */
  isExact: boolean;
}

const MOST_LOOKED_AT = 300_000;

/** How many choices there are, pieces that are alike taken in rising order; counted to the limit only. */
function choices(pieces: readonly PieceToChoose[]): number {
  let count = 1;
  const groups = new Map<string, { of: number; taken: number }>();
  for (const { alike, candidates } of pieces) {
    const group = groups.get(alike) ?? { of: candidates.length, taken: 0 };
    groups.set(alike, { ...group, taken: group.taken + 1 });
  }
  for (const { of, taken } of groups.values()) {
    for (let index = 0; index < taken; index += 1) count *= (of - index) / (index + 1);
    if (count > MOST_LOOKED_AT) return count;
  }
  return count;
}

/**
 * Which pieces, of those that are there, put together leave the gap with most to spare.
 *
 * Up to 300,000 choices are all looked at. Above that one begins with the first of each heap and takes the best exchange
 * of one piece for another that lies there, or of two with each other, until none is better: good, not proven best.
 *
 * @param gaps    one for each condition, at least one
 * @param pieces  each with a candidate of its own at least; kinds have as many units as pieces
 */
export function choosePieces(
  gaps: readonly GapIn[],
  pieces: readonly PieceToChoose[],
  wanted: Gap,
): PieceChoice {
  const marginOf = (sums: readonly number[]) => {
    let least = Number.POSITIVE_INFINITY;
    for (const [at, { half }] of gaps.entries()) {
      const gap = sums[at]!;
      least = Math.min(least, gap - half - wanted.min, wanted.max - gap - half);
    }
    return least;
  };
  const start = gaps.map(({ base }) => base);
  return choices(pieces) <= MOST_LOOKED_AT
    ? lookedAtAll(pieces, start, marginOf)
    : exchanged(pieces, start, marginOf);
}

type MarginOf = (sums: readonly number[]) => number;

function lookedAtAll(pieces: readonly PieceToChoose[], start: number[], marginOf: MarginOf): PieceChoice {
  let best: PieceChoice = { chosen: [], margin: Number.NEGATIVE_INFINITY, isExact: true };
  const taken = new Set<string>();
  const chosen: number[] = [];
  const lastOf = new Map<string, number>();
  const go = (at: number, sums: readonly number[]) => {
    const piece = pieces[at];
    if (!piece) {
      const margin = marginOf(sums);
      if (margin > best.margin) best = { chosen: [...chosen], margin, isExact: true };
      return;
    }
    const { kind, alike, candidates } = piece;
    const last = lastOf.get(alike);
    for (let index = (last ?? -1) + 1; index < candidates.length; index += 1) {
      const { unit, adds } = candidates[index]!;
      const key = `${kind}:${unit}`;
      if (taken.has(key)) continue;
      taken.add(key);
      chosen.push(index);
      lastOf.set(alike, index);
      go(
        at + 1,
        sums.map((sum, condition) => sum + adds[condition]!),
      );
      if (last === undefined) lastOf.delete(alike);
      else lastOf.set(alike, last);
      chosen.pop();
      taken.delete(key);
    }
  };
  go(0, start);
  return best;
}

function exchanged(pieces: readonly PieceToChoose[], start: number[], marginOf: MarginOf): PieceChoice {
  const chosen: number[] = [];
  const holder = new Map<string, number>();
  const keyOf = (piece: PieceToChoose, index: number) => `${piece.kind}:${piece.candidates[index]!.unit}`;
  for (const [at, piece] of pieces.entries()) {
    const index = piece.candidates.findIndex((_, one) => !holder.has(keyOf(piece, one)));
    chosen.push(index);
    holder.set(keyOf(piece, index), at);
  }
  const marginWith = (trial: readonly number[]) =>
    marginOf(
      start.map((base, condition) =>
        pieces.reduce((sum, piece, at) => sum + piece.candidates[trial[at]!]!.adds[condition]!, base),
      ),
    );
  let margin = marginWith(chosen);
  for (;;) {
    let best: { trial: number[]; margin: number } | null = null;
    for (const [at, piece] of pieces.entries()) {
      for (let index = 0; index < piece.candidates.length; index += 1) {
        if (index === chosen[at]) continue;
        const trial = [...chosen];
        trial[at] = index;
        const other = holder.get(keyOf(piece, index));
        if (other !== undefined) {
          const { unit } = piece.candidates[chosen[at]!]!;
          const back = pieces[other]!.candidates.findIndex((one) => one.unit === unit);
          if (back === -1) continue;
          trial[other] = back;
        }
        const now = marginWith(trial);
        if (now > (best?.margin ?? margin)) best = { trial, margin: now };
      }
    }
    if (!best) return { chosen, margin, isExact: false };
    chosen.splice(0, chosen.length, ...best.trial);
    margin = best.margin;
    holder.clear();
    for (const [at, piece] of pieces.entries()) holder.set(keyOf(piece, chosen[at]!), at);
  }
}
