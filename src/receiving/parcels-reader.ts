import type { Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { addDays, type Day, dayIn, daysBetween, dayWords } from '../platform/day.ts';
import { uncheckedOf } from './check-rules.ts';
import type { ParcelLine } from './parcel-rules.ts';
import { type ParcelState, parcelState } from './parcel-state.ts';
import { say, unitOf } from './say.ts';
import { type PostTime, usualPost, usualPostWords } from './usual-post.ts';

type Hot = Pick<Database, 'hot'>;

/** A line of a parcel with the job it is of. */
export interface ReadLine extends ParcelLine {
  id: number;
  claimId: number;
  jobId: number;
  title: string;
  partNumber: string | null;
  unit: Unit;
  /** of a job whose first piece is asked for and not approved */
  isFirstPiece: boolean;
}

export interface ReadParcel {
  id: number;
  fromId: number;
  from: string;
  country: string;
  carrier: string;
  tracking: string;
  note: string;
  arrivalNote: string;
  sentOn: Day;
  arrivedOn: Day | null;
  state: ParcelState;
  lines: ReadLine[];
}

interface Row extends Omit<ReadParcel, 'id' | 'sentOn' | 'arrivedOn' | 'state' | 'lines'> {
  parcelId: number;
  sentAt: string;
  arrivedAt: string | null;
  id: number;
  claimId: number;
  milli: number;
  countedMilli: number | null;
  checkedMilli: number;
  jobId: number;
  title: string;
  partNumber: string | null;
  unit: string | null;
  isFirstPiece: number;
}

const CHECKED = 'COALESCE((SELECT SUM(k.milli) FROM UnitCheck k WHERE k.itemId = i.id), 0)';

const ROWS = `
  SELECT p.id AS parcelId, p.fromId, s.name AS "from", s.country, p.carrier, p.tracking, p.note, p.arrivalNote,
         p.sentAt, p.arrivedAt, i.id, i.claimId, i.milli, i.countedMilli, ${CHECKED} AS checkedMilli,
         c.jobId, j.title, t.number AS partNumber, t.unit,
         j.firstPiece AND j.firstApprovedAt IS NULL AND j.milli > 1000 AND t.unit = 'piece' AS isFirstPiece
    FROM Parcel p
    JOIN Person s ON s.id = p.fromId
    JOIN ParcelItem i ON i.parcelId = p.id
    JOIN Claim c ON c.id = i.claimId
    JOIN Job j ON j.id = c.jobId
    LEFT JOIN Part t ON t.id = j.partId`;

/** Which parcels are read. */
export const WHICH = {
  /** on their way: not arrived, not written off */
  inThePost:
    'p.arrivedAt IS NULL AND EXISTS (SELECT 1 FROM ParcelItem u WHERE u.parcelId = p.id AND u.countedMilli IS NULL)',
  /** here, with something to count or to inspect */
  here: `p.arrivedAt IS NOT NULL AND EXISTS (SELECT 1 FROM ParcelItem i WHERE i.parcelId = p.id
         AND (i.countedMilli IS NULL OR i.countedMilli > ${CHECKED}))`,
  one: 'p.id = ?',
  from: 'p.fromId = ?',
  ofJob: 'p.id IN (SELECT u.parcelId FROM ParcelItem u JOIN Claim v ON v.id = u.claimId WHERE v.jobId = ?)',
  all: '1 = 1',
} as const;

function zone({ hot }: Hot): string {
  const row = hot.prepare<[], { timeZone: string }>('SELECT timeZone FROM Build WHERE id = 1').get();
  return row?.timeZone ?? 'UTC';
}

/**
 * Parcels with their lines, by the driver.
 *
 * @param page  newest first where it is given, else the one that waits longest first
 */
export function readParcels(
  db: Hot,
  which: keyof typeof WHICH,
  values: readonly number[] = [],
  page?: { limit: number; offset: number },
): ReadParcel[] {
  const picked = page
    ? `p.id IN (SELECT p.id FROM Parcel p WHERE ${WHICH[which]} ORDER BY p.id DESC LIMIT ? OFFSET ?)`
    : WHICH[which];
  const order = page ? 'p.id DESC, i.id' : 'COALESCE(p.arrivedAt, p.sentAt), p.id, i.id';
  const rows = db.hot
    .prepare<unknown[], Row>(`${ROWS} WHERE ${picked} ORDER BY ${order}`)
    .all(...values, ...(page ? [page.limit, page.offset] : []));
  const timeZone = zone(db);
  const parcels = new Map<number, ReadParcel>();
  for (const row of rows) {
    const { parcelId, sentAt, arrivedAt, ...rest } = row;
    const { fromId, from, country, carrier, tracking, note, arrivalNote, unit, isFirstPiece, ...line } = rest;
    let parcel = parcels.get(parcelId);
    if (!parcel) {
      parcel = {
        ...{ id: parcelId, fromId, from, country, carrier, tracking, note, arrivalNote },
        sentOn: dayIn(timeZone, new Date(sentAt)),
        arrivedOn: arrivedAt === null ? null : dayIn(timeZone, new Date(arrivedAt)),
        state: 'in the post',
        lines: [],
      };
      parcels.set(parcelId, parcel);
    }
    parcel.lines.push({ ...line, unit: unitOf(unit), isFirstPiece: isFirstPiece === 1 });
  }
  return [...parcels.values()].map((parcel) => ({
    ...parcel,
    state: parcelState(parcel.arrivedOn !== null, parcel.lines),
  }));
}

/** How many parcels there are of these. */
export function countParcels(
  { hot }: Hot,
  which: keyof typeof WHICH,
  values: readonly number[] = [],
): number {
  const row = hot
    .prepare<unknown[], { n: number }>(`SELECT COUNT(*) AS n FROM Parcel p WHERE ${WHICH[which]}`)
    .get(...values);
  return row?.n ?? 0;
}

const HISTORY = 300;

/** How long the parcels that came were under way, the newest first. */
export function postTimes(db: Hot): PostTime[] {
  const timeZone = zone(db);
  return db.hot
    .prepare<[number], { country: string; sentAt: string; arrivedAt: string }>(
      `SELECT s.country, p.sentAt, p.arrivedAt FROM Parcel p JOIN Person s ON s.id = p.fromId
        WHERE p.arrivedAt IS NOT NULL ORDER BY p.arrivedAt DESC LIMIT ?`,
    )
    .all(HISTORY)
    .map(({ country, sentAt, arrivedAt }) => ({
      country,
      days: Math.max(0, daysBetween(dayIn(timeZone, new Date(sentAt)), dayIn(timeZone, new Date(arrivedAt)))),
    }));
}

/** What is in a parcel, one line each. */
export interface Contents {
  jobId: number;
  title: string;
  partNumber: string | null;
  quantity: string;
  isFirstPiece: boolean;
}

const contentsOf = (lines: readonly ReadLine[], milliOf: (line: ReadLine) => number): Contents[] =>
  lines
    .filter((line) => milliOf(line) > 0)
    .map((line) => ({
      jobId: line.jobId,
      title: line.title,
      partNumber: line.partNumber,
      quantity: say(milliOf(line), line.unit),
      isFirstPiece: line.isFirstPiece,
    }));

const inWords = (contents: readonly Contents[]) =>
  contents.map(({ quantity, title }) => `${quantity} of ${title}`).join(', ');

/** A parcel that is on its way. */
export interface ExpectedParcel {
  id: number;
  href: string;
  from: string;
  fromId: number;
  carrier: string;
  tracking: string;
  note: string;
  sentOn: Day;
  /** days since it was sent */
  underWayDays: number;
  /** by how long the post usually takes; null while too few parcels have come to tell */
  likelyOn: Day | null;
  /** days past the likely day, else 0 */
  lateDays: number;
  /** where the likely day is from */
  source: string;
  contents: Contents[];
  /** what is in it, in words */
  text: string;
}

/** Parcels in the post, the longest under way first. @param today  in the build's zone */
export function parcelsInThePost(db: Hot, today: Day): ExpectedParcel[] {
  const parcels = readParcels(db, 'inThePost');
  if (parcels.length === 0) return [];
  const times = postTimes(db);
  return parcels.map(({ id, from, fromId, country, carrier, tracking, note, sentOn, lines }) => {
    const usual = usualPost(times, country);
    const likelyOn = usual && addDays(sentOn, usual.days);
    const contents = contentsOf(lines, ({ milli }) => milli);
    return {
      ...{ id, from, fromId, carrier, tracking, note, sentOn },
      href: `/receiving/parcels/${id}`,
      underWayDays: Math.max(0, daysBetween(sentOn, today)),
      likelyOn,
      lateDays: likelyOn ? Math.max(0, daysBetween(likelyOn, today)) : 0,
      source: usual ? usualPostWords(usual) : '',
      contents,
      text: `${inWords(contents)}, from ${from}`,
    };
  });
}

/** A parcel that has come and is not inspected whole. */
export interface ParcelHere {
  id: number;
  href: string;
  from: string;
  fromId: number;
  state: 'to count' | 'to inspect';
  arrivedOn: Day;
  waitingDays: number;
  /** what waits in it: to be counted, or to be inspected */
  contents: Contents[];
  /** what is to be done, in words */
  text: string;
  /** when it came, in words */
  since: string;
}

/** Parcels that have come and wait for the count or for the inspection, the longest first. @param today  in the build's zone */
export function parcelsToInspect(db: Hot, today: Day): ParcelHere[] {
  return readParcels(db, 'here').map(({ id, from, fromId, state, sentOn, arrivedOn, lines }) => {
    const counts = state === 'to count';
    const contents = contentsOf(lines, (line) =>
      line.countedMilli === null ? line.milli : uncheckedOf(line),
    );
    const day = arrivedOn ?? sentOn;
    return {
      ...{ id, from, fromId },
      href: `/receiving/parcels/${id}`,
      state: counts ? 'to count' : 'to inspect',
      arrivedOn: day,
      waitingDays: Math.max(0, daysBetween(day, today)),
      contents,
      text: `${counts ? 'Count' : 'Inspect'} ${inWords(contents)}, from ${from}`,
      since: dayWords(day, today),
    };
  });
}
