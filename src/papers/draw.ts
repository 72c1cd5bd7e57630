import { buffer } from 'node:stream/consumers';
import { type ParcelLabel, parcelLabelPdf, type UnitLabel, unitLabelsPdf } from './labels.ts';
import { type RouteCard, routeCardPdf } from './route-card.ts';

/** What is to be drawn, as it is posted to a thread: reading the letters and setting the lines takes a tenth of a second. */
export type Drawing =
  | { what: 'route card'; card: RouteCard; size: 'A4' | 'LETTER'; at: Date }
  | { what: 'parcel label'; label: ParcelLabel; at: Date }
  | {
      what: 'unit labels';
      labels: UnitLabel[];
      size: 'A4' | 'LETTER';
      skip: number;
      title: string;
      at: Date;
    };

/** Draws one document. @returns the PDF's bytes */
export async function draw(drawing: Drawing): Promise<Uint8Array> {
  return new Uint8Array(await buffer(sheetOf(drawing)));
}

function sheetOf(drawing: Drawing) {
  switch (drawing.what) {
    case 'route card':
      return routeCardPdf(drawing.card, drawing);
    case 'parcel label':
      return parcelLabelPdf(drawing.label, drawing.at);
    case 'unit labels':
      return unitLabelsPdf(drawing.labels, drawing);
  }
}
