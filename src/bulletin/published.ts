import type { Database } from '../platform/database.ts';
import type { Day } from '../platform/day.ts';
import { type Frozen, readSections } from './frozen.ts';
import type { FrozenPhoto } from './photos.ts';
import { publicName, type ThankedPerson } from './public-names.ts';
import { type ToldBulletin, toldBulletin } from './told.ts';
import { weekTo } from './week.ts';
import { bulletinHtml, bulletinSummary, bulletinText, type WrittenPhoto } from './written.ts';

type Read = Pick<Database['read'], 'bulletin' | 'person' | 'photo'>;

/** A published bulletin for those who read it elsewhere: in a feed, in a letter. People are named as they wish now. */
export interface PublishedBulletin {
  /** the day that closes the week: names the bulletin for ever */
  week: Day;
  title: string;
  publishedAt: Date;
  /** when it was last put right; publishedAt when it never was */
  updatedAt: Date;
  /** its page: an absolute address */
  address: string;
  /** without a page around it; every link and picture absolute */
  html: string;
  text: string;
  /** its first words, one line, at most 280 characters */
  summary: string;
}

/**
 * The bulletins that were published, newest week first.
 *
 * @param read          the reading connection, or a transaction
 * @param of.limit      at most so many
 * @param of.baseUrl    of this build, without a slash at the end; links become absolute with it
 * @param of.week       only this week's
 */
export async function publishedBulletins(
  read: Read,
  { limit, baseUrl, week }: { limit: number; baseUrl: string; week?: Day },
): Promise<PublishedBulletin[]> {
  const rows = await read.bulletin.findMany({
    where: { NOT: { publishedAt: null }, ...(week ? { week } : {}) },
    orderBy: { week: 'desc' },
    take: limit,
  });
  if (rows.length === 0) return [];
  const people = await readPeople(read);
  const frozen = rows.map((row) => JSON.parse(row.frozen ?? '{}') as Frozen);
  const there = await photosThere(
    read,
    frozen.flatMap(({ photos }) => photos ?? []),
  );
  return rows.map((row, at) => {
    const { corrections } = readSections(row.sections);
    const told = toldFrozen(frozen[at]!, corrections, row.week, people);
    const photos = shownPhotos(row.week, frozen[at]!.photos ?? [], there, people);
    const last = corrections.at(-1);
    return {
      week: row.week,
      title: told.title,
      publishedAt: row.publishedAt!,
      updatedAt: last ? new Date(last.at) : row.publishedAt!,
      address: `${baseUrl}/bulletin/${row.week}`,
      html: bulletinHtml(told, photos, baseUrl),
      text: bulletinText(told, baseUrl),
      summary: bulletinSummary(told),
    };
  });
}

/** A frozen bulletin as the public reads it now. */
export function toldFrozen(
  frozen: Frozen,
  corrections: Parameters<typeof toldBulletin>[1]['corrections'],
  until: Day,
  people: ReadonlyMap<number, ThankedPerson>,
): ToldBulletin {
  const { title, opening, closing } = frozen;
  const week = frozen.from ? { from: frozen.from, until } : weekTo(until);
  return toldBulletin(frozen, { title, opening, closing, corrections }, week, people);
}

/** Everyone, as far as naming them goes. */
export async function readPeople(read: Pick<Read, 'person'>): Promise<Map<number, ThankedPerson>> {
  const people = await read.person.findMany({
    select: { id: true, name: true, role: true, thanksBy: true, alias: true, forgottenAt: true },
  });
  return new Map(people.map((person) => [person.id, person]));
}

/** Which of the photos were not taken off since. */
export async function photosThere(
  read: Pick<Read, 'photo'>,
  photos: readonly FrozenPhoto[],
): Promise<Set<number>> {
  const rows = await read.photo.findMany({
    where: { id: { in: photos.map(({ id }) => id) }, removedAt: null },
    select: { id: true },
  });
  return new Set(rows.map(({ id }) => id));
}

/** The photos of a bulletin that are still there, with who took them as they wish to be named. */
export function shownPhotos(
  until: Day,
  photos: readonly FrozenPhoto[],
  there: ReadonlySet<number>,
  people: ReadonlyMap<number, ThankedPerson>,
): WrittenPhoto[] {
  return photos
    .filter(({ id }) => there.has(id))
    .map(({ id, words, width, height, person }) => ({
      href: `/bulletin/${until}/photos/${id}`,
      words,
      width,
      height,
      by: publicName(person === null ? undefined : people.get(person)),
    }));
}
