import { z } from 'zod';
import { choice, line, optionalId, optionalNumber, words } from '../platform/http/fields.ts';
import { parseMoney } from './money.ts';
import { partKinds, partUnits } from './part.ts';
import { parseQuantity } from './quantity.ts';

/** The fields of a part's form. The build's currency is taken where a price names none. */
function partFields(currency: string) {
  return {
    name: line(120, 'Give the part a name.'),
    kind: choice(partKinds, 'Choose what kind of part it is.'),
    unit: choice(partUnits, 'Choose what it is counted or measured in.'),
    note: words(2000),
    materialId: optionalId('Choose a material of the list.'),
    processId: optionalId('Choose a process of the list.'),
    massGrams: optionalNumber({ min: 0.001, max: 1_000_000_000, unit: ' g' }),
    supplier: line(80),
    supplierNumber: line(80),
    pack: line(40),
    price: line(40).transform((text, check) => {
      if (text === '') return null;
      const reading = parseMoney(text, { currency });
      if (!reading.ok) check.addIssue(reading.sentence);
      else if (reading.currency !== currency) {
        check.addIssue(`The build counts in ${currency}: write the price in ${currency}.`);
      }
      return reading.ok ? reading.cents : null;
    }),
    leadDays: optionalNumber({ min: 0, max: 2000, unit: ' days', whole: true }),
    designHours: optionalNumber({ min: 0, max: 10_000, unit: ' hours' }),
    makeDays: optionalNumber({ min: 0, max: 2000, unit: ' days', whole: true }),
  };
}

/** The pack is told in the part's unit, so it is read once that is known. */
function withPack<T extends { pack: string; unit: (typeof partUnits)[number]; price: number | null }>(
  { pack, price, ...rest }: T,
  check: z.RefinementCtx,
) {
  let packMilli: number | null = null;
  if (pack !== '') {
    const reading = parseQuantity(pack, rest.unit);
    if (reading.ok) packMilli = reading.milli;
    else check.addIssue({ code: 'custom', path: ['pack'], message: reading.sentence });
  }
  return { ...rest, packMilli, priceCents: price };
}

export const ChangePartForm = (currency: string) =>
  z
    .object({ ...partFields(currency), seen: optionalNumber({ min: 0, max: Number.MAX_SAFE_INTEGER }) })
    .transform(withPack);

/** A new part, with the assembly it goes into where that is said. */
export const NewPartForm = (currency: string) =>
  z
    .object({ ...partFields(currency), number: line(40), into: line(120), quantity: line(40) })
    .transform(withPack)
    .transform(({ quantity, ...rest }, check) => {
      if (rest.into === '') return { ...rest, milli: null };
      const reading = parseQuantity(quantity === '' ? '1' : quantity, rest.unit);
      if (!reading.ok) check.addIssue({ code: 'custom', path: ['quantity'], message: reading.sentence });
      return { ...rest, milli: reading.ok ? reading.milli : null };
    });

export const AddUseForm = z.object({
  child: line(120, 'Type the number of the part that goes into it.'),
  quantity: line(40, 'Type how many or how much goes into one.'),
  note: line(200),
});

export const ChangeUseForm = AddUseForm.omit({ child: true });

export const ShelfForm = z.object({ quantity: line(40, 'Type how much lies there; 0 for an empty shelf.') });

/** A form of buttons and hidden fields only. */
export const ButtonForm = z.object({});

const address = (max: number) => z.string().trim().max(max).catch('');
const page = z.coerce.number().int().min(1).max(10_000).catch(1);
const kind = z.enum(['', ...partKinds]).catch('');

/** The address of the structure; whatever does not fit counts as not asked for. */
export const StructureAddress = z.object({
  q: address(80),
  kind,
  depth: z.coerce.number().int().min(1).max(12).nullable().catch(null),
  from: address(40),
  page,
});

/** The address of the flat list. */
export const ListAddress = z.object({
  q: address(80),
  kind,
  hung: z.enum(['', 'nowhere']).catch(''),
  page,
});
