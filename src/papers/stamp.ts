import { createHmac, timingSafeEqual } from 'node:crypto';
import { type Day, isDay } from '../platform/day.ts';

/** What a printed pack says of itself: the job, the revision it was made of, and the day. */
export interface Stamp {
  jobId: number;
  revisionId: number;
  on: Day;
}

const TAG_LETTERS = 12;

function tagOf(text: string, secret: string): string {
  return createHmac('sha256', secret).update(text).digest('hex').slice(0, TAG_LETTERS);
}

/**
 * A stamp as it stands in an address. Its tag shows that it was printed here, so the page behind it may be open to whoever
 * holds the paper, while nobody can count through the jobs.
 *
 * Example: `{jobId: 114, revisionId: 37, on: '2026-11-25'}` -> `114-37-20261125-` and twelve hexadecimal digits
 */
export function stampText({ jobId, revisionId, on }: Stamp, secret: string): string {
  const text = `${jobId}-${revisionId}-${on.replaceAll('-', '')}`;
  return `${text}-${tagOf(text, secret)}`;
}

/** Reads what stampText wrote; null for anything else. */
export function readStamp(text: string, secret: string): Stamp | null {
  const match =
    /^(?<said>(?<job>[1-9]\d{0,8})-(?<revision>[1-9]\d{0,8})-(?<year>\d{4})(?<month>\d\d)(?<day>\d\d))-(?<tag>[0-9a-f]{12})$/.exec(
      text,
    );
  const { said, job, revision, year, month, day, tag } = match?.groups ?? {};
  if (!said || !tag) return null;
  if (!timingSafeEqual(Buffer.from(tag), Buffer.from(tagOf(said, secret)))) return null;
  const on = `${year}-${month}-${day}`;
  return isDay(on) ? { jobId: Number(job), revisionId: Number(revision), on } : null;
}
