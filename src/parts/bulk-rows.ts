import type { Tx } from '../platform/database.ts';

export type BulkValue = string | number | null;
type Row = Readonly<Record<string, BulkValue>>;
type Writer = Pick<Tx, '$executeRawUnsafe'>;

// A list of 20,000 rows must come in within one transaction. Row objects one by one take the client some 0.3 ms each;
// here the rows go over as one JSON text and SQLite takes them apart itself, some fifty times faster.

/** Inserts rows that all have the same columns. @param table, columns  as the schema names them, never from outside */
export async function insertRows(
  tx: Writer,
  table: 'Part' | 'Use' | 'Act',
  rows: readonly Row[],
): Promise<void> {
  const [first] = rows;
  if (!first) return;
  const columns = Object.keys(first);
  const picked = columns.map((_, at) => `value ->> ${at}`).join(', ');
  await tx.$executeRawUnsafe(
    `INSERT INTO "${table}" (${columns.map(quoted).join(', ')}) SELECT ${picked} FROM json_each(?)`,
    asLists(rows, columns),
  );
}

/** Writes all other columns of the rows with these keys. All rows have the same columns. */
export async function updateRows(
  tx: Writer,
  table: 'Part' | 'Use',
  keys: readonly string[],
  rows: readonly Row[],
): Promise<void> {
  const [first] = rows;
  if (!first) return;
  const columns = Object.keys(first);
  const place = (column: string) => `j.value ->> ${columns.indexOf(column)}`;
  const set = columns.filter((column) => !keys.includes(column));
  await tx.$executeRawUnsafe(
    `UPDATE "${table}" SET ${set.map((column) => `${quoted(column)} = ${place(column)}`).join(', ')}
       FROM json_each(?) AS j
      WHERE ${keys.map((key) => `"${table}".${quoted(key)} = ${place(key)}`).join(' AND ')}`,
    asLists(rows, columns),
  );
}

/** A moment as the database keeps it. */
export function storedMoment(at: Date): string {
  return at.toISOString().replace('Z', '+00:00');
}

function asLists(rows: readonly Row[], columns: readonly string[]): string {
  return JSON.stringify(rows.map((row) => columns.map((column) => row[column] ?? null)));
}

function quoted(column: string): string {
  return `"${column}"`;
}
