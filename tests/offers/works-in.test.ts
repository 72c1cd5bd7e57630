import { describe, expect, it } from 'vitest';
import { worksIn } from '../../src/offers/works-in.ts';

const brass = { name: 'brass CW614N (CuZn39Pb3)', family: 'metal' };
const mild = { name: 'mild steel S235JR (1.0038)', family: 'metal' };
const stainless = { name: 'stainless steel 1.4301 (304)', family: 'metal' };
const aluminium = { name: 'aluminium EN AW-6082 T6', family: 'metal' };
const plywood = { name: 'birch plywood', family: 'wood' };
const oak = { name: 'oak (Quercus robur, petraea)', family: 'wood' };

describe('worksIn', () => {
  it.each([
    ['brass, aluminium, mild steel', brass, 'yes'],
    ['Brass and steel', stainless, 'yes'],
    ['mild steel', stainless, 'no'],
    ['mild steel up to 10 mm', mild, 'yes'],
    ['aluminum', aluminium, 'yes'],
    ['all metals', brass, 'yes'],
    ['Metals', plywood, 'no'],
    ['non-ferrous', brass, 'yes'],
    ['non-ferrous', mild, 'no'],
    ['wood', plywood, 'yes'],
    ['hardwood / ply', oak, 'yes'],
    ['hardwood', plywood, 'no'],
    ['anything', plywood, 'yes'],
    ['steel, no stainless', stainless, 'unknown'],
    ['small things', brass, 'unknown'],
    ['<b>', brass, 'unknown'],
    ['felt', { name: 'felt 3 mm', family: '' }, 'yes'],
    ['carbon steel', { name: 'carbon fibre tube (epoxy)', family: 'composite' }, 'no'],
  ] as const)('%s for %o: %s', (words, material, holds) => {
    expect(worksIn(words, material)).toBe(holds);
  });
});
