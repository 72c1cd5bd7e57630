import type { PartStory } from './types.ts';

// One line of the parts list for each kind of part.

/** @param makeDays  working days to fit it @param holds  what goes into it */
export function assembly(
  number: string,
  name: string,
  makeDays: number,
  holds: Readonly<Record<string, number>>,
): PartStory {
  return { number, name, kind: 'assembly', makeDays, holds };
}

/** @param material, process  keys of the libraries @param grams  null: nobody weighed it, its model tells @param drawHours  of the lead @param makeDays  working days */
export function made(
  number: string,
  name: string,
  material: string,
  process: string,
  grams: number | null,
  drawHours: number,
  makeDays: number,
): PartStory {
  return {
    number,
    name,
    kind: 'made',
    material,
    process,
    ...(grams === null ? {} : { grams }),
    drawHours,
    makeDays,
  };
}

/** @param cents  of one unit @param leadDays  from order to delivery */
export function bought(
  number: string,
  name: string,
  supplier: string,
  cents: number,
  leadDays: number,
  shelf = 0,
  unit: PartStory['unit'] = 'piece',
): PartStory {
  return { number, name, kind: 'bought', unit, supplier, cents, leadDays, shelf };
}

/** @param shelf  how much lies there */
export function stock(
  number: string,
  name: string,
  unit: PartStory['unit'],
  cents: number,
  shelf: number,
): PartStory {
  return { number, name, kind: 'stock', unit, cents, shelf };
}
