import { join } from 'node:path';
import { Readable } from 'node:stream';
import Sqlite from 'better-sqlite3';

/** Tables that tell of the build. */
export const exportedTables = [
  'Build',
  'Person',
  'Tool',
  'Away',
  'Material',
  'Process',
  'Part',
  'Use',
  'Revision',
  'Document',
  'DocumentFacts',
  'Characteristic',
  'Job',
  'JobLink',
  'Claim',
  'Report',
  'Photo',
  'Query',
  'Parcel',
  'ParcelItem',
  'Sample',
  'UnitCheck',
  'MeasuredValue',
  'Notice',
  'OldUnits',
  'StrangerOffer',
  'Problem',
  'Redesign',
  'RedesignPart',
  'Trial',
  'Decision',
  'Gathering',
  'Comer',
  'PackingLine',
  'Bulletin',
  'FinishRecord',
  'Closure',
  'Baseline',
  'BaselineLine',
  'Fit',
  'Chain',
  'ChainLink',
  'ImportDraft',
  'Act',
] as const;

/** Tables that stay here: secrets, and what only keeps the program going. */
export const keptTables = [
  'Session',
  'Ticket',
  'SentForm',
  'MailSettings',
  'Letter',
  'Hook',
  'HookCall',
] as const;

const secretColumns = new Set(['Person.passwordHash', 'Part.numberKey']);

/** Columns that hold JSON in themselves. */
const jsonColumns = new Set([
  'Material.cautions',
  'Material.data',
  'Process.cautions',
  'Process.data',
  'Sample.unitNos',
  'Trial.before',
  'Trial.after',
  'Trial.noiseBefore',
  'Trial.noiseAfter',
  'Decision.options',
  'DocumentFacts.facts',
  'Bulletin.omitted',
  'Bulletin.sections',
  'Bulletin.passedOver',
  'Bulletin.frozen',
  'ImportDraft.options',
  'Person.mailOff',
  'Act.before',
  'Act.after',
]);

/**
 * Everything of the build as one JSON document: { format, at, tables: { Part: [...], ... } }, each table with its
 * columns as prisma/schema.prisma names them. No passwords, sessions or links. Kept files are told by their SHA-256.
 *
 * All tables are read as they are at one moment, on a connection of its own, row by row.
 */
export function everythingStream(dataDir: string, at: Date): Readable {
  return Readable.from(documentPieces(dataDir, at));
}

function* documentPieces(dataDir: string, at: Date): Generator<string> {
  const db = new Sqlite(join(dataDir, 'farwright.db'), { readonly: true, timeout: 7000 });
  try {
    db.exec('BEGIN');
    yield `{"format":"farwright 1","at":${JSON.stringify(at.toISOString())},"tables":{`;
    let first = true;
    for (const table of exportedTables) {
      yield `${first ? '' : ','}\n${JSON.stringify(table)}:[`;
      first = false;
      yield* rowPieces(db, table);
      yield ']';
    }
    yield '}}\n';
  } finally {
    db.close();
  }
}

const pieceBytes = 32_768;

function* rowPieces(db: Sqlite.Database, table: (typeof exportedTables)[number]): Generator<string> {
  let piece = '';
  let first = true;
  for (const row of db
    .prepare<[], Record<string, unknown>>(`SELECT * FROM "${table}" ORDER BY 1`)
    .iterate()) {
    piece += `${first ? '\n' : ',\n'}${JSON.stringify(shown(table, row))}`;
    first = false;
    if (piece.length < pieceBytes) continue;
    yield piece;
    piece = '';
  }
  if (piece !== '') yield piece;
}

function shown(table: string, row: Record<string, unknown>): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(row)
      .filter(([column]) => !secretColumns.has(`${table}.${column}`))
      .map(([column, value]) => [
        column,
        typeof value === 'string' && jsonColumns.has(`${table}.${column}`) ? JSON.parse(value) : value,
      ]),
  );
}
