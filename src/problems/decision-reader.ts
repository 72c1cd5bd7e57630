import type { FactsReader, JobTimes } from '../jobs/index.ts';
import { historyLines, readLog } from '../log/index.ts';
import type { Database } from '../platform/database.ts';
import { dayWords } from '../platform/day.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import { byDate, daysLeftWords, decisionDate } from './decision-dates.ts';
import { mayChangeDecision, mayDecide } from './decision-rules.ts';
import { waitingJob, waitingPart } from './decision-waiting.ts';
import { type Moment, spanWords } from './moment.ts';
import { type PartName, partNames, peopleNames } from './problem-reader.ts';
import { lastChange } from './store.ts';

type Row = NonNullable<Awaited<ReturnType<Database['read']['decision']['findUnique']>>>;

/** Where dates of decisions come from. */
export interface DecisionSources {
  db: Pick<Database, 'read' | 'hot'>;
  facts: Pick<FactsReader, 'one' | 'ofPart'>;
  times: JobTimes;
}

/** An open or settled decision as lists and pages show it. */
export interface DecisionLine {
  id: number;
  href: string;
  question: string;
  options: string[];
  state: 'open' | 'taken' | 'dropped';
  job: { id: number; title: string; href: string } | null;
  part: PartName | null;
  /** who decides; empty: the lead */
  decider: string;
  /** who was to decide and has left, so that the lead does; else empty */
  deciderLeft: string;
  gathering: { id: number; title: string; span: string; href: string; off: boolean } | null;
  /** the day it must be taken by; null when no date follows from what waits */
  byOn: string | null;
  by: string;
  daysLeft: number | null;
  left: string;
  /** from when an answer is of use: what waits can begin then; empty where no date follows */
  useful: string;
  because: string;
  warning: string | null;
  askedOn: string;
  decidedOn: string;
  answer: string;
}

function storedOptions(json: string): string[] {
  const options: unknown = JSON.parse(json);
  return Array.isArray(options)
    ? options.filter((option): option is string => typeof option === 'string')
    : [];
}

async function linesOf({ db, facts, times }: DecisionSources, rows: readonly Row[], moment: Moment) {
  const parts = await partNames(
    db.read,
    rows.map(({ partId }) => partId),
  );
  const people = await peopleNames(
    db.read,
    rows.map(({ deciderId }) => deciderId),
  );
  const left = await db.read.person.findMany({
    where: { id: { in: [...people.keys()] }, deactivatedAt: { not: null } },
    select: { id: true },
  });
  const hasLeft = new Set(left.map(({ id }) => id));
  const gatherings = await db.read.gathering.findMany({
    where: { id: { in: rows.flatMap(({ gatheringId }) => gatheringId ?? []) } },
    select: { id: true, title: true, fromOn: true, untilOn: true, droppedAt: true },
  });
  return rows.map((row): DecisionLine => {
    const gathering = gatherings.find(({ id }) => id === row.gatheringId);
    const job = row.jobId === null ? null : facts.one(row.jobId);
    const part = parts.get(row.partId ?? 0) ?? null;
    const decider = people.get(row.deciderId ?? 0) ?? '';
    const open = row.decidedAt === null && row.droppedAt === null;
    const date = decisionDate(
      {
        waiting: job
          ? waitingJob(job, times)
          : part && row.partId !== null
            ? waitingPart({ id: row.partId, ...part }, { facts, times })
            : null,
        gathering: gathering ? { ...gathering, off: gathering.droppedAt !== null } : null,
      },
      moment.today,
    );
    return {
      id: row.id,
      href: `/decisions/${row.id}`,
      question: row.question,
      options: storedOptions(row.options),
      state: row.droppedAt ? 'dropped' : row.decidedAt ? 'taken' : 'open',
      job: job && { id: job.id, title: job.title, href: `/jobs/${job.id}` },
      part,
      decider: hasLeft.has(row.deciderId ?? 0) ? '' : decider,
      deciderLeft: hasLeft.has(row.deciderId ?? 0) ? decider : '',
      gathering: gathering
        ? {
            id: gathering.id,
            title: gathering.title,
            span: spanWords(gathering.fromOn, gathering.untilOn, moment.today),
            href: `/gatherings/${gathering.id}`,
            off: gathering.droppedAt !== null,
          }
        : null,
      byOn: open ? date.byOn : null,
      by: open && date.byOn ? dayWords(date.byOn, moment.today) : '',
      daysLeft: open ? date.daysLeft : null,
      left: open ? daysLeftWords(date.daysLeft) : '',
      useful: open && date.usefulOn ? dayWords(date.usefulOn, moment.today) : '',
      because: open ? date.because : '',
      warning: open ? date.warning : null,
      askedOn: moment.words(row.askedAt),
      decidedOn: row.decidedAt
        ? moment.words(row.decidedAt)
        : row.droppedAt
          ? moment.words(row.droppedAt)
          : '',
      answer: row.answer,
    };
  });
}

/** Open decisions, the most pressing first; of one gathering where it is named. */
export async function openDecisions(sources: DecisionSources, moment: Moment, gatheringId?: number) {
  const rows = await sources.db.read.decision.findMany({
    where: { decidedAt: null, droppedAt: null, ...(gatheringId === undefined ? {} : { gatheringId }) },
    orderBy: { id: 'asc' },
  });
  return (await linesOf(sources, rows, moment)).sort(byDate);
}

/** All decisions: open ones by the day they press, settled ones the newest on top. */
export async function decisionLists(sources: DecisionSources, moment: Moment) {
  const rows = await sources.db.read.decision.findMany({
    where: { OR: [{ decidedAt: { not: null } }, { droppedAt: { not: null } }] },
  });
  const settledAt = (row: Row) => Number(row.decidedAt ?? row.droppedAt);
  const settled = await linesOf(
    sources,
    rows.sort((a, b) => settledAt(b) - settledAt(a)),
    moment,
  );
  return {
    open: await openDecisions(sources, moment),
    taken: settled.filter(({ state }) => state === 'taken'),
    dropped: settled.filter(({ state }) => state === 'dropped'),
  };
}

/** Everything the page of a decision shows to somebody of lead and crew. @throws NotFound */
export async function readDecisionPage(
  sources: DecisionSources,
  id: number,
  { id: personId, role }: Pick<SignedIn, 'id' | 'role'>,
  moment: Moment,
) {
  const { read, hot } = sources.db;
  const row = found(await read.decision.findUnique({ where: { id } }), `There is no decision ${id}.`);
  const [line] = await linesOf(sources, [row], moment);
  const people = await peopleNames(read, [row.askedById, row.decidedById]);
  return {
    ...found(line, `There is no decision ${id}.`),
    askedBy: people.get(row.askedById ?? 0) ?? '',
    decidedBy: people.get(row.decidedById ?? 0) ?? '',
    reason: row.reason,
    deciderId: row.deciderId,
    seen: await lastChange(read, 'decision', id),
    may: {
      change: !mayChangeDecision(row),
      take: !mayDecide(row, { personId, role }),
    },
    history: historyLines(
      readLog({ hot }, { thing: { type: 'decision', id } }, { limit: 30 }),
      moment.timeZone,
    ).map((entry) => ({ ...entry, href: null })),
  };
}
