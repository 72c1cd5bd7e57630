export type PartNumberRefusal = 'empty' | 'too-long' | 'bad-sign' | 'bad-end';

export type PartNumberReading =
  | { ok: true; number: string }
  | { ok: false; code: PartNumberRefusal; sentence: string };

export const longestPartNumber = 40;

/**
 * Reads a part number: 1 to 40 of A-Z, a-z, 0-9, `.`, `_` and `-`, with a letter or digit first and last.
 *
 * The signs are those that need no care in an address, a file name, a spoken word or a label printed anywhere.
 */
export function readPartNumber(text: string): PartNumberReading {
  const number = text.trim();
  if (number === '') return refusal('empty', 'No part number is given.');
  if (number.length > longestPartNumber) {
    return refusal(
      'too-long',
      `The part number has ${number.length} characters: at most ${longestPartNumber} are taken.`,
    );
  }
  const wrong = /[^A-Za-z0-9._-]/u.exec(number)?.[0];
  if (wrong !== undefined) {
    const named = /\s/.test(wrong) ? 'a blank' : isUnseen(wrong) ? 'an invisible character' : `"${wrong}"`;
    return refusal(
      'bad-sign',
      `The part number "${visible(number)}" holds ${named}: use letters A to Z, digits and . _ -`,
    );
  }
  if (!/^[A-Za-z0-9].*$/.test(number) || !/[A-Za-z0-9]$/.test(number)) {
    return refusal(
      'bad-end',
      `The part number "${number}" begins or ends with a sign: use a letter or digit there.`,
    );
  }
  return { ok: true, number };
}

/** Two part numbers are the same when their keys are: capitals and small letters do not tell parts apart. */
export function partNumberKey(number: string): string {
  return number.trim().toUpperCase();
}

/** The number with each run of signs that are not taken made a hyphen (`A/12 b` -> `A-12-b`); null if nothing is left. */
export function tidyPartNumber(text: string): string | null {
  const tidy = text
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .replace(/[^A-Za-z0-9._-]+/g, '-')
    .replace(/^[._-]+|[._-]+$/g, '');
  return tidy !== '' && tidy.length <= longestPartNumber ? tidy : null;
}

/**
 * The next free number of a prefix: the prefix, a hyphen and at least four digits, one above the highest in use.
 *
 * Gaps are not filled: a number once given may stand on a drawing. Numbers with anything after the digits do not count.
 *
 * @param prefix a part number in itself, such as `OR`
 * @param used   all numbers in use, in any case
 * @throws RangeError when the prefix is no part number or too long to take digits
 *
 * Example: `OR` with OR-0001 and OR-0012 in use -> OR-0013.
 */
export function nextPartNumber(prefix: string, used: Iterable<string>): string {
  return partNumberSeries(prefix, used)();
}

/** As nextPartNumber, for several: each call gives the next one. */
export function partNumberSeries(prefix: string, used: Iterable<string>): () => string {
  const reading = readPartNumber(prefix);
  if (!reading.ok || reading.number.length > longestPartNumber - 10) {
    throw new RangeError(
      `"${prefix}" is no prefix for part numbers: expected 1 to ${longestPartNumber - 10} of A-Z 0-9 . _ -`,
    );
  }
  const start = `${partNumberKey(reading.number)}-`;
  let highest = 0;
  for (const number of used) {
    const key = partNumberKey(number);
    const digits = key.slice(start.length);
    // Nine digits: a longer run is somebody's order number and would spoil the series.
    if (key.startsWith(start) && /^\d{1,9}$/.test(digits)) highest = Math.max(highest, Number(digits));
  }
  return () => {
    highest += 1;
    return `${reading.number}-${String(highest).padStart(4, '0')}`;
  };
}

function isUnseen(sign: string): boolean {
  return /[\p{Cc}\p{Cf}\p{Co}\p{Cs}]/u.test(sign);
}

function visible(text: string): string {
  return text.replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cs}]/gu, '\ufffd');
}

function refusal(code: PartNumberRefusal, sentence: string): PartNumberReading {
  return { ok: false, code, sentence };
}
