import { describe, expect, it } from 'vitest';
import { plate, stepModel } from '../../seed/step-model.ts';
import { stepFacts } from '../../src/models/read/step.ts';

const product = { number: 'OR-0203', name: "Shaft d'été", writtenOn: '2026-01-01' };

describe('stepModel, read back', () => {
  it('is a closed solid of the size, volume and surface of a stepped shaft with a bore', async () => {
    const facts = await stepFacts(
      stepModel(product, {
        turned: [
          [20, 30],
          [40, 10],
          [24, 60],
        ],
        bore: 8,
      }),
    );
    const volume = (Math.PI / 4) * (20 ** 2 * 30 + 40 ** 2 * 10 + 24 ** 2 * 60 - 8 ** 2 * 100);
    expect(facts).toMatchObject({ unit: 'mm', solids: 1, warnings: [] });
    expect(facts.size!.x).toBeCloseTo(40, 2);
    expect(facts.size!.y).toBeCloseTo(40, 2);
    expect(facts.size!.z).toBeCloseTo(100, 6);
    expect(facts.volume! / volume).toBeCloseTo(1, 3);
    expect(facts.step!.tree[0]).toMatchObject({ name: "OR-0203 Shaft d' t" });
  });

  it('is a closed solid of a plate with holes and of a bent profile', async () => {
    const drilled = await stepFacts(
      stepModel(
        product,
        plate(160, 60, 4, [
          [20, 30, 8.5],
          [140, 30, 8.5],
        ]),
      ),
    );
    expect(drilled.size!.x).toBeCloseTo(160, 6);
    expect(drilled.size!.z).toBeCloseTo(4, 6);
    expect(drilled.solids).toBe(1);
    expect(drilled.volume! / (160 * 60 * 4 - (Math.PI / 2) * 8.5 ** 2 * 4)).toBeCloseTo(1, 4);
    const angle = await stepFacts(
      stepModel(product, {
        outline: [
          [0, 0],
          [60, 0],
          [60, 3],
          [3, 3],
          [3, 83],
          [0, 83],
        ],
        height: 180,
      }),
    );
    expect(angle.volume!).toBeCloseTo((60 + 80) * 3 * 180, 3);
    expect(angle.solids).toBe(1);
  });
});
