import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { found, refuse, WrongField } from '../platform/refusal.ts';
import type { Draft } from './draft.ts';
import { type Frozen, readSections, writeSections } from './frozen.ts';
import { type ChosenPhoto, checkChosen, frozenPhotos, storedPhotos } from './photos.ts';
import type { ThanksChange } from './thanks.ts';
import type { Week } from './week.ts';

/** What the lead writes and chooses for a week. */
export interface BulletinText {
  title: string;
  opening: string;
  closing: string;
  /** Markdown to the computed sections, by section */
  own?: Record<string, string>;
  /** keys of computed lines left out */
  omitted: string[];
  /** in the order they are shown */
  photos: ChosenPhoto[];
  thanks?: ThanksChange[];
  /** how many minutes it should take to say; null: the build's */
  minutes?: number | null;
}

const MOST_CORRECTIONS = 20;

/**
 * Keeps the lead's words of a week.
 *
 * @param version  of the text that was edited: 0 when there was none; refused when another has been kept since
 */
export async function editBulletin(act: Act, week: Day, version: number, text: BulletinText): Promise<void> {
  const present = await act.tx.bulletin.findUnique({ where: { week } });
  if (present?.publishedAt) refuse('published', 'This bulletin is published; it does not change any more.');
  if ((present?.version ?? 0) !== version) {
    refuse(
      'edited-meanwhile',
      'Somebody kept another text meanwhile. Both are below: yours is not kept yet, and nothing of either is lost.',
    );
  }
  await checkChosen(act.tx, text.photos, storedPhotos(present?.photos));
  await checkThanked(act, text.thanks ?? []);
  const data = {
    title: text.title,
    opening: text.opening,
    closing: text.closing,
    sections: writeSections({ own: text.own ?? {}, corrections: [] }),
    omitted: JSON.stringify(text.omitted),
    photos: JSON.stringify(text.photos),
    passedOver: JSON.stringify(text.thanks ?? []),
    minutes: text.minutes ?? null,
    version: version + 1,
  };
  const { id } = present
    ? await act.tx.bulletin.update({ where: { week }, data })
    : await act.tx.bulletin.create({ data: { ...data, week, createdAt: act.at } });
  await act.log({
    kind: 'edit-bulletin',
    thing: { type: 'bulletin', id },
    after: { week, version: version + 1 },
  });
}

/** @throws WrongField newPerson: somebody who is no person of the build */
async function checkThanked({ tx }: Act, thanks: readonly ThanksChange[]): Promise<void> {
  const ids = [...new Set(thanks.map(({ person }) => person))];
  const there = await tx.person.count({ where: { id: { in: ids } } });
  if (there !== ids.length) throw new WrongField('newPerson', 'Choose a person of this build.');
}

/** Publishes a week as it was drafted: frozen, and open to everyone. */
export async function publishBulletin(
  act: Act,
  week: Week,
  version: number,
  draft: Draft & { upToAct?: number },
): Promise<void> {
  const present = await act.tx.bulletin.findUnique({ where: { week: week.until } });
  if (present?.publishedAt) refuse('published', 'This bulletin is published already.');
  if ((present?.version ?? 0) !== version) {
    refuse('edited-meanwhile', 'Somebody kept another text meanwhile. Look at it before you publish.');
  }
  const text = present ?? {
    title: '',
    opening: '',
    closing: '',
    omitted: '[]',
    photos: '[]',
    sections: '{}',
  };
  const omitted = new Set(JSON.parse(text.omitted) as string[]);
  const { own } = readSections(text.sections);
  const { sections, thanks, finishOn, finishBefore, asOf, upToAct } = draft;
  const frozen: Frozen = {
    sections: sections.map((section) => ({
      ...section,
      own: own[section.key] ?? '',
      lines: section.lines.filter(({ key }) => !omitted.has(key)),
    })),
    thanks,
    finishOn,
    finishBefore,
    asOf,
    upToAct,
    from: week.from,
    title: text.title,
    opening: text.opening,
    closing: text.closing,
    photos: await frozenPhotos(act.tx, storedPhotos(text.photos)),
  };
  const data = { frozen: JSON.stringify(frozen), publishedAt: act.at, publishedById: act.actor.personId };
  const { id } = present
    ? await act.tx.bulletin.update({ where: { week: week.until }, data })
    : await act.tx.bulletin.create({ data: { ...data, week: week.until, createdAt: act.at } });
  await act.log({ kind: 'publish-bulletin', thing: { type: 'bulletin', id }, after: { week: week.until } });
}

/** Puts something right after publishing: dated, beside the frozen text, which stays as it was. */
export async function correctBulletin(act: Act, week: Day, words: string): Promise<void> {
  const present = found(
    await act.tx.bulletin.findUnique({ where: { week } }),
    'There is no bulletin of this week.',
  );
  if (!present.publishedAt) refuse('not-published', 'This bulletin is not published: change its text.');
  const stored = readSections(present.sections);
  if (stored.corrections.length >= MOST_CORRECTIONS) {
    refuse('too-many', `There are ${MOST_CORRECTIONS} already. Tell it in the next bulletin.`);
  }
  const corrections = [...stored.corrections, { at: act.at.toISOString(), on: act.today, words }];
  await act.tx.bulletin.update({
    where: { week },
    data: { sections: writeSections({ ...stored, corrections }) },
  });
  await act.log({
    kind: 'correct-bulletin',
    thing: { type: 'bulletin', id: present.id },
    after: { week, corrections: corrections.length },
  });
}
