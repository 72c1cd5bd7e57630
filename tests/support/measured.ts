import type { TestApp } from './app.ts';
import type { CastName } from './cast.ts';
import type { AReleasedPart, DraftWish } from './drawings.ts';
import { aDeliveredClaim, checked } from './receiving.ts';

/** As many pieces as there are values, made, posted, received and inspected with one value each at the first dimension. */
export async function measuredPieces(
  app: TestApp,
  {
    who = 'imre',
    part,
    values,
    scrap = false,
  }: {
    who?: CastName;
    part?: DraftWish;
    values: readonly number[];
    /** scrapped rather than accepted: values outside the limits bar acceptance */
    scrap?: boolean;
  },
): Promise<AReleasedPart & { jobId: number; lineId: number }> {
  const delivered = await aDeliveredClaim(app, {
    who,
    quantity: values.length,
    jobWish: { part: { characteristics: ['25 H7'], ...part } },
  });
  const [characteristicId] = delivered.characteristicIds as [number];
  for (const [index, value] of values.entries()) {
    await checked(app, {
      lineId: delivered.lineId,
      units: [index + 1],
      values: [{ characteristicId, value }],
      ...(scrap ? { disposition: 'scrap' as const } : {}),
    });
  }
  return delivered;
}
