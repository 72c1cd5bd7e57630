/**
 * An exact decimal number, mantissa / 10^places, zero or more.
 *
 * Quantities are thousandths, so a product along a path of the structure is a decimal with up to three more places a
 * level; kept whole like this nothing is rounded until the end. Only beyond 300 places, which takes a hundred levels
 * of parts measured to the thousandth, is a product rounded up at the 300th, so that no structure is too deep to total.
 */
export interface Exact {
  mantissa: bigint;
  places: number;
}

const mostPlaces = 300;

export const exactZero: Exact = { mantissa: 0n, places: 0 };
export const exactOne: Exact = { mantissa: 1n, places: 0 };

/** What a decimal number says, digit for digit: 0.1 is one tenth. @throws RangeError below zero or not finite */
export function exactOf(amount: number): Exact {
  if (!Number.isFinite(amount) || amount < 0)
    throw new RangeError(`expected a number of zero or more, got ${amount}`);
  const [figures = '0', power = '0'] = String(amount).split('e');
  const [whole = '', after = ''] = figures.split('.');
  const places = after.length - Number(power);
  const mantissa = BigInt(whole + after);
  return shortened(
    places < 0 ? { mantissa: mantissa * 10n ** BigInt(-places), places: 0 } : { mantissa, places },
  );
}

/** Thousandths as a number: 2500 is 2.5. */
export function exactMilli(milli: number): Exact {
  return shortened({ mantissa: BigInt(milli), places: 3 });
}

export function sum(a: Exact, b: Exact): Exact {
  const places = Math.max(a.places, b.places);
  return shortened({ mantissa: raised(a, places) + raised(b, places), places });
}

export function product(a: Exact, b: Exact): Exact {
  const whole = { mantissa: a.mantissa * b.mantissa, places: a.places + b.places };
  if (whole.places <= mostPlaces) return shortened(whole);
  return shortened({ mantissa: ceiling(whole, mostPlaces), places: mostPlaces });
}

/** The next whole number not below it. */
export function roundedUp(a: Exact): Exact {
  return { mantissa: ceiling(a, 0), places: 0 };
}

/**
 * Thousandths, rounded up to the next one: what is needed is never given short.
 *
 * Above Number.MAX_SAFE_INTEGER (nine million million units) that number stands for "more than can be told".
 */
export function milliRoundedUp(a: Exact): number {
  return safely(ceiling(a, 3));
}

/** A whole number of 10^-places, a half rounded up; above Number.MAX_SAFE_INTEGER as in milliRoundedUp. */
export function rounded(a: Exact, places: number): number {
  if (a.places <= places) return safely(raised(a, places));
  const divisor = 10n ** BigInt(a.places - places);
  return safely((a.mantissa * 2n + divisor) / (divisor * 2n));
}

function ceiling(a: Exact, places: number): bigint {
  if (a.places <= places) return raised(a, places);
  const divisor = 10n ** BigInt(a.places - places);
  return (a.mantissa + divisor - 1n) / divisor;
}

function raised(a: Exact, places: number): bigint {
  return a.places === places ? a.mantissa : a.mantissa * 10n ** BigInt(places - a.places);
}

/** Closing zeros are dropped, so that halves and doubles in turn do not pile up digits. */
function shortened(a: Exact): Exact {
  let { mantissa, places } = a;
  while (places > 0 && mantissa % 10n === 0n) {
    mantissa /= 10n;
    places -= 1;
  }
  return { mantissa, places };
}

function safely(whole: bigint): number {
  return whole > BigInt(Number.MAX_SAFE_INTEGER) ? Number.MAX_SAFE_INTEGER : Number(whole);
}
