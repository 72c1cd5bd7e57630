import type { Act } from '../src/platform/acts.ts';
import type { Measured } from '../src/receiving/index.ts';
import { limitsOf, parseCharacteristic } from '../src/specs/index.ts';

type Limits = { lowerLimit: number; upperLimit: number };

/**
 * A value somebody may have measured: inside the middle 70 % of the limits, rounded as the gauge shows it.
 *
 * @param piece  numbers the pieces; each has its own value, the same at each loading
 */
function plausible({ lowerLimit, upperLimit }: Limits, piece: number): number {
  const room = upperLimit - lowerLimit;
  // Golden ratio steps spread evenly without repeating.
  const place = 0.15 + 0.7 * ((piece * 0.618033988749895) % 1);
  const places = room < 0.2 ? 3 : room < 2 ? 2 : 1;
  return Number((lowerLimit + room * place).toFixed(places));
}

/** The sizes of a revision that have limits. */
async function limitedSizes(act: Act, revisionId: number) {
  const revision = await act.tx.revision.findUniqueOrThrow({
    where: { id: revisionId },
    include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
  });
  return revision.characteristics.flatMap(({ id, label, text, isKey }) => {
    const reading = parseCharacteristic(text);
    if (!reading.ok || reading.characteristic.kind === 'requirement') return [];
    const limits = limitsOf(
      reading.characteristic,
      (revision.generalTolerance || null) as 'f' | 'm' | 'c' | 'v' | null,
    );
    return 'refusal' in limits ? [] : [{ id, label, isKey, limits }];
  });
}

/** Whether each piece made to a revision is measured by itself: it has a size that matters. */
export async function measuredSingly(act: Act, revisionId: number): Promise<boolean> {
  return (await limitedSizes(act, revisionId)).some(({ isKey }) => isKey);
}

/** What was measured on a piece: its key sizes, and whatever the story names. */
export async function measuredValues(
  act: Act,
  revisionId: number,
  piece: number,
  told: Readonly<Record<string, number>> = {},
): Promise<Measured[]> {
  const sizes = await limitedSizes(act, revisionId);
  const strange = Object.keys(told).find((label) => !sizes.some((size) => size.label === label));
  if (strange) throw new Error(`revision ${revisionId} has no size called ${strange}`);
  return sizes.flatMap(({ id, label, isKey, limits }, index) => {
    if (label in told) return [{ characteristicId: id, value: told[label]! }];
    return isKey ? [{ characteristicId: id, value: plausible(limits, piece + index * 3) }] : [];
  });
}
