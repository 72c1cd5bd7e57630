/** A size on a drawing. */
export interface SizeAt {
  partId: number | null;
  position: number | null;
}

/** A fit by its two sides. */
export interface FitOfSizes {
  id: number;
  name: string;
  hole: SizeAt;
  shaft: SizeAt;
}

export type Direction = { direction: 1 | -1; because: string } | { sentence: string };

const same = (a: SizeAt, b: SizeAt) =>
  a.partId !== null && a.position !== null && a.partId === b.partId && a.position === b.position;

/**
 * Whether a size opens or closes a chain's gap, as the fits have it: a hole opens it and a shaft closes it; where the
 * other side of its fit is in the chain already, it goes the other way than that one.
 *
 * @param links  of the chain, the nearest last
 * @returns      or a sentence, where no fit has the size, or it is a hole in one and a shaft in another
 */
export function directionFromFits(
  size: SizeAt,
  fits: readonly FitOfSizes[],
  links: readonly (SizeAt & { direction: number })[],
): Direction {
  const own = fits.filter(({ hole, shaft }) => same(hole, size) || same(shaft, size));
  for (const link of [...links].reverse()) {
    const fit = own.find(({ hole, shaft }) => same(same(hole, size) ? shaft : hole, link));
    if (!fit) continue;
    return {
      direction: link.direction === 1 ? -1 : 1,
      because: `the other side of ${fit.name} is in the chain, the other way`,
    };
  }
  const asHole = own.find(({ hole }) => same(hole, size));
  const asShaft = own.find(({ shaft }) => same(shaft, size));
  if (asHole && asShaft) {
    return {
      sentence: `It is the hole of ${asHole.name} and the shaft of ${asShaft.name}: choose opens or closes.`,
    };
  }
  if (asHole) return { direction: 1, because: `it is the hole of ${asHole.name}` };
  if (asShaft) return { direction: -1, because: `it is the shaft of ${asShaft.name}` };
  return { sentence: 'No fit has this size as a side: choose opens or closes.' };
}
