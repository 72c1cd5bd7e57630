import { hashPassword } from '../src/accounts/index.ts';
import { Changes } from '../src/platform/acts.ts';
import { openDatabase } from '../src/platform/database.ts';
import { weekday } from '../src/platform/day.ts';
import { FileStore } from '../src/platform/files.ts';
import { Workers } from '../src/platform/workers.ts';
import { OutlookService, ScheduleService } from '../src/schedule/index.ts';
import { Book } from './book.ts';
import { build, PASSWORD } from './people.ts';
import { tellBulletin } from './tell-bulletin.ts';
import { tellDrawings } from './tell-drawings.ts';
import { tellFits } from './tell-fits.ts';
import { tellJobs } from './tell-jobs.ts';
import { tellLoop } from './tell-loop.ts';
import { tellParts } from './tell-parts.ts';
import { tellPeople } from './tell-people.ts';
import { tellPlans } from './tell-plans.ts';
import { Timeline } from './timeline.ts';

/** From here on the finish is looked at every day and simulated once a week, before that looked at once a week. */
const DAILY_FROM = -28;

/**
 * Loads the example: a year of a build, told by the program's own acts with a clock that goes from one to the next.
 *
 * @param dataDir   an empty folder that is there
 * @param loadedAt  the year before this moment is told
 * @throws Error    with the day of the story, when an act is refused
 */
export async function loadExample(dataDir: string, loadedAt: Date): Promise<void> {
  const db = await openDatabase(dataDir);
  // Until it is whole the folder is nobody's: what a crash would lose is begun afresh.
  await db.write.$executeRawUnsafe('PRAGMA synchronous = OFF');
  const timeline = new Timeline(loadedAt, build.timeZone);
  const context = { db, files: new FileStore(dataDir), clock: timeline.clock, changes: new Changes() };
  const report = (fault: unknown) => {
    throw fault;
  };
  // Its own changes: the schedule is looked at when a week is over, and when it is asked for.
  const schedule = new ScheduleService({
    db,
    clock: timeline.clock,
    changes: new Changes(),
    report,
  });
  const outlooks = new OutlookService({
    schedules: schedule,
    db,
    clock: timeline.clock,
    changes: new Changes(),
    workers: new Workers({ threads: 1 }),
    report,
  });
  const book = new Book(context, timeline, schedule);
  tellPeople(book, dataDir, await hashPassword(PASSWORD));
  tellParts(book);
  tellDrawings(book);
  tellFits(book);
  tellJobs(book);
  tellLoop(book);
  tellPlans(book);
  tellBulletin(book);
  let today = 0;
  try {
    await timeline.run(async (day) => {
      today = day;
      if (day < DAILY_FROM && day % 7 !== 0) return;
      schedule.snapshot();
      await schedule.settled();
      const isSunday = weekday(timeline.day(day)) === 7;
      if (day >= DAILY_FROM && (isSunday || day === -7)) await outlooks.settled();
    });
    await db.write.$executeRawUnsafe('PRAGMA synchronous = FULL');
    await db.write.$queryRawUnsafe('PRAGMA wal_checkpoint(TRUNCATE)');
  } catch (fault) {
    throw new Error(
      `day ${today} of the example: ${fault instanceof Error ? fault.message : String(fault)}`,
      {
        cause: fault,
      },
    );
  } finally {
    await outlooks.close();
    await schedule.close();
    await db.close();
  }
}
