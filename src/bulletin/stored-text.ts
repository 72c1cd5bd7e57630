import type { BulletinText } from './bulletin-acts.ts';
import { readSections } from './frozen.ts';
import { storedPhotos } from './photos.ts';
import { readThanksChanges } from './thanks.ts';

/** A row of the table, as far as what the lead wrote goes. */
export interface TextRow {
  title: string;
  opening: string;
  closing: string;
  sections: string;
  omitted: string;
  photos: string;
  passedOver: string;
  minutes: number | null;
}

/** What the lead wrote of a week; empty where nothing is kept. */
export function storedText(row: TextRow | null): Required<BulletinText> {
  return {
    title: row?.title ?? '',
    opening: row?.opening ?? '',
    closing: row?.closing ?? '',
    own: readSections(row?.sections).own,
    omitted: JSON.parse(row?.omitted ?? '[]') as string[],
    photos: storedPhotos(row?.photos),
    thanks: readThanksChanges(row?.passedOver),
    minutes: row?.minutes ?? null,
  };
}
