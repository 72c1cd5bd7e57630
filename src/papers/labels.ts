import { LABELS_ACROSS, LABELS_DOWN } from './paper.ts';
import { drawable, drawQr, LETTERS, MM, newSheet, type Sheet } from './sheet.ts';

/** What the label of a parcel says. */
export interface ParcelLabel {
  number: number;
  /** lines of the address; empty where the lead has written none down */
  to: string;
  contact: string;
  from: string;
  /** the sender's address where the reader may know it; else empty */
  fromAddress: string;
  contents: string[];
  carrier: string;
  link: string;
}

const EDGE = 7;

/** Text in a box that is never left: smaller first, then cut off with an ellipsis. */
function inBox(
  doc: Sheet,
  text: string,
  box: { x: number; y: number; width: number; height: number; largest: number },
  font: 'text' | 'strong' = 'text',
): void {
  const { x, y, width, height, largest } = box;
  const words = drawable(text);
  let size = largest;
  doc.font(LETTERS[font]).fontSize(size);
  while (size > 6 && doc.heightOfString(words, { width }) > height) doc.fontSize(--size);
  doc.text(words, x, y, { width, height, ellipsis: true });
}

/** The label of a parcel as a PDF of one A6 page (ISO 216), to be stuck on it. */
export function parcelLabelPdf(label: ParcelLabel, at: Date): Sheet {
  const margin = { side: EDGE, top: EDGE, foot: 0 };
  const doc = newSheet({ title: `Parcel ${label.number}`, size: 'A6', margin, at });
  const left = EDGE * MM;
  const wide = doc.page.width - 2 * left;
  const qr = 34 * MM;
  inBox(doc, 'From', { x: left, y: left, width: wide, height: 10, largest: 7 });
  const from = [label.from, label.fromAddress].filter(Boolean).join('\n');
  inBox(doc, from, { x: left, y: left + 9, width: wide, height: 22 * MM, largest: 9 });
  doc
    .lineWidth(0.5)
    .moveTo(left, 37 * MM)
    .lineTo(left + wide, 37 * MM)
    .stroke('black');
  inBox(doc, 'To', { x: left, y: 40 * MM, width: wide, height: 10, largest: 7 });
  const to = label.to || 'The lead has not written the address down yet: ask.';
  inBox(doc, to, { x: left, y: 43 * MM, width: wide, height: 36 * MM, largest: 15 }, 'strong');
  inBox(doc, label.contact, { x: left, y: 81 * MM, width: wide, height: 14, largest: 8 });
  doc
    .lineWidth(0.5)
    .moveTo(left, 88 * MM)
    .lineTo(left + wide, 88 * MM)
    .stroke('black');
  const y = 91 * MM;
  drawQr(doc, label.link, { x: left + wide - qr + 2 * MM, y, width: qr });
  const beside = wide - qr;
  inBox(
    doc,
    `Parcel ${label.number}`,
    { x: left, y: y + 2 * MM, width: beside, height: 20, largest: 13 },
    'strong',
  );
  const contents = [...label.contents, label.carrier].filter(Boolean).join('\n');
  inBox(doc, contents, { x: left, y: y + 10 * MM, width: beside, height: 28 * MM, largest: 8 });
  inBox(doc, 'On arrival: read the code', { x: left, y: y + 40 * MM, width: wide, height: 10, largest: 7 });
  doc.end();
  return doc;
}

/** What the label of one piece says. */
export interface UnitLabel {
  heading: string;
  lines: string[];
  link: string;
}

/**
 * Labels for pieces, twenty-four to a page, with thin lines to cut along.
 *
 * @param skip  places at the start that are used already, 0 to 23
 */
export function unitLabelsPdf(
  labels: readonly UnitLabel[],
  { size, skip, title, at }: { size: 'A4' | 'LETTER'; skip: number; title: string; at: Date },
): Sheet {
  const doc = newSheet({ title, size, margin: { side: 0, top: 0, foot: 0 }, at });
  const wide = doc.page.width / LABELS_ACROSS;
  const tall = doc.page.height / LABELS_DOWN;
  const pad = 4 * MM;
  labels.forEach((label, index) => {
    const place = index + skip;
    const onPage = place % (LABELS_ACROSS * LABELS_DOWN);
    if (onPage === 0 && index > 0) doc.addPage();
    if (onPage === 0 || index === 0) cutLines(doc, wide, tall);
    const x = (onPage % LABELS_ACROSS) * wide;
    const y = Math.floor(onPage / LABELS_ACROSS) * tall;
    const qr = Math.min(tall - pad, 30 * MM);
    drawQr(doc, label.link, { x: x + wide - qr - pad / 2, y: y + pad / 2, width: qr });
    const width = wide - qr - 1.5 * pad;
    inBox(doc, label.heading, { x: x + pad, y: y + pad, width, height: 30, largest: 12 }, 'strong');
    const rest = tall - 2 * pad - 32;
    inBox(doc, label.lines.join('\n'), { x: x + pad, y: y + pad + 32, width, height: rest, largest: 8 });
  });
  doc.end();
  return doc;
}

function cutLines(doc: Sheet, wide: number, tall: number): void {
  for (let column = 1; column < LABELS_ACROSS; column++) {
    doc.moveTo(column * wide, 0).lineTo(column * wide, doc.page.height);
  }
  for (let row = 1; row < LABELS_DOWN; row++) doc.moveTo(0, row * tall).lineTo(doc.page.width, row * tall);
  doc.lineWidth(0.25).dash(2, { space: 2 }).stroke('black').undash();
}
