import fc from 'fast-check';
import type { LevelRequest } from '../../src/schedule/level-request.ts';

/** Any project: also without resources, with capacities of 0, with links given twice, listed in any order. */
export function anyProject(most: {
  activities: number;
  resources: number;
  days: number;
}): fc.Arbitrary<LevelRequest> {
  const capacity = fc.oneof(fc.integer({ min: 0, max: 5 }), fc.constantFrom(127, 128, 70_000, 1_000_000));
  return fc
    .record({
      capacities: fc.array(capacity, { maxLength: most.resources }),
      activities: fc.array(
        fc.record({
          duration: fc.integer({ min: 0, max: most.days }),
          shares: fc.array(fc.constantFrom(0, 0, 0.3, 0.5, 0.51, 1), { maxLength: most.resources }),
          back: fc.array(fc.integer({ min: 1, max: most.activities }), { maxLength: 3 }),
          place: fc.nat(),
        }),
        { maxLength: most.activities },
      ),
    })
    .map(({ capacities, activities }) => ({
      resources: capacities.map((units, k) => ({ id: `r${k}`, capacity: units })),
      activities: activities
        .map(({ duration, shares, back, place }, i) => ({
          place,
          activity: {
            id: `a${i}`,
            duration,
            demands: Object.fromEntries(
              shares
                .slice(0, capacities.length)
                .map((share, k) => [`r${k}`, Math.ceil(share * capacities[k]!)]),
            ),
            predecessors: back.filter((steps) => steps <= i).map((steps) => `a${i - steps}`),
          },
        }))
        .sort((one, other) => one.place - other.place)
        .map(({ activity }) => activity),
    }));
}
