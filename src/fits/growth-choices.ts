import type { GrowthBy } from './side-store.ts';

/** Which values of the list of materials a size goes by, for forms. */
export const GROWTH_CHOICES: readonly { value: Exclude<GrowthBy, ''>; label: string }[] = [
  { value: 'across', label: 'across: the thickness of a sheet, through the fibres' },
  { value: 'typed', label: 'as typed below, and nothing from the list' },
];
