import type { Act } from '../platform/acts.ts';
import type { Day } from '../platform/day.ts';
import { refuse } from '../platform/refusal.ts';
import type { Draft } from './draft.ts';
import type { Frozen } from './frozen.ts';
import { type ChosenPhoto, checkChosen, frozenPhotos, storedPhotos } from './photos.ts';

export interface BulletinText {
  title: string;
  opening: string;
  closing: string;
  /** keys of computed lines left out */
  omitted: string[];
  /** in the order they are shown */
  photos: ChosenPhoto[];
}

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
      'Somebody kept another text meanwhile. It stands in a new window; yours is below, unkept.',
    );
  }
  await checkChosen(act.tx, text.photos);
  const data = {
    ...text,
    omitted: JSON.stringify(text.omitted),
    photos: JSON.stringify(text.photos),
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

/** Publishes a week as it was drafted: frozen, and open to everyone. */
export async function publishBulletin(act: Act, week: Day, version: number, draft: Draft): Promise<void> {
  const present = await act.tx.bulletin.findUnique({ where: { week } });
  if (present?.publishedAt) refuse('published', 'This bulletin is published already.');
  if ((present?.version ?? 0) !== version) {
    refuse('edited-meanwhile', 'Somebody kept another text meanwhile. Look at it before you publish.');
  }
  const text = present ?? { title: '', opening: '', closing: '', omitted: '[]', photos: '[]' };
  const omitted = new Set(JSON.parse(text.omitted) as string[]);
  const frozen: Frozen = {
    ...draft,
    sections: draft.sections.map((section) => ({
      ...section,
      lines: section.lines.filter(({ key }) => !omitted.has(key)),
    })),
    title: text.title,
    opening: text.opening,
    closing: text.closing,
    photos: await frozenPhotos(act.tx, storedPhotos(text.photos)),
  };
  const data = { frozen: JSON.stringify(frozen), publishedAt: act.at, publishedById: act.actor.personId };
  const { id } = present
    ? await act.tx.bulletin.update({ where: { week }, data })
    : await act.tx.bulletin.create({ data: { ...data, week, createdAt: act.at } });
  await act.log({ kind: 'publish-bulletin', thing: { type: 'bulletin', id }, after: { week } });
}
