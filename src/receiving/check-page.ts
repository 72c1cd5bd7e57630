import { noted, readLog } from '../log/index.ts';
import { partPath } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { dayIn } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import { type LengthUnit, plainNumber } from '../specs/index.ts';
import { readChecks } from './checks-reader.ts';
import { gaugesInUse, measuring, revisionOf } from './line-page.ts';
import { type Gauged, shownLength, suspicionOf } from './measure.ts';
import { readLine, zoneOf } from './store.ts';

/** Values as the log notes them, in the words of the page. */
function notedValues(values: unknown, dimensions: readonly Gauged[], shown: LengthUnit): string[] {
  if (typeof values !== 'object' || values === null) return [];
  return Object.entries(values).flatMap(([id, value]) => {
    const dimension = dimensions.find((one) => one.id === Number(id));
    if (!dimension || typeof value !== 'number') return [];
    const name = dimension.label || dimension.text;
    return [`${name} ${shownLength(value, dimension.unit, shown)}`];
  });
}

const text = (value: unknown) => (typeof value === 'string' ? value : '');

/** What stood there before each correction, newest first, with who put it right and why. */
function correctionsOf(
  db: Pick<Database, 'hot'>,
  checkId: number,
  dimensions: readonly Gauged[],
  shown: LengthUnit,
  timeZone: string,
) {
  const thing = { type: 'check', id: checkId };
  return readLog(db, { thing, kinds: ['correct-inspection'] }, { limit: 50 }).map((row) => {
    const before = noted(row.before);
    return {
      when: dayIn(timeZone, new Date(row.at)),
      iso: row.at,
      who: row.who ?? 'somebody',
      why: text(noted(row.after).why),
      before: [
        [text(before.disposition), text(before.reason)].filter(Boolean).join(': '),
        ...notedValues(before.values, dimensions, shown),
        text(before.gauge) && `by ${text(before.gauge)}`,
      ]
        .filter(Boolean)
        .join('; '),
    };
  });
}

/**
 * One inspected unit: what was measured and decided, by whom and why, and all that was corrected since.
 *
 * @throws NotFound
 */
export async function readCheckPage(db: Pick<Database, 'read' | 'hot'>, checkId: number, person: SignedIn) {
  const row = found(
    await db.read.unitCheck.findUnique({
      where: { id: checkId },
      include: { values: { orderBy: { id: 'asc' } } },
    }),
    'There is no such inspection.',
  );
  const line = await readLine(db.read, row.itemId);
  const [check] = await readChecks(db, { checkId }, person.lengthUnit);
  const revision = await revisionOf(db.read, line);
  const maker = await db.read.person.findUnique({ where: { id: line.fromId }, select: { name: true } });
  const { job } = line;
  const figures = new Map(row.values.map(({ characteristicId, value }) => [characteristicId, value]));
  return {
    id: checkId,
    unitNo: row.unitNo,
    version: row.version,
    check: found(check, 'There is no such inspection.'),
    isPieces: job.unit === 'piece',
    from: maker?.name ?? 'somebody',
    lineId: row.itemId,
    lineHref: `/receiving/lines/${row.itemId}`,
    parcelId: line.parcelId,
    parcelHref: `/receiving/parcels/${line.parcelId}`,
    job: { id: job.facts.id, title: job.facts.title, href: `/jobs/${job.facts.id}` },
    part: job.part && { number: job.part.number, href: partPath(job.part.number) },
    revision: revision && { letter: revision.letter, href: `/revisions/${revision.id}` },
    ...(await measuring(db, line, revision?.id ?? null, person.lengthUnit)),
    gauges: await gaugesInUse(db),
    corrections: correctionsOf(db, checkId, line.dimensions, person.lengthUnit, await zoneOf(db.read)),
    /** as they stand in the boxes of the form */
    typed: {
      disposition: row.disposition,
      reason: row.reason,
      gauge: row.gauge,
      version: String(row.version),
      ...Object.fromEntries(
        line.dimensions.flatMap((dimension) => {
          const { id, unit } = dimension;
          const value = figures.get(id);
          if (value === undefined) return [];
          // In the drawing's unit, so that a figure that is not touched is sent back as it was.
          const figure = unit === 'deg' ? plainNumber(value) : shownLength(value, unit, unit);
          const sure = suspicionOf(value, dimension) ? [[`sure-${id}`, 'yes']] : [];
          return [[`v-${id}`, figure], ...sure];
        }),
      ),
    },
  };
}
