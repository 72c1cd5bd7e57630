import { formatQuantity, parseQuantity, type Unit } from '../parts/index.ts';
import { WrongField } from '../platform/refusal.ts';

/** What jobs without a part are counted in. */
export const DEFAULT_UNIT: Unit = 'piece';

/** A stored unit as the quantities know it. */
export function unitOf(stored: string | null | undefined): Unit {
  return stored === 'm' || stored === 'l' || stored === 'kg' ? stored : DEFAULT_UNIT;
}

/** A quantity in words; none is said as `no pieces`, `no m`. */
export function say(milli: number, unit: Unit): string {
  return milli === 0 ? `no ${unit === 'piece' ? 'pieces' : unit}` : formatQuantity(milli, unit);
}

/** `is` or `are`, as the quantity asks for it. */
export function be(milli: number): string {
  return milli === 1000 ? 'is' : 'are';
}

/**
 * A typed quantity in thousandths of the unit.
 *
 * @throws WrongField  at the field, with the sentence that says what does not fit
 */
export function typedQuantity(text: string, unit: Unit, field = 'quantity'): number {
  const reading = parseQuantity(text, unit);
  if (!reading.ok) throw new WrongField(field, reading.sentence);
  return reading.milli;
}

/** As typedQuantity, where nothing typed, or a zero, stands for none. */
export function typedQuantityOrNone(text: string, unit: Unit, field = 'quantity'): number {
  return /^0*([.,]0*)?$/.test(text.trim()) ? 0 : typedQuantity(text, unit, field);
}
