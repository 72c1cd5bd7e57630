import { type ChainAnswer, chain, withoutDust } from '../specs/index.ts';
import { type Condition, conditionsFor, growth, type Movement, type TemperatureRange } from './conditions.ts';
import type { FitAt, FitVerdict } from './fit-verdict.ts';
import type { Size } from './size.ts';
import { type VerdictOver, verdictOver } from './verdict.ts';
import type { Gap } from './wanted.ts';

/** A size that opens the gap (1) or closes it (-1), or the play of a fit, by which a part may sit to either side. */
export type Link =
  | { kind: 'size'; label: string; size: Size; movement: Movement; direction: 1 | -1 }
  | { kind: 'play'; label: string; fit: FitVerdict };

/** The gap in one condition, in mm. */
export interface ChainAt {
  condition: Condition;
  answer: ChainAnswer;
  chanceInside: number;
  spareTight: number;
  spareLoose: number;
}

export type ChainVerdict = VerdictOver<ChainAt>;

const STILL: Movement = { expansion: 0, dry: 0, damp: 0 };

const sameCondition = (a: Condition, b: Condition) => a.celsius === b.celsius && a.air === b.air;

/** A fit's clearance in a condition. Where its parts do not grow in that air, it is that of the air as drawn. */
export function playRow({ rows }: FitVerdict, condition: Condition): FitAt | undefined {
  const rowIn = (air: Condition['air']) =>
    rows.find((one) => sameCondition(one.condition, { ...condition, air }));
  return rowIn(condition.air) ?? rowIn('as drawn');
}

/** The middle of a link and half its tolerance in a condition; null where that is not known. */
export function linkAt(link: Link, condition: Condition): { middle: number; half: number } | null {
  if (link.kind === 'play') {
    const row = playRow(link.fit, condition);
    return row ? { middle: 0, half: Math.max(0, row.max) / 2 } : null;
  }
  const factor = growth(link.movement, condition);
  if (factor === null) return null;
  const { lower, upper } = link.size;
  return { middle: ((lower + upper) / 2) * factor, half: ((upper - lower) / 2) * factor };
}

function chainAt(
  links: readonly Link[],
  wanted: Gap,
  condition: Condition,
  loosened?: { index: number; by: number },
): ChainAt | null {
  const contributors = [];
  for (const [index, link] of links.entries()) {
    const now = linkAt(link, condition);
    if (!now) return null;
    const half = now.half + (loosened?.index === index ? loosened.by / 2 : 0);
    const direction = link.kind === 'size' ? link.direction : (1 as const);
    contributors.push({ label: link.label, nominal: now.middle, plus: half, minus: half, direction });
  }
  const answer = chain({ contributors, wanted });
  return {
    condition,
    answer,
    chanceInside: answer.chanceInside ?? 0,
    spareTight: withoutDust(answer.worstCase.min - wanted.min),
    spareLoose: withoutDust(wanted.max - answer.worstCase.max),
  };
}

/** The conditions of a chain: those of its sizes and of the fits in it. */
export function chainConditions(links: readonly Link[], range: TemperatureRange): Condition[] {
  const ofFits = links.flatMap((link) => (link.kind === 'play' ? link.fit.rows : []));
  // a fit's parts may grow in the air as well: its rows are asked for in the same words
  const asMovement = (air: 'driest' | 'dampest'): Movement =>
    ofFits.some(({ condition }) => condition.air === air)
      ? { expansion: 0, dry: air === 'driest' ? 1 : 0, damp: air === 'dampest' ? 1 : 0 }
      : STILL;
  const movements = links.flatMap((link) => (link.kind === 'size' ? [link.movement] : []));
  return conditionsFor(range, [...movements, asMovement('driest'), asMovement('dampest')]);
}

/**
 * Whether a chain's gap is as wanted, at 20 °C and wherever the machine will stand.
 *
 * The worst case decides `fits`; the chance, each size normal about the middle of its limits with three standard
 * deviations to a half band, decides `may fail` (see verdictOf).
 *
 * @throws NotComputable  no link; sizes too large to add up
 *
 * Source: worst case and root sum square of a linear chain, common practice, no source; see specs/chain.ts.
 */
export function chainVerdict(links: readonly Link[], wanted: Gap, range: TemperatureRange): ChainVerdict {
  return verdictOver(chainConditions(links, range), (condition) => chainAt(links, wanted, condition));
}

/** What a wider tolerance of one link would do, in the condition with the least chance. */
export interface Loosened {
  label: string;
  /** chance inside before and after */
  before: number;
  after: number;
  /** how much wider the gap's root sum square becomes, from end to end, in mm */
  wider: number;
  /** by how much the root sum square widens with each mm of this tolerance at first, in mm; null without tolerance */
  perMm: number | null;
}

/**
 * What `by` mm more tolerance of each link, all in all, would do to the gap. The worst case always becomes wider by
 * the whole of it.
 *
 * @returns  a line for each link, and the room: what any one tolerance may grow by, in mm, before the worst case is as
 *           wide as wanted; null where no condition is known
 */
export function loosenings(
  links: readonly Link[],
  wanted: Gap,
  verdict: ChainVerdict,
  by: number,
): { condition: Condition; lines: Loosened[]; room: number } | null {
  const [first, ...others] = verdict.rows;
  if (!first) return null;
  const least = others.reduce((a, b) => (b.chanceInside < a.chanceInside ? b : a), first);
  const width = ({ rootSumSquare }: ChainAnswer) => rootSumSquare.max - rootSumSquare.min;
  const lines = links.map((link, index) => {
    const after = chainAt(links, wanted, least.condition, { index, by }) ?? least;
    const now = linkAt(link, least.condition);
    const half = width(least.answer) / 2;
    return {
      label: link.label,
      perMm: now && half > 0 ? now.half / half : null,
      before: least.chanceInside,
      after: after.chanceInside,
      wider: withoutDust(width(after.answer) - width(least.answer)),
    };
  });
  // each end of the gap moves by half of what one link is loosened
  const room = Math.max(0, withoutDust(2 * (verdict.margin ?? 0)));
  return { condition: least.condition, lines, room };
}
