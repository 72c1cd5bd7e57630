import { type LimitsRow, limitsTable } from '../drawings/index.ts';
import { firstPieceState } from '../jobs/index.ts';
import { partPath } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { DISPOSITION_WORDS, DISPOSITIONS, openUnits, pieces, uncheckedOf } from './check-rules.ts';
import { readChecks } from './checks-reader.ts';
import { say } from './say.ts';
import { type LineInAct, readLine } from './store.ts';

/** A dimension as the bench asks for it, limits in the person's unit. */
function measureLine(row: LimitsRow) {
  return {
    id: row.id,
    name: `v-${row.id}`,
    label: row.label,
    text: row.text,
    isKey: row.isKey,
    limits: row.lower ? `${row.lower} to ${row.upper}${row.unit === '°' ? '' : ' '}${row.unit}` : '',
    unit: row.unit,
    drawn: row.drawn,
    source: row.source,
    missing: row.missing,
  };
}

async function revisionOf(read: Database['read'], { claim, job }: LineInAct) {
  const id = claim.revisionId ?? job.facts.revisionId;
  if (id === null) return null;
  return read.revision.findUnique({ where: { id }, select: { id: true, letter: true, state: true } });
}

/**
 * The inspection of one line of a parcel, unit by unit.
 *
 * @param wanted  number of the unit to be shown; the first that waits where it does not
 * @throws NotFound
 */
export async function readLinePage(
  db: Pick<Database, 'read' | 'hot'>,
  lineId: number,
  wanted: number,
  person: SignedIn,
) {
  const found = await readLine(db.read, lineId);
  const { line, job } = found;
  const { unit } = job;
  const isPieces = unit === 'piece';
  const revision = await revisionOf(db.read, found);
  const limits = revision ? await limitsTable(db, revision.id, person.lengthUnit) : null;
  const rows = limits?.rows ?? [];
  const checks = await readChecks(db, { lineId }, person.lengthUnit);
  const maker = await db.read.person.findUnique({ where: { id: found.fromId }, select: { name: true } });
  const units = isPieces ? openUnits(line) : [];
  const waiting = uncheckedOf(line);
  const keys = found.dimensions.filter(({ isKey }) => isKey).length;
  return {
    id: lineId,
    parcelId: found.parcelId,
    parcelHref: `/receiving/parcels/${found.parcelId}`,
    from: maker?.name ?? 'somebody',
    job: { id: job.facts.id, title: job.facts.title, href: `/jobs/${job.facts.id}` },
    part: job.part && { number: job.part.number, name: job.part.name, href: partPath(job.part.number) },
    revision: revision && { ...revision, href: `/revisions/${revision.id}` },
    firstPiece: firstPieceState(job.facts, unit) === 'here',
    isPieces,
    isCounted: line.countedMilli !== null,
    unitWord: isPieces ? 'pieces' : unit,
    unitNo: units.includes(wanted) ? wanted : (units[0] ?? null),
    units,
    unitWords: units.length ? pieces(units) : '',
    waiting: say(waiting, unit),
    waitingMilli: waiting,
    waitingFigure: String(waiting / 1000),
    counted: say(line.countedMilli ?? 0, unit),
    keys,
    dimensions: rows.filter(({ kind }) => kind !== 'requirement').map(measureLine),
    requirements: rows
      .filter(({ kind }) => kind === 'requirement')
      .map(({ label, text, isKey }) => ({ label, text, isKey })),
    limitsNote: limits?.note ?? '',
    lengthUnit: person.lengthUnit,
    dispositions: DISPOSITIONS.map((value) => ({ value, label: value, hint: DISPOSITION_WORDS[value] })),
    checks,
    lastGauge: checks.find(({ gauge }) => gauge)?.gauge ?? '',
  };
}

export type LinePage = Awaited<ReturnType<typeof readLinePage>>;
