import type { Act } from '../platform/acts.ts';
import { found } from '../platform/refusal.ts';

/** Gives a person's calendar a new address; the old one opens nothing any more. */
export async function renewCalendarAddress(act: Act, personId: number): Promise<void> {
  const { count } = await act.tx.person.updateMany({
    where: { id: personId, forgottenAt: null },
    data: { calendarTurn: { increment: 1 } },
  });
  found(count || null, 'There is no such person.');
  await act.log({ kind: 'renew-calendar-address', aboutId: personId });
}
