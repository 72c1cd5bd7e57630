import { describe, expect, it } from 'vitest';
import { inLots } from '../../src/platform/in-lots.ts';

describe('inLots', () => {
  it('reads all of a list in its order, a few hundred at a time', async () => {
    const list = Array.from({ length: 1001 }, (_, at) => at);
    const lots: number[] = [];
    const read = await inLots(list, async (lot) => {
      lots.push(lot.length);
      return lot.map((one) => one * 2);
    });
    expect(read).toEqual(list.map((one) => one * 2));
    expect(Math.max(...lots)).toBeLessThanOrEqual(300);
    expect(await inLots([], async () => [1])).toEqual([]);
  });
});
