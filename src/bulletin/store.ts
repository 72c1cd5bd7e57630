import { factsReader, type JobTimes } from '../jobs/index.ts';
import { readLog } from '../log/index.ts';
import type { Context } from '../platform/context.ts';
import { addDays, type Day, dayIn } from '../platform/day.ts';
import { type Draft, draftBulletin } from './draft.ts';
import { toldJobs } from './told-jobs.ts';
import type { Week } from './week.ts';

const MOST_ROWS = 20_000;

export interface BuildWeek {
  name: string;
  timeZone: string;
  closingWeekday: number;
  createdOn: Day;
  today: Day;
}

/** What the bulletin needs to know of the build, and what day it is there. */
export async function readBuildWeek({ db, clock }: Pick<Context, 'db' | 'clock'>): Promise<BuildWeek> {
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 } });
  return {
    name: build.name,
    timeZone: build.timeZone,
    closingWeekday: build.bulletinWeekday,
    createdOn: dayIn(build.timeZone, build.createdAt),
    today: dayIn(build.timeZone, clock.now()),
  };
}

/** Drafts a week from the log, the open jobs and the finish records. */
export async function readDraft(
  context: Pick<Context, 'db' | 'clock'>,
  times: JobTimes,
  week: Week,
  build: BuildWeek,
): Promise<Draft> {
  const { db } = context;
  // A day of the build begins up to 14 hours off that of UTC: read a day more at each end, then keep the week's own.
  const rows = readLog(
    db,
    { from: addDays(week.from, -1), until: addDays(week.until, 2) },
    { limit: MOST_ROWS },
  )
    .reverse()
    .filter((row) => {
      const day = dayIn(build.timeZone, new Date(row.at));
      return day >= week.from && day <= week.until;
    });
  const leads = await db.read.person.findMany({ where: { role: 'lead' }, select: { id: true } });
  const running = week.until >= build.today;
  // What is late and what comes next is known of the present only: a past week is told without.
  const jobs = running ? toldJobs(factsReader(db).all(), times, build.today, build.timeZone) : [];
  const finishAt = async (day: Day) =>
    (await db.read.finishRecord.findFirst({ where: { day: { lte: day } }, orderBy: { day: 'desc' } }))
      ?.finishOn ?? null;
  return {
    ...draftBulletin(rows, jobs, build.today, new Set(leads.map(({ id }) => id))),
    finishOn: running ? times.finishOn() : await finishAt(week.until),
    finishBefore: await finishAt(addDays(week.from, -1)),
  };
}
