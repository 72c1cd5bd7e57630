import { formatMoney } from './money.ts';
import type { PartRow } from './structure-reader.ts';
import type { RollUp } from './structure-rollup.ts';
import { decimalText } from './typed-number.ts';

/** Grams in words: `0.4 g`, `12.5 g`, `3.25 kg`, `1.2 t`; four figures at most above a gram. */
export function formatMass(grams: number): string {
  const [amount, unit] =
    grams >= 1_000_000 ? [grams / 1_000_000, 't'] : grams >= 1000 ? [grams / 1000, 'kg'] : [grams, 'g'];
  const places = amount >= 100 ? 1 : amount >= 10 ? 2 : 3;
  return `${decimalText(Math.round(amount * 10 ** places), places)} ${unit}`;
}

/** A rolled-up figure for a page: what is known, and how much is missing from it. */
export interface RollUpWords {
  text: string;
  /** what is not in it; empty when nothing is missing */
  missing: string;
}

/** What one unit of a part weighs, in words. */
export function massWords(rollUp: RollUp | undefined): RollUpWords {
  return rollUpWords(rollUp, formatMass);
}

/** What is in one unit of a part costs, in words. */
export function costWords(rollUp: RollUp | undefined, currency: string): RollUpWords {
  return rollUpWords(rollUp, (cents) => formatMoney(cents, currency));
}

/** The same without the currency, for a column whose head names it. */
export function plainCostWords(rollUp: RollUp | undefined): RollUpWords {
  return rollUpWords(rollUp, (cents) => decimalText(cents, 2, true));
}

function rollUpWords(rollUp: RollUp | undefined, format: (value: number) => string): RollUpWords {
  if (!rollUp || rollUp.value === null) return { text: '', missing: 'not known' };
  const { value, unknownParts } = rollUp;
  return {
    text: format(value),
    missing: unknownParts === 0 ? '' : `${unknownParts} ${unknownParts === 1 ? 'part' : 'parts'} not known`,
  };
}

/** Whether every word of the question is in number or name, whatever the capitals and accents. */
export function findsPart(question: string): (part: Pick<PartRow, 'number' | 'name'>) => boolean {
  const wanted = searchKey(question).split(' ').filter(Boolean);
  return (part) => {
    const key = searchKey(`${part.number} ${part.name}`);
    return wanted.every((word) => key.includes(word));
  };
}

function searchKey(text: string): string {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').replace(/\s+/g, ' ').trim().toLowerCase();
}
