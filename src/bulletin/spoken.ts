/**
 * How many words a text has when it is read aloud in English: figures, dates, units and part numbers count as they are
 * said, addresses not at all. '12 mm' is two words, '0.05' four, 'TB-0001' six.
 *
 * Common practice, no source; numbers as British usage says them: 'two hundred and six'.
 */
export function spokenWords(text: string): number {
  let count = 0;
  for (const token of text.split(/\s+/)) if (token) count += wordsOfToken(token);
  return count;
}

const ADDRESS = /^[(<]?(https?:\/\/|www\.)\S+$|^[(<]?\S+@\S+\.\S+$/i;

/** Signs that are said as words. */
const SIGNS: Record<string, number> = {
  '±': 2, // plus minus
  '×': 1, // by
  '+': 1,
  '=': 1,
  '&': 1,
  '%': 2, // per cent
  '°': 1,
  '€': 1,
  $: 1,
  '£': 1,
  '<': 2, // less than
  '>': 2,
  '⌀': 1, // diameter
  '²': 1, // squared
  '³': 1,
};

function wordsOfToken(token: string): number {
  if (ADDRESS.test(token)) return 0;
  const day = /^[("]*(\d{4})-(\d{2})-(\d{2})[)",.;:]*$/.exec(token);
  if (day) return 1 + 1 + yearWords(Number(day[1])); // 'ninth March twenty twenty-six'
  let count = 0;
  // Runs of letters (with their apostrophes and inner hyphens), numbers, and signs that are said.
  for (const [piece] of token.matchAll(
    /\d[\d,.]*\d(?:st|nd|rd|th)?|\d+(?:st|nd|rd|th)\b|\d|\p{L}[\p{L}\p{M}]*(?:['’-]\p{L}[\p{L}\p{M}]*)*|[±×+=&%°€$£<>⌀²³/]/gu,
  )) {
    if (/^\d/.test(piece)) count += isCode(token) ? piece.replace(/\D/g, '').length : figureWords(piece);
    else if (piece === '/')
      count += /\d\/\d/.test(token) && !/\p{L}/u.test(token) ? 1 : 0; // 3/4: three over four
    else if (SIGNS[piece] !== undefined) count += SIGNS[piece]!;
    else count += /^\p{Lu}{2,}$/u.test(piece) && isCode(token) ? piece.length : 1;
  }
  return count;
}

/** A part or drawing number: letters and figures joined, said one by one: TB-0001. A fit such as H7 is none: 'H seven'. */
function isCode(token: string): boolean {
  return (
    /\p{L}{2,}[-_.]?\d|\d[-_]\d{2,}|^\W*0\d/u.test(token) &&
    !/^\W*\d+(st|nd|rd|th)\W*$/.test(token) &&
    !isQuantity(token)
  );
}

/** A figure with its unit or a decimal part stuck to it: 12mm, 0.05. */
function isQuantity(token: string): boolean {
  return /^[^\p{L}\d]*\d+([.,]\d+)*(\p{Ll}{1,3}|[%°])?\W*$/u.test(token) && !/^\W*0\d/.test(token);
}

function figureWords(figure: string): number {
  const ordinal = /^(\d+)(st|nd|rd|th)$/.exec(figure);
  if (ordinal) return numberWords(Number(ordinal[1]));
  const plain = figure.replace(/[,.]$/, '');
  // 1,234 is one number; 0.05 and 0,05 are said digit by digit behind the point.
  const grouped = /^\d{1,3}(,\d{3})+(\.\d+)?$/.test(plain) ? plain.replaceAll(',', '') : plain;
  const [whole = '', ...parts] = grouped.split(/[.,]/);
  const decimals = parts.reduce((sum, part) => sum + 1 + part.length, 0);
  if (decimals === 0 && /^(19|20)\d{2}$/.test(whole)) return yearWords(Number(whole));
  // Nobody says a number of more than fifteen digits but digit by digit.
  return (whole.length > 15 ? whole.length : numberWords(Number(whole))) + decimals;
}

/** 'twenty twenty-six', 'two thousand and six', 'nineteen hundred' */
function yearWords(year: number): number {
  const [century, rest] = [Math.floor(year / 100), year % 100];
  if (rest === 0) return 2;
  if (year >= 2000 && year < 2010) return 4;
  return numberWords(century) + (rest < 10 ? 2 : numberWords(rest));
}

/** Words of a whole number: 48 is one, 206 four, 1,000,000 two. */
export function numberWords(value: number): number {
  if (value < 100) return 1;
  if (value < 1000) {
    const rest = value % 100;
    return 2 + (rest ? 1 + numberWords(rest) : 0);
  }
  let count = 0;
  let left = value;
  for (const size of [1e12, 1e9, 1e6, 1e3]) {
    const times = Math.floor(left / size);
    if (times === 0) continue;
    count += numberWords(times) + 1;
    left %= size;
  }
  if (left === 0) return count;
  return count + (left < 100 ? 1 : 0) + numberWords(left);
}
