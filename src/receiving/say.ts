import { formatQuantity, parseQuantity, type Unit } from '../parts/index.ts';
import { WrongField } from '../platform/refusal.ts';

/** A quantity in words; none is said as `no pieces`, `no m`. */
export function say(milli: number, unit: Unit): string {
  return milli === 0 ? `no ${unit === 'piece' ? 'pieces' : unit}` : formatQuantity(milli, unit);
}

/** `is` or `are`, as the quantity asks for it. */
export function be(milli: number): string {
  return milli === 1000 ? 'is' : 'are';
}

/** A stored unit as the quantities know it. */
export function unitOf(stored: string | null | undefined): Unit {
  return stored === 'm' || stored === 'l' || stored === 'kg' ? stored : 'piece';
}

/**
 * A typed count in thousandths of the unit; unlike a quantity it may be zero.
 *
 * @returns  null where nothing was typed, or the sentence that says what does not fit
 */
export function readCount(text: string, unit: Unit): { milli: number | null } | { sentence: string } {
  const typed = text.trim();
  if (typed === '') return { milli: null };
  if (/^0+([.,]0+)?$/.test(typed)) return { milli: 0 };
  const reading = parseQuantity(typed, unit);
  return reading.ok ? { milli: reading.milli } : { sentence: reading.sentence };
}

/**
 * A typed quantity in thousandths of the unit.
 *
 * @throws WrongField  at `quantity`, with the sentence that says what does not fit
 */
export function quantityOrWrong(text: string, unit: Unit): number {
  const reading = parseQuantity(text, unit);
  if (!reading.ok) throw new WrongField('quantity', reading.sentence);
  return reading.milli;
}
