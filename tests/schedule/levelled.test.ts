import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { anyBuild, levelled } from './levelled-any.ts';
import { levelledFaults } from './levelled-checker.ts';

describe('a levelled plan', () => {
  it('keeps every rule, for any build', () => {
    fc.assert(
      fc.property(anyBuild, (build) => {
        expect(levelledFaults(levelled(build))).toEqual([]);
      }),
      { seed: 31, numRuns: 400 },
    );
  });
});
