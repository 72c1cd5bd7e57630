import { NotComputable } from '../platform/not-computable.ts';
import { zoneDeviations } from '../specs/index.ts';

/** What may be wanted of a fit, in a word or by figures. */
export const WISHES = ['sliding', 'located', 'pressed', 'figures'] as const;

export type Wish = (typeof WISHES)[number];

/** Smallest and greatest clearance in mm; below 0 is interference. */
export interface Gap {
  min: number;
  max: number;
}

export interface Wanted extends Gap {
  /** where the figures are from, in a sentence */
  source: string;
}

const mm = (micrometres: number) => micrometres / 1000;

/** Tightest and loosest of a pair of zones at a size, in mm. @throws NotComputable no value in the standard */
function pairGap(nominal: number, hole: string, shaft: string): Gap {
  const [holeZone, shaftZone] = [zoneDeviations(nominal, hole), zoneDeviations(nominal, shaft)];
  return { min: mm(holeZone.lower - shaftZone.upper), max: mm(holeZone.upper - shaftZone.lower) };
}

/**
 * The clearance that a wish in a word stands for at a size, or its figures.
 *
 * sliding: never less than 0, so that it moves, and no looser than H9/d9. located: put together by hand or with light
 * taps, from H7/n6 at its tightest to H7/h6 at its loosest. pressed: never clear, and no tighter than H7/u6.
 *
 * @param nominal  mm
 * @param figures  for the wish `figures`, in mm
 * @throws NotComputable  a size that ISO 286 has no value for; figures missing
 *
 * Source: clearance and interference as ISO 286-1:2010 defines them; which pairs bound a word is common practice, no
 * source.
 * Example: wantedGap('sliding', 25, null) -> 0 to 0.169; wantedGap('located', 25, null) -> -0.028 to 0.034
 */
export function wantedGap(wish: Wish, nominal: number, figures: Gap | null): Wanted {
  if (wish === 'figures') {
    if (!figures) throw new NotComputable('the wish gives no figures');
    return { ...figures, source: 'the figures typed' };
  }
  if (wish === 'sliding') {
    const { max } = pairGap(nominal, 'H9', 'd9');
    return { min: 0, max, source: 'sliding: always clear, and no looser than H9/d9 at its loosest' };
  }
  if (wish === 'located') {
    const { min } = pairGap(nominal, 'H7', 'n6');
    const { max } = pairGap(nominal, 'H7', 'h6');
    return { min, max, source: 'located: from H7/n6 at its tightest to H7/h6 at its loosest' };
  }
  const { min } = pairGap(nominal, 'H7', 'u6');
  return { min, max: 0, source: 'pressed: never clear, and no tighter than H7/u6 at its tightest' };
}
