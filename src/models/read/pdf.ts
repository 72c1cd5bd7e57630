import { PDFDocument, PDFName, PDFNumber } from 'pdf-lib';
import { type FileFacts, factsOf, type SheetFacts, Unreadable } from '../facts.ts';

const mmPerPoint = 25.4 / 72;
const mostPages = 5000;

/** Shorter and longer side in mm: ISO 216, and the sizes of ASME Y14.1 with their letters; from memory. */
const sheetSizes: readonly [name: string, short: number, long: number][] = [
  ['A0', 841, 1189],
  ['A1', 594, 841],
  ['A2', 420, 594],
  ['A3', 297, 420],
  ['A4', 210, 297],
  ['A5', 148, 210],
  ['ANSI A', 215.9, 279.4],
  ['ANSI B', 279.4, 431.8],
  ['ANSI C', 431.8, 558.8],
  ['ANSI D', 558.8, 863.6],
  ['ANSI E', 863.6, 1117.6],
];

/**
 * Pages of a PDF and the size of its sheets as shown: cut to the crop box, turned by the page's rotation, in its own
 * unit where it has one.
 *
 * @throws Unreadable
 * Source: ISO 32000-2, 7.7.3.3 (page objects) and 14.11.2 (page boundaries), from memory.
 */
export async function pdfFacts(bytes: Uint8Array): Promise<FileFacts> {
  if (!new TextDecoder('latin1').decode(bytes.subarray(0, 1024)).includes('%PDF-')) {
    throw new Unreadable('This is no PDF.');
  }
  let sheets: SheetFacts;
  try {
    const document = await PDFDocument.load(bytes, {
      ignoreEncryption: true,
      updateMetadata: false,
      throwOnInvalidObject: true,
    });
    const pages = document.getPages();
    if (pages.length > mostPages) throw new Unreadable(`The PDF has more than ${mostPages} pages.`);
    sheets = { pages: pages.length, sizes: [] };
    for (const page of pages) {
      const { width, height } = page.getCropBox();
      const own = page.node.get(PDFName.of('UserUnit'));
      const scale = mmPerPoint * (own instanceof PDFNumber ? own.asNumber() : 1);
      const upright = page.getRotation().angle % 180 === 0;
      const [across, up] = (upright ? [width, height] : [height, width]).map((side) =>
        tenth(Math.abs(side) * scale),
      );
      const same = sheets.sizes.find((size) => size.width === across && size.height === up);
      if (same) same.pages += 1;
      else sheets.sizes.push({ width: across!, height: up!, name: sheetName(across!, up!), pages: 1 });
    }
  } catch (fault) {
    if (fault instanceof Unreadable) throw fault;
    throw new Unreadable('The PDF is damaged or locked: its pages can’t be read.');
  }
  const sides = sheets.sizes.flatMap(({ width, height }) => [width, height]);
  if (sheets.pages === 0) throw new Unreadable('The PDF has no page.');
  if (!sides.every((side) => Number.isFinite(side) && side > 0)) {
    throw new Unreadable('A page of the PDF has no size.');
  }
  return factsOf('PDF', { sheets });
}

const tenth = (mm: number) => Math.round(mm * 10) / 10;

function sheetName(width: number, height: number): string | null {
  const [short, long] = [Math.min(width, height), Math.max(width, height)];
  const near = ([, a, b]: (typeof sheetSizes)[number]) =>
    Math.abs(short - a) <= 1.5 && Math.abs(long - b) <= 1.5;
  return sheetSizes.find(near)?.[0] ?? null;
}
