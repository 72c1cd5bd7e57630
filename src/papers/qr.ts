import { encode } from 'uqr';

/** Black bars of a QR code, in modules from the upper left corner. */
export interface QrBars {
  /** modules across, with the quiet zone of four on each side that the standard asks for */
  size: number;
  bars: { x: number; y: number; width: number }[];
}

/**
 * A text as a QR code (ISO/IEC 18004), level M: readable with a seventh of it dirty or torn.
 *
 * Neighbours come as one bar: hairlines between modules confuse cheap readers.
 */
export function qrBars(text: string): QrBars {
  const { data, size } = encode(text, { ecc: 'M', border: 4 });
  const bars: QrBars['bars'] = [];
  data.forEach((row, y) => {
    for (let x = 0; x < size; x++) {
      if (!row[x]) continue;
      let end = x;
      while (row[end + 1]) end++;
      bars.push({ x, y, width: end - x + 1 });
      x = end;
    }
  });
  return { size, bars };
}
