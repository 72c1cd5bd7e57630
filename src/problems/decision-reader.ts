import { type FactsReader, isOver, type JobTimes, stageOf } from '../jobs/index.ts';
import { historyLines, readLog } from '../log/index.ts';
import type { Database } from '../platform/database.ts';
import { dayWords } from '../platform/day.ts';
import { found } from '../platform/refusal.ts';
import { byDate, daysLeftWords, decisionDate } from './decision-dates.ts';
import { type Moment, spanWords } from './moment.ts';
import { peopleNames } from './problem-reader.ts';

type Row = NonNullable<Awaited<ReturnType<Database['read']['decision']['findUnique']>>>;

/** Where dates of decisions come from. */
export interface DecisionSources {
  db: Pick<Database, 'read' | 'hot'>;
  facts: Pick<FactsReader, 'one'>;
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
  gathering: { id: number; title: string; span: string; href: string; off: boolean } | null;
  /** the day it must be taken by; null when no date follows from what waits */
  byOn: string | null;
  by: string;
  daysLeft: number | null;
  left: string;
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
  const gatherings = await db.read.gathering.findMany({
    where: { id: { in: rows.flatMap(({ gatheringId }) => gatheringId ?? []) } },
    select: { id: true, title: true, fromOn: true, untilOn: true, droppedAt: true },
  });
  return rows.map((row): DecisionLine => {
    const gathering = gatherings.find(({ id }) => id === row.gatheringId);
    const job = row.jobId === null ? null : facts.one(row.jobId);
    const time = job && times.of(job.id);
    const open = row.decidedAt === null && row.droppedAt === null;
    const date = decisionDate(
      {
        job: job && {
          id: job.id,
          title: job.title,
          over: isOver(stageOf(job, true)),
          begun:
            job.startedAt !== null || job.orderedAt !== null || job.claims.some(({ startedAt }) => startedAt),
          startOn: time?.startOn ?? null,
          floatDays: time?.floatDays ?? null,
        },
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

/** Everything the page of a decision shows. @throws NotFound */
export async function readDecisionPage(sources: DecisionSources, id: number, moment: Moment) {
  const { read, hot } = sources.db;
  const row = found(await read.decision.findUnique({ where: { id } }), `There is no decision ${id}.`);
  const [line] = await linesOf(sources, [row], moment);
  const people = await peopleNames(read, [row.askedById, row.decidedById]);
  return {
    ...found(line, `There is no decision ${id}.`),
    askedBy: people.get(row.askedById ?? 0) ?? '',
    decidedBy: people.get(row.decidedById ?? 0) ?? '',
    reason: row.reason,
    history: historyLines(
      readLog({ hot }, { thing: { type: 'decision', id } }, { limit: 30 }),
      moment.timeZone,
    ).map((entry) => ({ ...entry, href: null })),
  };
}
