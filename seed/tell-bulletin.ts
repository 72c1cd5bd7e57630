import {
  type BulletinText,
  editBulletin,
  publishBulletin,
  readBuildWeek,
  readDraft,
  type Week,
  weekOf,
} from '../src/bulletin/index.ts';
import { addDays } from '../src/platform/day.ts';
import type { Book } from './book.ts';
import { settings } from './people.ts';
import { openings } from './telling.ts';
import { done, HOURS } from './timeline.ts';

const FIRST_DAY = -352;

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
  }
}

/** A calendar day as a day of the story. */
function daysUntil({ timeline }: Book, day: string): number {
  return Math.round((Date.parse(day) - Date.parse(timeline.day(0))) / 86_400_000);
}

function wordsOf({ timeline }: Book, { from, until }: Week): BulletinText | null {
  const words = openings.find(({ on }) => timeline.day(on) >= from && timeline.day(on) <= until);
  return words
    ? { title: words.title, opening: words.opening, closing: words.closing ?? '', omitted: [], photos: [] }
    : null;
}

async function write(book: Book, week: Week, text: BulletinText): Promise<void> {
  await done(book.context, book.actor('jerica'), (act) => editBulletin(act, week.until, 0, text));
}

async function publish(book: Book, week: Week, version: number): Promise<void> {
  const { context, schedule } = book;
  const draft = await readDraft(context, { times: schedule }, week, await readBuildWeek(context));
  await done(context, book.actor('jerica'), (act) => publishBulletin(act, week, version, draft));
}
