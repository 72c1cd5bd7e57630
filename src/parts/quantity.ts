import {
  type DecimalMark,
  decimalText,
  type NumberReading,
  plainForm,
  readNumber,
  scaled,
} from './typed-number.ts';

/** What a part is counted or measured in. */
export type Unit = 'piece' | 'm' | 'l' | 'kg';

export const units: readonly Unit[] = ['piece', 'm', 'l', 'kg'];

/** The largest quantity taken: one million, in thousandths. */
export const largestQuantityMilli = 1_000_000_000;

export type QuantityRefusal =
  | 'empty'
  | 'not-a-number'
  | 'ambiguous'
  | 'other-mark'
  | 'unknown-unit'
  | 'wrong-unit'
  | 'negative'
  | 'zero'
  | 'not-whole'
  | 'too-fine'
  | 'too-large';

export type QuantityReading =
  | { ok: true; milli: number; unit: Unit }
  | { ok: false; code: QuantityRefusal; sentence: string };

interface UnitWord {
  unit: Unit;
  numerator: bigint;
  denominator: bigint;
}

const one = { numerator: 1n, denominator: 1n };
const wordLists: readonly [Omit<UnitWord, 'unit'> & { unit: Unit }, string][] = [
  [
    { unit: 'piece', ...one },
    'piece pieces pc pcs pce pces ea each unit units x × off no nos set sets item items st stk stck stück stueck pièce pièces piece(s) pieza piezas ud uds',
  ],
  [{ unit: 'piece', numerator: 2n, denominator: 1n }, 'pair pairs paar paire paires par pares'],
  [{ unit: 'piece', numerator: 12n, denominator: 1n }, 'dozen doz'],
  [{ unit: 'm', ...one }, 'm metre metres meter meters mètre mètres metro metros lfm'],
  [{ unit: 'm', numerator: 1n, denominator: 1000n }, 'mm millimetre millimetres millimeter millimeters'],
  [{ unit: 'm', numerator: 1n, denominator: 100n }, 'cm centimetre centimetres centimeter centimeters'],
  [{ unit: 'm', numerator: 1000n, denominator: 1n }, 'km'],
  // The yard and pound agreement of 1959: an inch is 25.4 mm, a pound 0.45359237 kg, both exactly.
  [{ unit: 'm', numerator: 254n, denominator: 10_000n }, 'in inch inches "'],
  [{ unit: 'm', numerator: 3048n, denominator: 10_000n }, 'ft foot feet'],
  [{ unit: 'l', ...one }, 'l litre litres liter liters litro litros'],
  [{ unit: 'l', numerator: 1n, denominator: 1000n }, 'ml'],
  [{ unit: 'l', numerator: 1n, denominator: 100n }, 'cl'],
  [{ unit: 'kg', ...one }, 'kg kilo kilos kilogram kilograms kilogramme kilogrammes'],
  [{ unit: 'kg', numerator: 1n, denominator: 1000n }, 'g gram grams gramm gramme grammes gramo gramos'],
  [{ unit: 'kg', numerator: 1000n, denominator: 1n }, 't tonne tonnes'],
  [{ unit: 'kg', numerator: 45_359_237n, denominator: 100_000_000n }, 'lb lbs pound pounds'],
  [{ unit: 'kg', numerator: 45_359_237n, denominator: 1_600_000_000n }, 'oz ounce ounces'],
];

const unitWords = new Map<string, UnitWord>(
  wordLists.flatMap(([meaning, words]) =>
    words.split(' ').map((word): [string, UnitWord] => [word, meaning]),
  ),
);

/** The unit a word of the trade stands for (`Stk.`, `pcs`, `mm`), with its factor as a fraction; null if not known. */
export function unitOfWord(word: string): UnitWord | null {
  return unitWords.get(word.trim().toLowerCase().normalize('NFKC').replace(/\.+$/, '')) ?? null;
}

/**
 * Reads a quantity as people type it: `12`, `12 pcs`, `2,5`, `2.5 m`, `250 mm`, `1 1/2`.
 *
 * @param text what was typed
 * @param unit the part's own unit; a text in another measure is refused. Null takes what the text says, else pieces
 * @param mark the decimal mark, where it is known
 * @returns    thousandths of the unit, whole, above zero and at most one million units; or a refusal with its sentence
 *
 * Example: `250 mm` for a part in m -> { milli: 250, unit: 'm' }.
 */
export function parseQuantity(text: string, unit: Unit | null = null, mark?: DecimalMark): QuantityReading {
  const shown = text.trim();
  if (shown === '') return refusal('empty', 'No quantity is given.');
  const plain = plainForm(shown).replace(/^[x×] ?(?=\d)/i, '');
  const [figures, word] = splitUnit(plain);
  const meaning = word === '' ? null : unitOfWord(word);
  if (word !== '' && meaning === null) {
    if (!/\d/.test(figures)) return refusal('not-a-number', `"${shown}" is not a quantity.`);
    return refusal(
      'unknown-unit',
      `"${word}" in "${shown}" is not a unit known here: use pieces, m, l or kg.`,
    );
  }
  if (unit !== null && meaning !== null && meaning.unit !== unit) {
    return refusal(
      'wrong-unit',
      `"${shown}" is in ${unitName(meaning.unit)}, but the part is in ${unitName(unit)}.`,
    );
  }
  const finalUnit = unit ?? meaning?.unit ?? 'piece';
  const number = finalUnit === 'piece' ? readCount(figures, mark) : readNumber(figures, mark);
  if (!number.ok) return refusal(number.code, number.sentence);
  const value = {
    numerator: number.value.numerator * (meaning?.numerator ?? 1n),
    denominator: number.value.denominator * (meaning?.denominator ?? 1n),
  };
  return checkQuantity(shown, value, finalUnit);
}

/** Thousandths with their unit in words: `12 pieces`, `1 piece`, `2.5 m`. Reads back through parseQuantity. */
export function formatQuantity(milli: number, unit: Unit): string {
  const figures = decimalText(milli, 3);
  if (unit !== 'piece') return `${figures} ${unit}`;
  return `${figures} ${milli === 1000 ? 'piece' : 'pieces'}`;
}

/** The unit as it stands in a sentence: pieces, m, l, kg. */
export function unitName(unit: Unit): string {
  return unit === 'piece' ? 'pieces' : unit;
}

function checkQuantity(
  shown: string,
  value: { numerator: bigint; denominator: bigint },
  unit: Unit,
): QuantityReading {
  const { whole, exact } = scaled(value, 1000n);
  if (value.numerator < 0n) return refusal('negative', `"${shown}" is below zero: a quantity is above zero.`);
  if (value.numerator === 0n) return refusal('zero', `"${shown}" is zero: a quantity is above zero.`);
  if (whole > BigInt(largestQuantityMilli)) {
    return refusal(
      'too-large',
      `"${shown}" is above ${formatQuantity(largestQuantityMilli, unit)}, the most taken here.`,
    );
  }
  if (unit === 'piece' && (!exact || whole % 1000n !== 0n)) {
    return refusal(
      'not-whole',
      `"${shown}" is not whole: pieces are counted whole (a length, volume or mass has a unit).`,
    );
  }
  if (!exact) {
    const near = whole === 0n ? 1n : whole;
    const suggestion = formatQuantity(Number(near), unit);
    return refusal(
      'too-fine',
      `"${shown}" is finer than a thousandth of a ${unit}: write ${suggestion}, or what you mean.`,
    );
  }
  return { ok: true, milli: Number(whole), unit };
}

/** As readNumber, knowing that pieces are whole: `1,500` can only be 1500, while `1.000` may be 1 or 1000. */
function readCount(figures: string, mark?: DecimalMark): NumberReading {
  if (mark !== undefined || !/^[1-9]\d{0,2}[.,]\d{3}$/.test(figures)) return readNumber(figures, mark);
  const whole = figures.replace(/[.,]/, '');
  if (!figures.endsWith('000')) return readNumber(whole);
  const short = figures.slice(0, -4);
  return {
    ok: false,
    code: 'ambiguous',
    sentence: `"${figures}" can be read as ${short} or as ${whole}: write it one of these ways.`,
  };
}

/** The figures and the word behind them; a text that ends in a digit has no word. */
function splitUnit(plain: string): [figures: string, word: string] {
  const match = /^(.*\d[.,]?)(?![.,\d]) ?(\D*)$/.exec(plain);
  if (!match) return ['', plain];
  return [match[1] ?? '', (match[2] ?? '').trim()];
}

function refusal(code: QuantityRefusal, sentence: string): QuantityReading {
  return { ok: false, code, sentence };
}
