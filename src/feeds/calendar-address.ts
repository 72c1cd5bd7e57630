import { createHmac, timingSafeEqual } from 'node:crypto';

/** Whose calendar it is, and which of the addresses they had: a new one makes the old one useless. */
export interface CalendarOwner {
  personId: number;
  turn: number;
}

const TAG_LETTERS = 32;

function tagOf({ personId, turn }: CalendarOwner, secret: string): string {
  return createHmac('sha256', secret)
    .update(`calendar ${personId} ${turn}`)
    .digest('hex')
    .slice(0, TAG_LETTERS);
}

/**
 * The name of a person's calendar file. Its tag can't be guessed (128 bits of HMAC-SHA-256), so that a telephone reads the
 * calendar without signing in, and nobody else does.
 *
 * Example: `{personId: 3, turn: 0}` -> `3-` and 32 hexadecimal digits
 */
export function calendarName(owner: CalendarOwner, secret: string): string {
  return `${owner.personId}-${tagOf(owner, secret)}`;
}

/** Whose calendar a name is of, going by the turn that person is at now; null where it is nobody's. */
export function readCalendarName(
  name: string,
  secret: string,
  turnOf: (personId: number) => number | null,
): number | null {
  const { id, tag } = /^(?<id>[1-9]\d{0,8})-(?<tag>[0-9a-f]{32})$/.exec(name)?.groups ?? {};
  if (!id || !tag) return null;
  const personId = Number(id);
  const turn = turnOf(personId);
  // Worked out for nobody as well, so that time tells nothing of who there is.
  const right = timingSafeEqual(Buffer.from(tag), Buffer.from(tagOf({ personId, turn: turn ?? -1 }, secret)));
  return right && turn !== null ? personId : null;
}
