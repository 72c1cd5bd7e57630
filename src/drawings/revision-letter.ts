/**
 * The letters a revision may carry. I, O, Q, S, X and Z are left out because they are taken for figures or other signs.
 *
 * Source: ASME Y14.35 (revision of engineering drawings and associated documents), rule given from memory: after Y
 * come AA, AB and so on, with the same letters left out, and never more than two letters.
 */
const letters = 'ABCDEFGHJKLMNPRTUVWY';

/** The last revision there can be: two letters, each the last one. */
export const lastRevisionLetter = 'YY';

/** Is this a revision letter: one or two capitals without I, O, Q, S, X and Z? */
export function isRevisionLetter(text: string): boolean {
  return text.length >= 1 && text.length <= 2 && [...text].every((letter) => letters.includes(letter));
}

/**
 * The letter after this one: A after null, B after A, J after H, AA after Y, BA after AY.
 *
 * @returns null after YY, where the letters are used up
 * @throws RangeError when the text is no revision letter
 */
export function nextRevisionLetter(letter: string | null): string | null {
  if (letter === null) return 'A';
  return letterAt(rank(letter) + 1);
}

/**
 * Below zero when a was issued before b, above zero when after, zero for the same letter; sorts A, B, ... Y, AA.
 *
 * @throws RangeError when either text is no revision letter
 */
export function compareRevisionLetters(a: string, b: string): number {
  return rank(a) - rank(b);
}

function rank(letter: string): number {
  if (!isRevisionLetter(letter)) {
    throw new RangeError(
      `"${letter}" is no revision letter: expected A to Y or AA to YY without I, O, Q, S, X, Z`,
    );
  }
  const [first = '', second] = letter;
  if (second === undefined) return letters.indexOf(first);
  return (letters.indexOf(first) + 1) * letters.length + letters.indexOf(second);
}

function letterAt(place: number): string | null {
  const first = Math.floor(place / letters.length);
  if (first > letters.length) return null;
  const second = letters[place % letters.length] ?? '';
  return first === 0 ? second : `${letters[first - 1]}${second}`;
}
