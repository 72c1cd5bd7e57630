/*
An SVG does not break its lines: how wide a text will be is estimated from the kinds of its letters. The figures are the
widths of common sans serif faces in em, rounded up, from memory; the worst that a wrong one does is a line cut early.
*/

const NARROW = /^[\s.,:;'’|!()[\]ijlft]/u;
const WIDE = /^[mwMW%@–—…]/u;
const CAPITAL = /^\p{Lu}/u;
/** ideographs, syllables of East Asia, pictures: as wide as high */
const SQUARE =
  /^[\p{Script=Han}\p{Script=Hiragana}\p{Script=Katakana}\p{Script=Hangul}\p{Extended_Pictographic}]/u;

/** Signs as they are read: marks stay with their letter. */
const signs = new Intl.Segmenter('en', { granularity: 'grapheme' });

function widthOfSign(sign: string): number {
  if (SQUARE.test(sign)) return 1.05;
  if (WIDE.test(sign)) return 0.88;
  if (CAPITAL.test(sign)) return 0.68;
  return NARROW.test(sign) ? 0.34 : 0.56;
}

/**
 * A text in at most so many lines, each no wider than asked for; what does not fit ends in '…'. Lines break between
 * words, and within a word only where it is wider than a line.
 *
 * @param width  in em
 */
export function textLines(text: string, width: number, most: number): string[] {
  const lines: string[] = [];
  let line = '';
  let lineWidth = 0;
  let lastSpace = -1;
  for (const { segment: sign } of signs.segment(text.replace(/\s+/gu, ' ').trim())) {
    if (lineWidth + widthOfSign(sign) > width && line !== '') {
      if (lines.length === most - 1) {
        lines.push(shortened(line, width));
        return lines;
      }
      const breaks = sign === ' ' ? line.length : lastSpace > 0 ? lastSpace : line.length;
      lines.push(line.slice(0, breaks).trimEnd());
      line = line.slice(breaks).trimStart();
      lineWidth = widthOf(line);
      lastSpace = -1;
    }
    if (sign === ' ') lastSpace = line.length;
    if (sign === ' ' && line === '') continue;
    line += sign;
    lineWidth += widthOfSign(sign);
  }
  if (line !== '') lines.push(line.trimEnd());
  return lines;
}

/** Estimated width of a text on one line, in em. */
function widthOf(text: string): number {
  let width = 0;
  for (const { segment } of signs.segment(text)) width += widthOfSign(segment);
  return width;
}

function shortened(line: string, width: number): string {
  const kept = Array.from(signs.segment(line), ({ segment }) => segment);
  while (kept.length > 0 && widthOf(`${kept.join('').trimEnd()}…`) > width) kept.pop();
  return `${kept.join('').trimEnd()}…`;
}
