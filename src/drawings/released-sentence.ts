import type { Released } from './release-revision.ts';

/** What a release did, in a sentence for the page that follows. */
export function releasedSentence({ letter, supersedes, notices, oldUnits, movedJobs }: Released): string {
  const parts = [`Revision ${letter} is released${supersedes ? ` and supersedes ${supersedes}` : ''}.`];
  if (notices > 0) parts.push(`${notices} ${notices === 1 ? 'maker is' : 'makers are'} told.`);
  if (movedJobs > 0) {
    parts.push(`The next claims on ${movedJobs} ${movedJobs === 1 ? 'job' : 'jobs'} are made to it.`);
  }
  if (oldUnits > 0) parts.push('Accepted units of older drawings wait for your word.');
  return parts.join(' ');
}
