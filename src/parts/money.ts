import {
  type DecimalMark,
  decimalText,
  type Fraction,
  plainForm,
  readNumber,
  scaled,
} from './typed-number.ts';

/** The largest amount taken, in hundredths: ten million of a currency. */
export const largestAmountCents = 1_000_000_000;

export type MoneyRefusal =
  | 'empty'
  | 'not-a-number'
  | 'ambiguous'
  | 'other-mark'
  | 'unknown-currency'
  | 'negative'
  | 'too-fine'
  | 'too-large';

export type MoneyReading =
  | { ok: true; cents: number; currency: string; exact: boolean; amount: Fraction }
  | { ok: false; code: MoneyRefusal; sentence: string };

export interface MoneyReadingOptions {
  /** ISO 4217 code taken where the text names none, and where its sign is shared by several currencies ($, ¥, kr). */
  currency: string;
  mark?: DecimalMark | undefined;
  /** Round to the nearest hundredth and say so in `exact`, instead of refusing what is finer. */
  round?: boolean;
}

/** Signs and the currencies that write them; the first is meant where the default is none of them. */
const signs: Readonly<Record<string, readonly string[]>> = {
  $: ['USD', 'CAD', 'AUD', 'NZD', 'SGD', 'HKD', 'MXN', 'CLP', 'COP', 'ARS', 'TWD'],
  us$: ['USD'],
  ca$: ['CAD'],
  c$: ['CAD'],
  a$: ['AUD'],
  au$: ['AUD'],
  nz$: ['NZD'],
  hk$: ['HKD'],
  s$: ['SGD'],
  r$: ['BRL'],
  '€': ['EUR'],
  euro: ['EUR'],
  euros: ['EUR'],
  '£': ['GBP', 'EGP', 'SYP'],
  '¥': ['JPY', 'CNY'],
  '₹': ['INR'],
  '₽': ['RUB'],
  '₺': ['TRY'],
  '₩': ['KRW'],
  '₴': ['UAH'],
  '₪': ['ILS'],
  zł: ['PLN'],
  kč: ['CZK'],
  ft: ['HUF'],
  fr: ['CHF'],
  sfr: ['CHF'],
  lei: ['RON'],
};
/** The crown is written alike in four countries, none of them the likelier one. */
const crowns: readonly string[] = ['SEK', 'NOK', 'DKK', 'ISK'];

const codes = new Set(Intl.supportedValuesOf('currency'));

/** Is this an ISO 4217 code in capitals? */
export function isCurrency(code: string): boolean {
  return codes.has(code);
}

/**
 * Reads a price: `3.45`, `$3.45 `, `12,50 €`, `EUR 1 234.50`, `CHF 5.-`, `0`.
 *
 * @returns hundredths of the currency (whatever its own smallest coin is), zero or more, and the exact amount before
 *          rounding; or a refusal with its sentence
 */
export function parseMoney(text: string, options: MoneyReadingOptions): MoneyReading {
  const shown = text.trim();
  if (shown === '') return refusal('empty', 'No price is given.');
  // A closing dash stands for no cents (5.- or 5,--); a point behind a letter shortens a word (Fr. 5).
  const plain = plainForm(shown)
    .replace(/(\d)[.,] ?[-–—]{1,2}/, '$1')
    .replace(/(\p{L})\. ?(?=\d|$)/u, '$1 ')
    .trim();
  const match = /^([+-]?) ?([^\d.,+-]*)([+-]?) ?([\d.,' ]*\d[.,]?(?: ?\/ ?\d+)?)([^\d]*)$/.exec(plain);
  if (/^\(.*\d.*\)$/.test(plain) || (match && (match[1] === '-' || match[3] === '-'))) {
    return refusal('negative', `"${shown}" is below zero: a price is zero or more.`);
  }
  if (!match) return refusal('not-a-number', `"${shown}" is not a price.`);
  const figures = (match[4] ?? '').trim();
  const words = [match[2], match[5]]
    .map((word) => (word ?? '').trim().replace(/\.$/, ''))
    .filter((word) => word !== '');
  const currency = currencyOf(words, options.currency);
  if (currency === null) {
    return refusal(
      'unknown-currency',
      `"${words.join(' ')}" in "${shown}" is not a currency known here: write its three letters, such as EUR.`,
    );
  }
  if (options.mark === undefined && /^[1-9]\d{0,2}[.,]\d{3}$/.test(figures)) {
    const [decimal, whole] = [figures.replace(',', '.'), figures.replace(/[.,]/, '')];
    return refusal(
      'ambiguous',
      `"${shown}" can be read as ${decimal} or as ${whole}: write ${whole}.00 or round to two decimals.`,
    );
  }
  const number = readNumber(figures, options.mark);
  if (!number.ok) return refusal(number.code, number.sentence);
  const { whole, exact } = scaled(number.value, 100n);
  if (whole > BigInt(largestAmountCents)) {
    return refusal(
      'too-large',
      `"${shown}" is above ${formatMoney(largestAmountCents, currency)}, the most taken here.`,
    );
  }
  if (!exact && options.round !== true) {
    return refusal('too-fine', `"${shown}" has more than two decimals: prices are kept in hundredths.`);
  }
  return { ok: true, cents: Number(whole), currency, exact, amount: number.value };
}

/** Hundredths of a currency with its code: `12.50 EUR`; no decimals where the currency has none and there are none. */
export function formatMoney(cents: number, currency: string): string {
  const smallest = isCurrency(currency)
    ? new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits
    : 2;
  if (smallest === 0 && cents % 100 === 0) return `${decimalText(cents / 100, 0)} ${currency}`;
  return `${decimalText(cents, 2, true)} ${currency}`;
}

/** The one currency the words name; the default where they name none; null where they name none known, or two. */
function currencyOf(words: readonly string[], byDefault: string): string | null {
  const named = words.map((word) => {
    const lower = word.toLowerCase();
    if (lower === 'kr' || lower === ':-') return crowns.includes(byDefault) ? byDefault : null;
    const signed = signs[lower];
    if (signed) return signed.includes(byDefault) ? byDefault : (signed[0] ?? null);
    const code = word.toUpperCase();
    return isCurrency(code) ? code : null;
  });
  const distinct = new Set(named);
  if (distinct.size === 0) return byDefault;
  const [only] = distinct;
  return distinct.size === 1 ? (only ?? null) : null;
}

function refusal(code: MoneyRefusal, sentence: string): MoneyReading {
  return { ok: false, code, sentence };
}
