import {
  type BulletinText,
  correctBulletin,
  editBulletin,
  publishBulletin,
  readBuildWeek,
  readDraft,
  type Week,
  weekOf,
} from '../src/bulletin/index.ts';
import { addDays } from '../src/platform/day.ts';
import { Workers } from '../src/platform/workers.ts';
import { FinishMovedService } from '../src/schedule/index.ts';
import type { Book } from './book.ts';
import { additions } from './bulletin-words.ts';
import { settings } from './people.ts';
import { openings } from './telling.ts';
import { done, HOURS } from './timeline.ts';

const FIRST_DAY = -352;
/** From here on published weeks say why the finish moved: it takes a second a week to find out. */
const MOVED_FROM = -24;

/** Each week that was over is told on the day after; the last one is written and not published yet. */
export function tellBulletin(book: Book): void {
  const { timeline } = book;
  for (let day = FIRST_DAY; day < 0; day += 7) {
    const week = weekOf(timeline.day(day), settings.bulletinWeekday);
    const text = wordsOf(book, week);
    const after = daysUntil(book, addDays(week.until, 1));
    const isLast = daysUntil(book, week.until) > -8;
    if (isLast) {
      const on = Math.min(-1, after);
      if (text) timeline.add(on, HOURS.late + 1, () => write(book, week, text));
      continue;
    }
    timeline.add(after, HOURS.late + 1, async () => {
      if (text) await write(book, week, text);
      await publish(book, week, text ? 1 : 0);
    });
    const correction = additionOf(book, week)?.correction;
    if (correction) {
      book.act(after + correction.after, HOURS.late, 'jerica', (act) =>
        correctBulletin(act, week.until, correction.words),
      );
    }
  }
}

/** A calendar day as a day of the story. */
function daysUntil({ timeline }: Book, day: string): number {
  return Math.round((Date.parse(day) - Date.parse(timeline.day(0))) / 86_400_000);
}

const inWeek = ({ timeline }: Book, { from, until }: Week, on: number) =>
  timeline.day(on) >= from && timeline.day(on) <= until;

const additionOf = (book: Book, week: Week) => additions.find(({ on }) => inWeek(book, week, on));

type Words = Pick<BulletinText, 'title' | 'opening' | 'closing'>;

function wordsOf(book: Book, week: Week): Words | null {
  const words = openings.find(({ on }) => inWeek(book, week, on));
  return words ? { title: words.title, opening: words.opening, closing: words.closing ?? '' } : null;
}

async function write(book: Book, week: Week, words: Words): Promise<void> {
  const { own, thanked } = additionOf(book, week) ?? {};
  const text: BulletinText = {
    ...words,
    own,
    omitted: [],
    photos: await photosOf(book, week),
    thanks: thanked ? [{ person: book.people.get(thanked.who), for: thanked.for }] : [],
  };
  await done(book.context, book.actor('jerica'), (act) => editBulletin(act, week.until, 0, text));
}

/** All photos of the week: there are few. */
async function photosOf({ context }: Book, { from, until }: Week): Promise<BulletinText['photos']> {
  const photos = await context.db.read.photo.findMany({
    where: { addedAt: { gte: new Date(from), lt: new Date(addDays(until, 1)) }, removedAt: null },
    include: { report: { include: { claim: { include: { job: true } } } } },
    orderBy: { id: 'asc' },
  });
  return photos.map(({ id, report }) => ({ id, words: report ? report.claim.job.title : 'What is wrong' }));
}

async function publish(book: Book, week: Week, version: number): Promise<void> {
  const { context, schedule: times } = book;
  const build = await readBuildWeek(context);
  const thanked = additionOf(book, week)?.thanked;
  const thanks = thanked && version ? [{ person: book.people.get(thanked.who), for: thanked.for }] : [];
  const draft = await readDraft(context, { times }, week, build, thanks, await whyMoved(book, week));
  await done(context, book.actor('jerica'), (act) => publishBulletin(act, week, version, draft));
}

async function whyMoved(book: Book, week: Week) {
  if (daysUntil(book, week.until) < MOVED_FROM) return undefined;
  const workers = new Workers({ threads: 1 });
  const moved = new FinishMovedService({
    schedules: book.schedule,
    db: book.context.db,
    workers,
    report(fault) {
      throw fault;
    },
  });
  const why = await moved.now(week);
  await moved.close();
  await workers.close();
  return why;
}
