import { type LimitsRow, limitsTable } from '../drawings/index.ts';
import { firstPieceState } from '../jobs/index.ts';
import { partPath } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { DISPOSITION_WORDS, DISPOSITIONS, openUnits, pieces, uncheckedOf } from './check-rules.ts';
import { readChecks } from './checks-reader.ts';
import type { Gauged } from './measure.ts';
import { mayAcceptWithSample, mayTakeSample, measuredOf, sampleSize, sampleWords } from './sampling.ts';
import { say } from './say.ts';
import { type LineInAct, readLine } from './store.ts';

/** A dimension as the bench asks for it: limits in words in the person's unit, and as the drawing has them. */
export function measureLine(row: LimitsRow, dimension: Gauged | undefined) {
  return {
    id: row.id,
    name: `v-${row.id}`,
    sure: `sure-${row.id}`,
    label: row.label,
    text: row.text,
    isKey: row.isKey,
    limits: row.lower ? `${row.lower} to ${row.upper}${row.unit === '°' ? '' : ' '}${row.unit}` : '',
    unit: row.unit,
    drawn: row.drawn,
    source: row.source,
    missing: row.missing,
    drawing: dimension && {
      unit: dimension.unit,
      nominal: dimension.nominal,
      lower: dimension.limits?.lowerLimit ?? '',
      upper: dimension.limits?.upperLimit ?? '',
    },
  };
}

/** What the pieces of a line are measured by, as forms show it. */
export async function measuring(
  db: Pick<Database, 'read' | 'hot'>,
  found: LineInAct,
  revisionId: number | null,
  lengthUnit: SignedIn['lengthUnit'],
) {
  const limits = revisionId === null ? null : await limitsTable(db, revisionId, lengthUnit);
  const rows = limits?.rows ?? [];
  const byId = new Map(found.dimensions.map((dimension) => [dimension.id, dimension]));
  return {
    dimensions: rows
      .filter(({ kind }) => kind !== 'requirement')
      .map((row) => measureLine(row, byId.get(row.id))),
    requirements: rows
      .filter(({ kind }) => kind === 'requirement')
      .map(({ label, text, isKey }) => ({ label, text, isKey })),
    limitsNote: limits?.note ?? '',
    lengthUnit,
    dispositions: DISPOSITIONS.map((value) => ({ value, label: value, hint: DISPOSITION_WORDS[value] })),
  };
}

/** Pieces shown at most to choose from; more are looked up by their number. */
const MOST_SHOWN = 12;

/** The pieces to choose from: those of a sample first, and of many only those near the one that is shown. */
function choiceOf(units: readonly number[], wanted: number, sampled: ReadonlySet<number>) {
  const order = [...units].sort((a, b) => Number(sampled.has(b)) - Number(sampled.has(a)) || a - b);
  const unitNo = units.includes(wanted) ? wanted : (order[0] ?? null);
  const at = unitNo === null ? 0 : order.indexOf(unitNo);
  const from = Math.max(0, Math.min(at - 3, order.length - MOST_SHOWN));
  return { unitNo, shown: order.slice(from, from + MOST_SHOWN), more: order.length > MOST_SHOWN };
}

/** What a line's page says of a sample: one that may be taken, or the one that was. */
function sampleOf(found: LineInAct, open: readonly number[], isLead: boolean) {
  const { sample, sampleState, units, dimensions } = found;
  const keys = dimensions.filter(({ isKey }) => isKey).length;
  const limited = dimensions.filter(({ limits }) => limits !== null).length;
  const size = sampleSize(open.length);
  if (!sample) {
    if (!size || mayTakeSample(open, null, units, limited)) return null;
    return { offered: { size: size.size, lot: open.length, words: sampleWords(open.length, size) }, keys };
  }
  const done = new Set(units.map(({ unitNo }) => unitNo));
  return {
    taken: {
      size: sample.unitNos.length,
      lot: sample.lot,
      pieces: pieces(sample.unitNos),
      left: sample.unitNos.filter((unitNo) => !done.has(unitNo)).length,
      state: sample.isEnded ? 'ended' : sampleState,
      words: sampleWords(sample.lot, { letter: sample.letter, size: sample.unitNos.length }),
      withIt: units.filter(({ bySample }) => bySample).length,
    },
    keys,
    mayAccept: !mayAcceptWithSample(open, sample, sampleState, keys),
    mayEnd: isLead && !sample.isEnded && sampleState !== 'failed' && open.length > 0,
  };
}

export async function revisionOf(read: Database['read'], { claim, job }: LineInAct) {
  const id = claim.revisionId ?? job.facts.revisionId;
  if (id === null) return null;
  return read.revision.findUnique({ where: { id }, select: { id: true, letter: true, state: true } });
}

/** Units that were decided on and are shown; older ones are looked up by their number. */
const MOST_CHECKS = 12;

/** What the part was last measured with. */
async function gaugeOfPart({ read }: Pick<Database, 'read'>, { job }: LineInAct): Promise<string> {
  if (!job.part) return '';
  const row = await read.unitCheck.findFirst({
    where: { gauge: { not: '' }, item: { claim: { job: { partId: job.part.id } } } },
    orderBy: { id: 'desc' },
    select: { gauge: true },
  });
  return row?.gauge ?? '';
}

/** Names of gauges the bench has used of late, to choose from. */
export async function gaugesInUse({ hot }: Pick<Database, 'hot'>): Promise<string[]> {
  const rows = hot
    .prepare<[], { gauge: string }>(
      "SELECT gauge FROM UnitCheck WHERE gauge <> '' GROUP BY gauge ORDER BY MAX(id) DESC LIMIT 20",
    )
    .all();
  return rows.map(({ gauge }) => gauge);
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
  const checks = await readChecks(db, { lineId }, person.lengthUnit, MOST_CHECKS);
  const maker = await db.read.person.findUnique({ where: { id: found.fromId }, select: { name: true } });
  const units = isPieces ? openUnits(line) : [];
  const waiting = uncheckedOf(line);
  const keys = found.dimensions.filter(({ isKey }) => isKey).length;
  const standing = found.sample && !found.sample.isEnded ? found.sample.unitNos : [];
  const { unitNo, shown, more } = choiceOf(units, wanted, new Set(standing));
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
    unitNo,
    units,
    shownUnits: shown.map((no) => ({ no, inSample: standing.includes(no) })),
    hasMore: more,
    needsEvery: unitNo !== null && measuredOf(unitNo, found.sample, found.sampleState) === 'every',
    inSample: unitNo !== null && standing.includes(unitNo),
    sample: isPieces && line.countedMilli !== null ? sampleOf(found, units, person.role === 'lead') : null,
    waiting: say(waiting, unit),
    waitingMilli: waiting,
    waitingFigure: String(waiting / 1000),
    counted: say(line.countedMilli ?? 0, unit),
    keys,
    ...(await measuring(db, found, revision?.id ?? null, person.lengthUnit)),
    checks,
    hasMoreChecks: checks.length === MOST_CHECKS,
    lastGauge: checks.find(({ gauge }) => gauge)?.gauge ?? (await gaugeOfPart(db, found)),
    gauges: await gaugesInUse(db),
  };
}

export type LinePage = Awaited<ReturnType<typeof readLinePage>>;
