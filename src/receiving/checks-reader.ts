import type { Database } from '../platform/database.ts';
import { dayIn } from '../platform/day.ts';
import type { GeneralClass, LengthUnit } from '../specs/index.ts';
import { pieces } from './check-rules.ts';
import { gauged, shownLength, verdictOf, verdictWords } from './measure.ts';
import { say, unitOf } from './say.ts';

/** Units that got one disposition in one act, as pages show them. */
export interface CheckLine {
  id: number;
  /** 'piece 4', 'pieces 4 and 5', '2.5 m' */
  units: string;
  disposition: string;
  reason: string;
  gauge: string;
  by: string;
  when: string;
  iso: string;
  jobId: number;
  title: string;
  partNumber: string | null;
  parcelId: number;
  lineId: number;
  /** the job that makes rejected units good */
  followJobId: number | null;
  /** accepted with a sample: not measured, or in its key dimensions only */
  bySample: boolean;
  /** how often it was corrected */
  corrections: number;
  /** the page of the unit, for the shop; of several the first one's */
  href: string;
  values: { name: string; value: string; outside: string }[];
  photos: { href: string; width: number; height: number }[];
}

/** Units read at most: a few whole boxes. */
const MOST_UNITS = 2000;

/** Which checks are read; all that is given must hold. */
export interface ChecksFilter {
  jobId?: number;
  parcelId?: number;
  lineId?: number;
  /** the maker whose units they are */
  makerId?: number;
  checkId?: number;
  partId?: number;
  disposition?: string;
}

interface Row {
  id: number;
  itemId: number;
  unitNo: number;
  milli: number;
  disposition: string;
  reason: string;
  gauge: string;
  followJobId: number | null;
  bySample: number;
  isMeasured: number;
  version: number;
  at: string;
  by: string | null;
  parcelId: number;
  jobId: number;
  title: string;
  partNumber: string | null;
  unit: string | null;
}

const ROWS = `
  SELECT k.id, k.itemId, k.unitNo, k.milli, k.disposition, k.reason, k.gauge, k.followJobId,
         EXISTS (SELECT 1 FROM MeasuredValue v WHERE v.checkId = k.id) AS isMeasured,
         k.bySample, k.version, k.at, b.name AS "by",
         i.parcelId, c.jobId, j.title, t.number AS partNumber, t.unit
    FROM UnitCheck k
    JOIN ParcelItem i ON i.id = k.itemId
    JOIN Claim c ON c.id = i.claimId
    JOIN Job j ON j.id = c.jobId
    LEFT JOIN Person b ON b.id = k.byId
    LEFT JOIN Part t ON t.id = j.partId`;

/**
 * Dispositions, newest first, with what was measured and the photos. Units that were decided on together are one line.
 *
 * @param shown  the unit lengths are shown in
 * @param most   lines at most
 */
export async function readChecks(
  db: Pick<Database, 'read' | 'hot'>,
  filter: ChecksFilter,
  shown: LengthUnit,
  most = 100,
): Promise<CheckLine[]> {
  const conditions: string[] = [];
  const values: (number | string)[] = [];
  const add = (condition: string, value: number | string | undefined) => {
    if (value === undefined) return;
    conditions.push(condition);
    values.push(value);
  };
  add('c.jobId = ?', filter.jobId);
  add('i.parcelId = ?', filter.parcelId);
  add('i.id = ?', filter.lineId);
  add('c.personId = ?', filter.makerId);
  add('k.id = ?', filter.checkId);
  add('j.partId = ?', filter.partId);
  add('k.disposition = ?', filter.disposition);
  const where = conditions.length ? ` WHERE ${conditions.join(' AND ')}` : '';
  const rows = db.hot
    .prepare<unknown[], Row>(`${ROWS}${where} ORDER BY k.id DESC LIMIT ?`)
    .all(...values, MOST_UNITS);
  const groups = together(rows).slice(0, most);
  const ids = groups.flatMap((group) => group.map(({ id }) => id));
  const measured = await db.read.measuredValue.findMany({
    where: { checkId: { in: ids } },
    orderBy: { id: 'asc' },
  });
  const names = await measuredNames(
    db,
    measured.map(({ characteristicId }) => characteristicId),
  );
  const photos = await db.read.photo.findMany({
    where: { checkId: { in: ids }, removedAt: null },
    orderBy: { id: 'asc' },
  });
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } });
  return groups.map((group): CheckLine => {
    const [first] = group;
    const unit = unitOf(first.unit);
    const inGroup = new Set(group.map(({ id }) => id));
    const unitNos = group.map(({ unitNo }) => unitNo).sort((a, b) => a - b);
    return {
      id: first.id,
      units: unit === 'piece' ? pieces(unitNos) : say(first.milli, unit),
      disposition: first.disposition,
      reason: first.reason,
      gauge: first.gauge,
      by: first.by ?? 'somebody',
      when: dayIn(build.timeZone, new Date(first.at)),
      iso: first.at,
      jobId: first.jobId,
      title: first.title,
      partNumber: first.partNumber,
      parcelId: first.parcelId,
      lineId: first.itemId,
      followJobId: first.followJobId,
      bySample: first.bySample === 1,
      corrections: first.version - 1,
      href: `/receiving/checks/${Math.min(...inGroup)}`,
      values: measured
        .filter(({ checkId }) => inGroup.has(checkId))
        .map(({ characteristicId, value }) => {
          const dimension = names.get(characteristicId);
          if (!dimension) return { name: 'a dimension', value: String(value), outside: '' };
          const verdict = verdictOf(value, dimension.limits);
          return {
            name: [dimension.label, dimension.text].filter(Boolean).join(', '),
            value: shownLength(value, dimension.unit, shown),
            outside: 'by' in verdict ? verdictWords(verdict, dimension.unit, shown) : '',
          };
        }),
      photos: photos
        .filter(({ checkId }) => checkId !== null && inGroup.has(checkId))
        .map(({ id, width, height }) => ({ href: `/photos/${id}`, width, height })),
    };
  });
}

type Group = [Row, ...Row[]];

/** Rows of one act lie side by side: they share the moment, the line and what was decided. What was measured, or corrected, stands alone. */
function together(rows: readonly Row[]): Group[] {
  const groups: Group[] = [];
  for (const row of rows) {
    const last = groups.at(-1);
    const same =
      last &&
      row.isMeasured === 0 &&
      last[0].isMeasured === 0 &&
      row.version === 1 &&
      last[0].version === 1 &&
      last[0].bySample === row.bySample &&
      unitOf(row.unit) === 'piece' &&
      last[0].itemId === row.itemId &&
      last[0].at === row.at &&
      last[0].disposition === row.disposition &&
      last[0].reason === row.reason;
    if (same) last.push(row);
    else groups.push([row]);
  }
  return groups;
}

async function measuredNames({ read }: Pick<Database, 'read'>, ids: readonly number[]) {
  const rows = await read.characteristic.findMany({
    where: { id: { in: [...new Set(ids)] } },
    include: { revision: { select: { generalTolerance: true } } },
  });
  return new Map(
    rows.map((row) => [row.id, gauged(row, (row.revision.generalTolerance || null) as GeneralClass | null)]),
  );
}
