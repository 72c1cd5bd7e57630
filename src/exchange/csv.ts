import { Readable } from 'node:stream';
import { stringify } from 'csv-stringify';

export type Cell = string | number | null;

/**
 * A table as CSV (RFC 4180), in UTF-8 with a byte order mark so that spreadsheets read it as such. Cells that a
 * spreadsheet would take for a formula are made text.
 */
export function csvStream(header: readonly string[], rows: Iterable<readonly Cell[]>): Readable {
  const source = Readable.from(
    (function* () {
      yield header;
      yield* rows;
    })(),
  );
  // Of line ends the library only quotes its own; a note may hold any.
  const csv = stringify({
    bom: true,
    escape_formulas: true,
    record_delimiter: '\r\n',
    quoted_match: /[\r\n]/,
  });
  source.on('error', (fault) => csv.destroy(fault));
  csv.on('close', () => source.destroy());
  return source.pipe(csv);
}
