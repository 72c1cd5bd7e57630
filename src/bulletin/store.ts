import { boxWords } from '../drawings/index.ts';
import { factsReader, type JobFacts, type JobTimes } from '../jobs/index.ts';
import { type LogRow, readLog } from '../log/index.ts';
import { type OfferFacts, type OpenOffer, openOffers, readOfferFacts } from '../offers/index.ts';
import type { Context } from '../platform/context.ts';
import { addDays, type Day, dayIn } from '../platform/day.ts';
import { waitingDecisions } from '../problems/index.ts';
import type { WhyMoved, WhyMovedTold } from '../schedule/index.ts';
import { plainNumber } from '../specs/index.ts';
import { type Draft, doneInWeek } from './draft.ts';
import type { Frozen } from './frozen.ts';
import {
  heldGatherings,
  MOST_OFFERS,
  movedSection,
  type Present,
  presentSections,
  type ToldGathering,
  type ToldOffer,
} from './present-lines.ts';
import { readPeople } from './published.ts';
import { type NotThanked, type ThanksChange, thanksOfWeek } from './thanks.ts';
import { toldJobs } from './told-jobs.ts';
import { momentsOf, type Week, weekChain, weekTo } from './week.ts';

/** Why the finish moved; the schedule gives it. */
export interface FinishMoved {
  /** what is known at once */
  of(week: Week): WhyMovedTold;
  /** the answer, once it is worked out */
  now(week: Week): Promise<WhyMoved | null>;
}

export interface BulletinPorts {
  times: JobTimes;
  /** left out where nobody asks why: then it is not told */
  finishMoved?: FinishMoved;
  /** every job, where it was read already and nothing was done since; null, and left out, where it is to be read */
  jobs?: () => readonly JobFacts[] | null;
}

export interface BuildWeek {
  name: string;
  timeZone: string;
  country: string;
  closingWeekday: number;
  createdOn: Day;
  today: Day;
  /** words a minute when it is said aloud */
  pace: number;
  /** how many minutes a bulletin should take to say; null: as many as it takes */
  minutes: number | null;
}

/** What the bulletin needs to know of the build, and what day it is there. */
export async function readBuildWeek({ db, clock }: Pick<Context, 'db' | 'clock'>): Promise<BuildWeek> {
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
  return {
    name: build.name,
    timeZone: build.timeZone,
    country: build.country,
    closingWeekday: build.bulletinWeekday,
    createdOn: dayIn(build.timeZone, build.createdAt),
    today: dayIn(build.timeZone, clock.now()),
    pace: build.speakPace,
    minutes: build.bulletinMinutes,
  };
}

/** The weeks of the build up to the running one, newest first. */
export function readWeeks({ db }: Pick<Context, 'db'>, build: BuildWeek): Week[] {
  const kept = db.hot.prepare<[], string>('SELECT week FROM Bulletin').pluck().all();
  const at = db.hot.prepare<[], string | null>('SELECT MIN(at) FROM Act').pluck().get();
  const firstOn = at ? dayIn(build.timeZone, new Date(at)) : build.createdOn;
  const first = [firstOn, build.createdOn].sort()[0]!;
  return weekChain(build.today, first, build.closingWeekday, kept);
}

/** A draft, with whom it does not thank and why. */
export interface DraftOfWeek extends Draft {
  notThanked: NotThanked[];
  /** the last act it tells of; 0 when there is none */
  upToAct: number;
  /** how many acts of the week before it tells of, which came after the bulletin of that week was published */
  lateTold: number;
  /** why the finish moved is not known yet */
  computing: boolean;
}

/** Whether what is late, needed and next is told of a week as it stands: it runs, or ended a week ago at most. */
function isPresent(week: Week, today: Day): boolean {
  return week.until >= addDays(today, -7);
}

/**
 * Drafts a week from the log, the open jobs and the finish records.
 *
 * @param changes  the lead's, to whom is thanked
 * @param moved    why the finish moved, where it is known already; asked for when it is not given
 */
export async function readDraft(
  context: Pick<Context, 'db' | 'clock'>,
  ports: BulletinPorts,
  week: Week,
  build: BuildWeek,
  changes: readonly ThanksChange[] = [],
  moved?: WhyMoved | null,
): Promise<DraftOfWeek> {
  const { db } = context;
  const { today } = build;
  const own = readLog(db, momentsOf(week, build.timeZone), { limit: 1e9 }).reverse();
  const before = await actsLeftOver(db, week, build.timeZone);
  const rows = withWorkers(db, [...before, ...own]);
  const gatherings = await readGatherings(db, week);
  const held = heldGatherings(gatherings, week, today);
  const done = doneInWeek(rows);
  done.find(({ key }) => key === 'done')!.lines.push(...held.lines);
  const present = isPresent(week, today)
    ? presentSections(await readPresent(db, ports, gatherings, build), week, today)
    : [];
  const told: WhyMovedTold | null =
    moved !== undefined ? { state: 'ready', why: moved } : (ports.finishMoved?.of(week) ?? null);
  const why = told?.state === 'ready' ? told.why : null;
  const finish = told ? [movedSection(why, told.state === 'computing')] : [];
  const finishAt = async (day: Day) =>
    (await db.read.finishRecord.findFirst({ where: { day: { lte: day } }, orderBy: { day: 'desc' } }))
      ?.finishOn ?? null;
  // Of a week that is over, the finish as it stood at its end: what moved it in the week is held against that, and the
  // next week begins with it.
  const finishOfWeek = async () => {
    const atEnd = week.until < today ? await finishAt(week.until) : null;
    return atEnd ?? (present.length ? ports.times.finishOn() : null);
  };
  const { thanks, notThanked } = thanksOfWeek(rows, held.people, await readPeople(db.read), changes);
  return {
    sections: [...finish, ...done, ...present],
    thanks,
    notThanked,
    upToAct: rows.at(-1)?.id ?? 0,
    lateTold: before.length,
    computing: told?.state === 'computing',
    finishOn: await finishOfWeek(),
    finishBefore: await finishAt(addDays(week.from, -1)),
    ...(present.length ? { asOf: today } : {}),
  };
}

/** Whose work was finished stands with the job where somebody else wrote it down, as makers stand with theirs. */
function withWorkers({ hot }: Context['db'], rows: LogRow[]): LogRow[] {
  const finished = rows.filter(
    (row) => row.kind === 'finish-job' && row.jobId !== null && row.aboutId === null,
  );
  if (finished.length === 0) return rows;
  const jobs = hot
    .prepare<[string], { id: number; personId: number }>(
      'SELECT id, personId FROM Job WHERE personId IS NOT NULL AND id IN (SELECT value FROM json_each(?))',
    )
    .all(JSON.stringify(finished.map(({ jobId }) => jobId)));
  const workers = new Map(jobs.map(({ id, personId }) => [id, personId]));
  const written = new Set(finished);
  return rows.map((row) => {
    const worker = written.has(row) ? workers.get(row.jobId!) : undefined;
    return worker === undefined || worker === row.personId ? row : { ...row, aboutId: worker };
  });
}

/** Acts of the week before that came when its bulletin was published already: told in this one, so that none is lost. */
async function actsLeftOver(db: Context['db'], week: Week, timeZone: string): Promise<LogRow[]> {
  const last = addDays(week.from, -1);
  const { from: until } = momentsOf(week, timeZone);
  const bulletin = await db.read.bulletin.findFirst({ where: { week: last, NOT: { publishedAt: null } } });
  if (!bulletin?.publishedAt || bulletin.publishedAt >= new Date(until)) return [];
  const { upToAct, from } = JSON.parse(bulletin.frozen ?? '{}') as Frozen;
  const begin = momentsOf({ from: from ?? weekTo(last).from, until: last }, timeZone).from;
  const rows = readLog(db, { from: begin, until }, { limit: 1e9 }).reverse();
  return rows.filter(({ id, at }) =>
    upToAct === undefined ? new Date(at) > bulletin.publishedAt! : id > upToAct,
  );
}

async function readGatherings({ read }: Context['db'], week: Week): Promise<ToldGathering[]> {
  const rows = await read.gathering.findMany({
    where: { droppedAt: null, untilOn: { gte: week.from }, fromOn: { lte: addDays(week.until, 7) } },
    include: { comers: { where: { cancelledAt: null }, orderBy: { id: 'asc' } } },
    orderBy: [{ fromOn: 'asc' }, { id: 'asc' }],
  });
  return rows.map(({ id, title, fromOn, untilOn, comers }) => ({
    id,
    title,
    fromOn,
    untilOn,
    people: comers.map((one) => ({
      person: one.personId,
      fromOn: one.fromOn ?? fromOn,
      untilOn: one.untilOn ?? untilOn,
    })),
  }));
}

async function readPresent(
  db: Context['db'],
  ports: BulletinPorts,
  gatherings: readonly ToldGathering[],
  build: BuildWeek,
): Promise<Present> {
  const { times } = ports;
  const { today, timeZone } = build;
  const jobs = ports.jobs?.() ?? factsReader(db).all();
  // What anybody may offer to make, signed in or not: the bulletin is read by everyone.
  const open = await openOffers(db, times, null, today, jobs);
  const told = open.slice(0, MOST_OFFERS);
  const toldIds = new Set(told.map(({ id }) => id));
  const facts = await readOfferFacts(
    db,
    { times, postDays: () => null },
    jobs.filter(({ id }) => toldIds.has(id)),
  );
  return {
    jobs: toldJobs(jobs, times, today, timeZone),
    offers: told.map((offer) => toldOffer(offer, facts.get(offer.id), build.country)),
    moreOffers: open.length - told.length,
    gatherings,
    decisions: (await waitingDecisions(db, times, today)).map(({ id, question, byOn }) => ({
      id,
      question,
      byOn,
    })),
  };
}

function toldOffer(offer: OpenOffer, facts: OfferFacts | undefined, country: string): ToldOffer {
  const size = facts?.box
    ? boxWords(facts.box.sides)
    : facts?.greatest
      ? `${plainNumber(facts.greatest.mm)} mm or longer`
      : '';
  return {
    id: offer.id,
    title: offer.title,
    quantity: offer.openText,
    process: offer.processId === null ? (facts?.process ?? '') : offer.process,
    material: offer.material,
    size,
    hours: facts?.hours ?? null,
    postByOn: facts?.needByOn ?? null,
    country,
  };
}
