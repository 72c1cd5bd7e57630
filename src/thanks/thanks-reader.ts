import { KINDS } from '../bulletin/index.ts';
import type { Unit } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import { type Contribution, type Counts, NO_COUNTS, type PartShare } from './contribution.ts';
import type { Thanked } from './thanks-page.ts';

/** What an act thanks for: whoever did it, and the person it concerns; null: no help to the build; '': help without a word for it. */
function thanksOfKind(kind: string): { does: string | null; concerned: string | null } {
  const known = KINDS[kind];
  return known ? { does: known.thanks, concerned: known.aboutThanks ?? null } : { does: '', concerned: null };
}

/** Reasons of the log that the counts tell better. */
const COUNTED = new Set(
  [
    'report-work',
    'post-parcel',
    'see-problem',
    'answer-query',
    'ask-query',
    'inspect-units',
    'receive-parcel',
  ]
    .concat([
      'claim-job',
      'finish-job',
      'finish-trial',
      'come-to-gathering',
      'offer-to-make',
      'take-stranger',
    ])
    .map((kind) => thanksOfKind(kind).does ?? ''),
);
COUNTED.add(thanksOfKind('receive-parcel').concerned ?? '');

const COUNTS_SQL: Record<keyof Counts, string> = {
  parcels: 'SELECT fromId AS personId, COUNT(*) AS n FROM Parcel GROUP BY fromId',
  drawings: `SELECT a.personId, COUNT(DISTINCT a.thingId) AS n FROM Act a JOIN Revision r ON r.id = a.thingId
              WHERE a.thingType = 'revision' AND a.kind = 'start-revision' AND r.releasedAt IS NOT NULL
              GROUP BY a.personId`,
  problems:
    'SELECT seenById AS personId, COUNT(*) AS n FROM Problem WHERE removedAt IS NULL GROUP BY seenById',
  answers:
    'SELECT answeredById AS personId, COUNT(*) AS n FROM Query WHERE answeredAt IS NOT NULL GROUP BY answeredById',
  questions: 'SELECT askedById AS personId, COUNT(*) AS n FROM Query GROUP BY askedById',
  inspections: 'SELECT byId AS personId, COUNT(*) AS n FROM UnitCheck WHERE bySample = 0 GROUP BY byId',
  received:
    'SELECT receivedById AS personId, COUNT(*) AS n FROM Parcel WHERE arrivedAt IS NOT NULL GROUP BY receivedById',
  trials: `SELECT personId, COUNT(DISTINCT thingId) AS n FROM Act WHERE kind = 'finish-trial' GROUP BY personId`,
  // Whoever is named on the job did it; where nobody is, who said that it is finished.
  work: `SELECT COALESCE(j.personId, a.personId) AS personId, COUNT(DISTINCT j.id) AS n
           FROM Job j JOIN Act a ON a.jobId = j.id AND a.kind = 'finish-job'
          WHERE j.finishedAt IS NOT NULL AND j.droppedAt IS NULL AND j.kind IN ('fit-up', 'other', 'design')
          GROUP BY 1`,
  gatherings: `SELECT c.personId, COUNT(*) AS n FROM Comer c JOIN Gathering g ON g.id = c.gatheringId
                WHERE c.cancelledAt IS NULL AND g.droppedAt IS NULL AND g.untilOn < @today GROUP BY c.personId`,
};

const PEOPLE_SQL =
  'SELECT id, name, role, country, thanksBy, alias, thanksWords, forgottenAt FROM Person ORDER BY id';

const shareSql = (what: string, where: string, more = '') => `
  SELECT c.personId, j.partId, COALESCE(p.name, j.title) AS name, COALESCE(p.unit, 'piece') AS unit, SUM(${what}) AS milli
    FROM Claim c JOIN Job j ON j.id = c.jobId LEFT JOIN Part p ON p.id = j.partId ${more}
   WHERE ${where} GROUP BY c.personId, j.partId, CASE WHEN j.partId IS NULL THEN j.title END`;

const MADE_SQL = shareSql(
  'k.milli',
  "k.disposition IN ('accept', 'concession')",
  'JOIN ParcelItem i ON i.claimId = c.id JOIN UnitCheck k ON k.itemId = i.id',
);

const IN_HAND_SQL = shareSql(
  'c.milli - c.backMilli - COALESCE(s.settled, 0)',
  'c.milli > c.backMilli AND j.droppedAt IS NULL',
  `LEFT JOIN (SELECT i.claimId, SUM(k.milli) AS settled FROM ParcelItem i JOIN UnitCheck k ON k.itemId = i.id
               GROUP BY i.claimId) s ON s.claimId = c.id`,
);

const ACTS_SQL = `
  SELECT personId, kind, 1 AS does, MIN(at) AS firstAt FROM Act WHERE personId IS NOT NULL GROUP BY personId, kind
   UNION ALL
  SELECT aboutId, kind, 0, MIN(at) FROM Act WHERE aboutId IS NOT NULL GROUP BY aboutId, kind`;

interface ActRow {
  personId: number;
  kind: string;
  does: number;
  firstAt: string;
}

interface ShareRow extends PartShare {
  personId: number;
  unit: Unit;
}

/** What everybody gave, read from the tables and the log by the driver; kept until the log or the day moves on. */
export function thanksReader({ hot }: Pick<Database, 'hot'>): (today: Day) => {
  people: Thanked[];
  contributions: Contribution[];
} {
  const people = hot.prepare<[], Omit<Thanked, 'forgottenAt'> & { forgottenAt: string | null }>(PEOPLE_SQL);
  const made = hot.prepare<[], ShareRow>(MADE_SQL);
  const inHand = hot.prepare<[], ShareRow>(IN_HAND_SQL);
  const acts = hot.prepare<[], ActRow>(ACTS_SQL);
  const lastAct = hot.prepare<[], number | null>('SELECT MAX(id) FROM Act').pluck();
  const counts = (Object.keys(COUNTS_SQL) as (keyof Counts)[]).map((key) => ({
    key,
    read: hot.prepare<unknown[], { personId: number | null; n: number }>(COUNTS_SQL[key]),
  }));

  const read = hot.transaction((today: Day) => {
    const given = new Map<number, Contribution>();
    for (const { personId, kind, does, firstAt } of acts.all()) {
      const { does: reason, concerned } = thanksOfKind(kind);
      const why = does ? reason : concerned;
      if (why === null) continue;
      const known = given.get(personId);
      const one = known ?? { personId, made: [], inHand: [], counts: { ...NO_COUNTS }, reasons: [], firstAt };
      if (!known) given.set(personId, one);
      if (firstAt < one.firstAt) one.firstAt = firstAt;
      if (why && !COUNTED.has(why) && !one.reasons.includes(why)) one.reasons.push(why);
    }
    for (const { personId, ...share } of made.all()) given.get(personId)?.made.push(share);
    for (const { personId, ...share } of inHand.all()) given.get(personId)?.inHand.push(share);
    for (const { key, read: readCounts } of counts) {
      for (const { personId, n } of key === 'gatherings' ? readCounts.all({ today }) : readCounts.all()) {
        const one = personId === null ? undefined : given.get(personId);
        if (one) one.counts[key] = n;
      }
    }
    return {
      people: people
        .all()
        .map((row) => ({ ...row, forgottenAt: row.forgottenAt ? new Date(row.forgottenAt) : null })),
      contributions: [...given.values()],
    };
  });

  let kept: { act: number | null | undefined; today: Day; value: ReturnType<typeof read> } | null = null;
  return (today) => {
    const act = lastAct.get();
    if (kept && kept.act === act && kept.today === today) return kept.value;
    const value = read(today);
    kept = { act, today, value };
    return value;
  };
}
