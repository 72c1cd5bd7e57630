/** A decimal point or a decimal comma. */
export type DecimalMark = 'dot' | 'comma';

/** An exact number as a fraction of whole numbers; the denominator is above zero. */
export interface Fraction {
  numerator: bigint;
  denominator: bigint;
}

export type NumberRefusal = 'empty' | 'not-a-number' | 'ambiguous' | 'other-mark';

export type NumberReading =
  | { ok: true; value: Fraction }
  | { ok: false; code: NumberRefusal; sentence: string };

const longest = 40;

/**
 * Reads a number as people type it: `12`, `2,5`, `.5`, `1 234,5`, `1'234.50`, `1,234.5`, `1/2`, `1 1/2`, `1-1/2`, `½`.
 *
 * The value is exact. A single comma before exactly three digits (`1,234`) is refused as ambiguous unless the mark is
 * given; a single point is a decimal point unless the mark says otherwise. Powers of ten (`1E+03`) are refused, because
 * a table that shows them has usually lost digits already.
 *
 * @param text what was typed, blanks around it allowed, no unit
 * @param mark the decimal mark this text is known to use; leave out where it is not known
 */
export function readNumber(text: string, mark?: DecimalMark): NumberReading {
  const shown = text.trim();
  if (shown === '') return refusal('empty', 'Nothing is written where a number is needed.');
  const plain = plainForm(shown);
  const match = /^([+-]?) ?(.+)$/.exec(plain);
  if (shown.length > longest || !match) return notANumber(shown);
  const negative = match[1] === '-';
  const body = match[2] ?? '';
  const value = readFraction(body) ?? readDecimal(body, shown, mark);
  if ('ok' in value) return value;
  if (value.denominator === 0n) return refusal('not-a-number', `"${shown}" divides by zero.`);
  return {
    ok: true,
    value: negative ? { numerator: -value.numerator, denominator: value.denominator } : value,
  };
}

/**
 * The number times a scale as a whole number, and whether that is exact; a half is rounded away from zero.
 *
 * Example: 1/3 at scale 1000 -> { whole: 333n, exact: false }.
 */
export function scaled(value: Fraction, scale: bigint): { whole: bigint; exact: boolean } {
  const product = value.numerator * scale;
  const size = product < 0n ? -product : product;
  const quotient = size / value.denominator;
  const rest = size % value.denominator;
  const whole = rest * 2n >= value.denominator ? quotient + 1n : quotient;
  return { whole: product < 0n ? -whole : whole, exact: rest === 0n };
}

/** Digits, marks and one kind of blank, minus and apostrophe; `1½` becomes `1 1/2`. */
export function plainForm(text: string): string {
  return text
    .replace(/[\u00bc-\u00be\u2150-\u215e]/g, (sign) => ` ${sign.normalize('NFKC')}`)
    .normalize('NFKC')
    .replace(/\u2044/g, '/')
    .replace(/[\u2212\u2010\u2011]/g, '-')
    .replace(/[\u2019\u02bc]/g, "'")
    .replace(/\s+/g, ' ')
    .trim();
}

/** Thousandths as decimal text with a point, no closing zeros: 2500 -> `2.5`; five digits or more are grouped in threes. */
export function decimalText(amount: number, places: number, closingZeros = false): string {
  const digits = String(Math.abs(amount)).padStart(places + 1, '0');
  const whole = digits.slice(0, digits.length - places);
  const after = digits.slice(digits.length - places);
  const tail = closingZeros ? after : after.replace(/0+$/, '');
  // ISO 80000-1 groups digits by a small space; four digits stay together, as is common practice (no source).
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, '\u202f') : whole;
  return `${amount < 0 ? '-' : ''}${grouped}${tail === '' ? '' : `.${tail}`}`;
}

function readFraction(body: string): Fraction | null {
  const match = /^(?:(\d+)[ -])?(\d+) ?\/ ?(\d+)$/.exec(body);
  if (!match) return null;
  const denominator = BigInt(match[3] ?? '');
  return { numerator: BigInt(match[1] ?? 0) * denominator + BigInt(match[2] ?? ''), denominator };
}

function readDecimal(body: string, shown: string, mark?: DecimalMark): Fraction | NumberReading {
  if (!/^[\d.,' ]*\d[\d.,' ]*$/.test(body)) return notANumber(shown);
  const points = body.split('.').length - 1;
  const commas = body.split(',').length - 1;
  const last = body.lastIndexOf('.') > body.lastIndexOf(',') ? '.' : ',';
  const spaced = /[' ]/.test(body);

  let decimal = '';
  if (points > 0 && commas > 0) {
    decimal = last;
  } else if (points + commas === 1) {
    const asGroup = /^[1-9]\d{0,2}[.,]\d{3}$/.test(body);
    if (mark !== undefined) decimal = asGroup && last !== signOf(mark) ? '' : last;
    else if (asGroup && last === ',') return ambiguous(shown, body);
    else decimal = last;
  }
  const other = decimal === '.' ? ',' : '.';
  if (decimal !== '' && mark !== undefined && decimal !== signOf(mark)) return otherMark(shown, mark);
  // Several marks of one kind can only separate thousands, which the declared decimal mark cannot do.
  if (decimal === '' && mark !== undefined && body.includes(signOf(mark))) return notANumber(shown);

  const [whole = '', after = '', ...more] = decimal === '' ? [body] : body.split(decimal);
  const groups = spaced ? "[' ]" : decimal === '' ? '[.,]' : `[${other}]`;
  const mixed = new Set(whole.replace(/\d/g, '')).size > 1;
  const wholeFits = /^\d*$/.test(whole) || new RegExp(`^\\d{1,3}(?:${groups}\\d{3})+$`).test(whole);
  if (more.length > 0 || mixed || !wholeFits || !/^\d*$/.test(after)) return notANumber(shown);
  return {
    numerator: BigInt(`${whole.replace(/\D/g, '')}${after}` || 0),
    denominator: 10n ** BigInt(after.length),
  };
}

function signOf(mark: DecimalMark): '.' | ',' {
  return mark === 'dot' ? '.' : ',';
}

function refusal(code: NumberRefusal, sentence: string): NumberReading {
  return { ok: false, code, sentence };
}

function notANumber(shown: string): NumberReading {
  return refusal('not-a-number', `"${shown.slice(0, longest)}" is not a number.`);
}

function ambiguous(shown: string, body: string): NumberReading {
  const decimal = body.replace(',', '.');
  const whole = body.replace(',', '');
  return refusal(
    'ambiguous',
    `"${shown}" can be read as ${decimal} or as ${whole}: write it one of these ways.`,
  );
}

function otherMark(shown: string, mark: DecimalMark): NumberReading {
  const [used, expected] = mark === 'dot' ? ['comma', 'point'] : ['point', 'comma'];
  return refusal('other-mark', `"${shown}" has a decimal ${used} where a decimal ${expected} is expected.`);
}
