import type { LimitsTable } from '../drawings/index.ts';
import { drawable, drawQr, LETTERS, MM, newSheet, type Sheet } from './sheet.ts';

/** What the printed route card says. All text, ready to be read. */
export interface RouteCard {
  build: string;
  jobNumber: number;
  title: string;
  part: string;
  letter: string;
  /** of the revision: released, superseded */
  state: string;
  /** why nothing is to be made to it now, whatever the revision; empty where there is no reason */
  stop: string;
  /** the maker it is for; empty for the shop's own */
  maker: string;
  quantity: string;
  /** what the maker claimed of it and promised; empty where nothing */
  claimed: string;
  /** 'Post by' and the day; empty where the schedule has none */
  needBy: string;
  needByWhy: string;
  cells: { label: string; text: string }[];
  firstPiece: boolean;
  /** notes of the revision and of the job */
  notes: string[];
  limits: LimitsTable;
  cautions: string[];
  closing: string;
  queries: { question: string; answer: string }[];
  /** where to post to; null for those who have no claim */
  postTo: { address: string; contact: string } | null;
  files: { name: string; kind: string; size: string; sha256: string }[];
  /** opens the page that tells whether this paper is still true */
  link: string;
  printedOn: string;
}

const SIDE = 14;
const TOP = 12;
const FOOT = 24;
const QR_MM = 32;

/** The route card as a PDF of one page or more, with a title block at the foot of each. */
export function routeCardPdf(card: RouteCard, { size, at }: { size: 'A4' | 'LETTER'; at: Date }): Sheet {
  const title = `Route card ${card.jobNumber}, revision ${card.letter}`;
  const doc = newSheet({ title, size, margin: { side: SIDE, top: TOP, foot: FOOT }, at });
  head(doc, card);
  cells(doc, card);
  for (const note of card.notes) paragraph(doc, note);
  limits(doc, card.limits);
  if (card.cautions.length) {
    heading(doc, 'Cautions');
    for (const caution of card.cautions) bullet(doc, caution);
    small(doc, card.closing);
  }
  if (card.queries.length) {
    heading(doc, 'Asked and answered so far');
    for (const { question, answer } of card.queries) {
      paragraph(doc, question, 'strong');
      paragraph(doc, answer);
    }
  }
  if (card.postTo) {
    heading(doc, 'Post to');
    paragraph(doc, card.postTo.address || 'The lead has not written the address down yet: ask.');
    if (card.postTo.contact) paragraph(doc, card.postTo.contact);
  }
  files(doc, card);
  titleBlocks(doc, card);
  doc.end();
  return doc;
}

const left = (doc: Sheet) => doc.page.margins.left;
const width = (doc: Sheet) => doc.page.width - doc.page.margins.left - doc.page.margins.right;
const bottom = (doc: Sheet) => doc.page.height - doc.page.margins.bottom;

/** Begins a new page when less than so many points are left on this one. */
function room(doc: Sheet, points: number): void {
  if (doc.y + points > bottom(doc)) doc.addPage();
}

function rule(doc: Sheet, weight = 0.5): void {
  doc
    .moveTo(left(doc), doc.y)
    .lineTo(left(doc) + width(doc), doc.y)
    .lineWidth(weight)
    .stroke('black');
}

function heading(doc: Sheet, text: string): void {
  room(doc, 48);
  doc.moveDown(0.9);
  rule(doc);
  doc
    .moveDown(0.35)
    .font(LETTERS.strong)
    .fontSize(10)
    .text(text, left(doc), doc.y)
    .font(LETTERS.text)
    .fontSize(9);
  doc.moveDown(0.25);
}

function paragraph(doc: Sheet, text: string, font: 'text' | 'strong' = 'text'): void {
  doc
    .font(LETTERS[font])
    .fontSize(9)
    .text(drawable(text), left(doc), doc.y, { width: width(doc) })
    .font(LETTERS.text);
  doc.moveDown(0.3);
}

function small(doc: Sheet, text: string): void {
  doc
    .fontSize(7.5)
    .text(drawable(text), left(doc), doc.y, { width: width(doc) })
    .fontSize(9);
}

function bullet(doc: Sheet, text: string): void {
  room(doc, 14);
  const { y } = doc;
  doc.text('–', left(doc), y);
  doc.text(drawable(text), left(doc) + 4 * MM, y, { width: width(doc) - 4 * MM });
  doc.moveDown(0.15);
}

function head(doc: Sheet, card: RouteCard): void {
  const { y } = doc;
  const qr = QR_MM * MM;
  drawQr(doc, card.link, { x: left(doc) + width(doc) - qr, y: y - 2 * MM, width: qr });
  const wide = width(doc) - qr - 4 * MM;
  doc
    .font(LETTERS.strong)
    .fontSize(18)
    .text(`${card.jobNumber}  ${drawable(card.title)}`, left(doc), y, { width: wide })
    .font(LETTERS.text)
    .fontSize(11)
    .text(drawable(card.part), { width: wide });
  doc.moveDown(0.4).fontSize(9);
  if (card.maker) doc.text(`For ${drawable(card.maker)}`, { width: wide });
  if (card.claimed) doc.text(drawable(card.claimed), { width: wide });
  doc.text(`Printed ${card.printedOn}. The code tells whether this paper is still true:`, { width: wide });
  doc.fontSize(7.5).text(card.link, { width: wide, link: card.link, lineBreak: true }).fontSize(9);
  if (card.stop) doc.moveDown(0.3).font(LETTERS.strong).text(card.stop, { width: wide }).font(LETTERS.text);
  if (card.state !== 'released') {
    doc
      .moveDown(0.3)
      .font(LETTERS.strong)
      .text(`Revision ${card.letter} is ${card.state}: ask before you make anything to it.`, { width: wide })
      .font(LETTERS.text);
  }
  doc.y = Math.max(doc.y, y + qr - 2 * MM);
  doc.moveDown(0.4);
}

function cells(doc: Sheet, card: RouteCard): void {
  rule(doc, 1);
  const all = [
    { label: 'Revision', text: card.letter },
    { label: 'How many', text: card.quantity },
    ...(card.needBy ? [{ label: 'Needed', text: card.needBy }] : []),
    ...card.cells,
  ];
  const column = width(doc) / 2;
  for (let index = 0; index < all.length; index += 2) {
    const pair = all.slice(index, index + 2);
    doc.fontSize(9);
    const tall =
      Math.max(...pair.map(({ text }) => doc.heightOfString(drawable(text), { width: column - 8 }))) + 15;
    room(doc, tall);
    const { y } = doc;
    pair.forEach(({ label, text }, at) => {
      const x = left(doc) + at * column;
      doc.fontSize(7).text(label, x, y + 3, { width: column - 8 });
      doc
        .font(LETTERS.strong)
        .fontSize(9)
        .text(drawable(text), x, y + 11, { width: column - 8 })
        .font(LETTERS.text);
    });
    doc.x = left(doc);
    doc.y = y + tall;
    rule(doc, 0.25);
  }
  doc.moveDown(0.4);
  if (card.needByWhy) paragraph(doc, card.needByWhy);
  if (card.firstPiece) {
    paragraph(doc, 'Make one first and send it alone: the rest waits until it has been approved.', 'strong');
  }
}

function limits(doc: Sheet, { rows, note }: LimitsTable): void {
  heading(doc, 'Limits');
  if (rows.length === 0) {
    paragraph(doc, 'No characteristic is written down: the drawing itself says all there is.');
    return;
  }
  const right = { align: { x: 'right' } } as const;
  doc.fontSize(8.5).table({
    columnStyles: [8 * MM, '*', 24 * MM, 24 * MM, 12 * MM, 26 * MM],
    defaultStyle: { border: { bottom: 0.25, top: 0, left: 0, right: 0 }, padding: [2.5, 3, 2.5, 3] },
    data: [
      [
        'No.',
        'On the drawing',
        { text: 'Lower limit', ...right },
        { text: 'Upper limit', ...right },
        'Unit',
        'Measured',
      ].map((cell) => ({
        ...(typeof cell === 'string' ? { text: cell } : cell),
        font: { src: LETTERS.strong, size: 7.5 },
      })),
      ...rows.map((row) => [
        { text: String(row.position) },
        {
          text: drawable(
            [
              row.isKey ? 'KEY  ' : '',
              row.text,
              row.label ? `\n${row.label}` : '',
              row.drawn ? `\n${row.drawn} on the drawing` : '',
            ].join(''),
          ),
          ...(row.isKey ? { font: { src: LETTERS.strong, size: 8.5 } } : {}),
        },
        { text: row.lower, ...right },
        { text: row.upper, ...right },
        { text: row.unit },
        { text: '' },
      ]),
    ],
  });
  doc.font(LETTERS.text).fontSize(9);
  doc.moveDown(0.3);
  small(
    doc,
    `${note}${rows.some(({ isKey }) => isKey) ? ' KEY: matters for fit or function, measure each piece.' : ''}`,
  );
}

function files(doc: Sheet, { files: list }: RouteCard): void {
  heading(doc, 'Files of this revision');
  if (list.length === 0) {
    paragraph(doc, 'No file is with it.');
    return;
  }
  for (const { name, kind, size, sha256 } of list) {
    room(doc, 26);
    doc.fontSize(8.5).text(drawable(`${name} (${kind}, ${size})`), left(doc), doc.y, { width: width(doc) });
    doc.fontSize(7).text(`SHA-256 ${sha256}`).fontSize(9);
    doc.moveDown(0.2);
  }
}

/** The title block at the foot of each page: so a loose sheet still says what it belongs to. */
function titleBlocks(doc: Sheet, card: RouteCard): void {
  const { start, count } = doc.bufferedPageRange();
  for (let index = 0; index < count; index++) {
    doc.switchToPage(start + index);
    // What stands below the margin must not begin a new page.
    doc.page.margins.bottom = 0;
    const top = doc.page.height - (FOOT - 6) * MM;
    const cellsOfBlock: [string, string, number][] = [
      ['Build', card.build, 0.26],
      ['Part', card.part, 0.3],
      ['Job', String(card.jobNumber), 0.09],
      ['Revision', card.letter, 0.09],
      ['Printed', card.printedOn, 0.17],
      ['Sheet', `${index + 1} of ${count}`, 0.08],
    ];
    const tall = 11 * MM;
    doc.lineWidth(1).rect(left(doc), top, width(doc), tall).stroke('black');
    let x = left(doc);
    for (const [label, text, share] of cellsOfBlock) {
      const wide = width(doc) * share;
      if (x > left(doc))
        doc
          .lineWidth(0.5)
          .moveTo(x, top)
          .lineTo(x, top + tall)
          .stroke('black');
      const inside = { width: wide - 6, height: 18, ellipsis: true };
      doc
        .font(LETTERS.text)
        .fontSize(6)
        .text(label, x + 3, top + 3, inside);
      doc
        .font(LETTERS.strong)
        .fontSize(8)
        .text(drawable(text), x + 3, top + 11, inside);
      x += wide;
    }
  }
}
