import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import PDFDocument from 'pdfkit';
import { qrBars } from './qr.ts';

/** A document that is being drawn: PDF, sizes in points of 1/72 inch. */
export type Sheet = PDFKit.PDFDocument;

/** Points in a millimetre. */
export const MM = 72 / 25.4;

const fonts = dirname(createRequire(import.meta.url).resolve('dejavu-fonts-ttf/ttf/DejaVuSans.ttf'));

/**
 * The letters by their files, which is how the document asks for them again after each cell of a table: by another name
 * they would be read anew for every one.
 */
export const LETTERS = { text: join(fonts, 'DejaVuSans.ttf'), strong: join(fonts, 'DejaVuSans-Bold.ttf') };

/**
 * A new document with one page, and letters for the names of people in all of Europe and beyond.
 *
 * Characters the letters don't have come out as an empty box. Writing from right to left is not turned round.
 *
 * @param at  the moment it is made, kept in the file
 */
export function newSheet({
  title,
  size,
  margin,
  at,
}: {
  title: string;
  size: 'A4' | 'A6' | 'LETTER';
  /** mm; foot is where nothing flows */
  margin: { side: number; top: number; foot: number };
  at: Date;
}): Sheet {
  const doc = new PDFDocument({
    size,
    bufferPages: true,
    lang: 'en',
    displayTitle: true,
    info: { Title: title, CreationDate: at, ModDate: at, Producer: 'Farwright', Creator: 'Farwright' },
    margins: {
      left: margin.side * MM,
      right: margin.side * MM,
      top: margin.top * MM,
      bottom: margin.foot * MM,
    },
  });
  doc.font(LETTERS.text).fontSize(9);
  return doc;
}

/** Text without what can't be drawn: control characters, and marks that turn the direction of writing. */
export function drawable(text: string): string {
  return text.replace(/\r\n?/g, '\n').replace(/(?!\n)[\p{Cc}\p{Cf}]/gu, '');
}

/** Draws a text as a QR code. @param at.width  with the quiet zone around it */
export function drawQr(doc: Sheet, text: string, at: { x: number; y: number; width: number }): void {
  const { size, bars } = qrBars(text);
  const module = at.width / size;
  for (const { x, y, width } of bars) {
    doc.rect(at.x + x * module, at.y + y * module, width * module, module);
  }
  doc.fill('black');
}
