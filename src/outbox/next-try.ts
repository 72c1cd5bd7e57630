const MINUTE_MS = 60_000;
/** The longest wait before another try. */
export const LONGEST_MS = 6 * 3_600_000;
export const DAY_MS = 86_400_000;

/** How long a letter is tried, and a call of a hook, counted from when it was made. */
export const LETTER_DAYS = 5;
export const CALL_DAYS = 3;
/** A reminder speaks of its day: later than this it would mislead. */
export const REMINDER_DAYS = 2;

/**
 * The wait before the next try: a minute after the first, doubled with each, at most six hours. That something is tried
 * again with growing waits for 4 to 5 days is what RFC 5321, 4.5.4.1 asks of mail; the figures are our own.
 *
 * @param tries  how many have failed, 1 or more
 * @returns      milliseconds
 */
export function waitAfter(tries: number): number {
  // Beyond the ninth doubling the power could only grow past what is used.
  return Math.min(LONGEST_MS, MINUTE_MS * 2 ** Math.min(Math.max(tries, 1) - 1, 20));
}

/**
 * When something that failed is tried again; null when its time is over.
 *
 * @param created  when it was made
 * @param days     how long it is tried
 * @param asked    the wait that the other side asked for, in milliseconds: taken when it is longer, up to six hours
 */
export function nextTry(tries: number, created: Date, now: Date, days: number, asked = 0): Date | null {
  const at = now.getTime() + Math.max(waitAfter(tries), Math.min(asked, LONGEST_MS));
  return at - created.getTime() > days * DAY_MS ? null : new Date(at);
}

/**
 * Which stored moments are due: those that are over, and those that no wait of ours reaches, because the clock was set
 * back since.
 *
 * @param longestMs  the longest wait that is ever written
 */
export function dueAt(now: Date, longestMs = LONGEST_MS): ({ lte: Date } | { gt: Date })[] {
  return [{ lte: now }, { gt: new Date(now.getTime() + longestMs + MINUTE_MS) }];
}
