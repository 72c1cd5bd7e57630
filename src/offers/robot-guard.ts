import { createHmac, timingSafeEqual } from 'node:crypto';

/** A form filled in faster than this was not typed by a person. */
export const FASTEST_MS = 3_000;
/** A form older than this is shown again rather than taken. */
export const OLDEST_MS = 24 * 3_600_000;

function sign(key: string, moment: string): string {
  return createHmac('sha256', key).update(moment).digest('base64url').slice(0, 22);
}

/** A mark that tells, when it comes back, how long a page has been open. It can't be made up without the key. */
export function shownMark(key: string, shownAt: Date): string {
  const moment = String(shownAt.getTime());
  return `${moment}.${sign(key, moment)}`;
}

/**
 * What is wrong with a form by what came with it, or null.
 *
 * @param mark  as shownMark made it
 * @param trap  a field that people are told to leave empty; robots fill it in
 */
export function robotSign(key: string, mark: string, trap: string, now: Date): string | null {
  if (trap !== '') return 'Leave the last field empty: only robots fill it in.';
  const [moment = '', signature = ''] = mark.split('.');
  const expected = Buffer.from(sign(key, moment));
  const given = Buffer.from(signature);
  if (expected.length !== given.length || !timingSafeEqual(expected, given)) {
    return 'The page was too old. What you typed is kept; send it once more.';
  }
  const open = now.getTime() - Number(moment);
  if (open < FASTEST_MS)
    return 'That was quicker than a person types. Wait a moment, then send it once more.';
  if (open > OLDEST_MS)
    return 'The page was open for more than a day. What you typed is kept; send it once more.';
  return null;
}
