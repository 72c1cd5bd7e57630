import type { Tx } from '../platform/database.ts';
import type { FitOfSizes } from './chain-direction.ts';

/** Every fit of the build by its two sides. */
export async function fitsOfSizes(reader: Pick<Tx, 'fit'>): Promise<FitOfSizes[]> {
  const fits = await reader.fit.findMany({ where: { removedAt: null }, orderBy: { id: 'asc' } });
  return fits.map(({ id, name, holePartId, holePosition, shaftPartId, shaftPosition }) => ({
    id,
    name: name || `fit ${id}`,
    hole: { partId: holePartId, position: holePosition },
    shaft: { partId: shaftPartId, position: shaftPosition },
  }));
}
