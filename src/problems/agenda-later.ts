import { type Agenda, type AgendaQuestion, agendaOf, endOf } from './agenda.ts';

// What may not be there yet goes on a later day of the gathering, where that costs nothing. Pure.

/** What is less likely there than this is doubtful. */
export const SURE = 0.95;
/** A later day is taken for so much more of a chance at least. */
const WORTH = 0.05;
const MOST_ITEMS = 8;
const MOST_DAYS_TRIED = 3;

/**
 * Puts doubtful work later, and with it what waits for it: the least likely first, each on the first day on which it is
 * sure, else on the last, or up to two days sooner. A day is taken if nothing is left over for it, nothing else ends
 * later, and nothing becomes less likely by going sooner.
 *
 * @param agenda    the question's
 * @param chanceOn  the chance that all an item needs itself is there on the morning of a day: never less on a later one
 */
export function withDoubtLater(
  question: AgendaQuestion,
  agenda: Agenda,
  chanceOn: (key: string, day: number) => number,
): Agenda {
  const lastDay = question.days.length - 1;
  const dayOf = (key: string, { placed }: Agenda) => placed.find((one) => one.key === key)!.pieces[0]!.day;
  const doubtful = agenda.placed
    .map(({ key, pieces }) => ({ key, chance: chanceOn(key, pieces[0]!.day) }))
    .filter(({ chance }) => chance < SURE)
    .sort((a, b) => a.chance - b.chance || (a.key < b.key ? -1 : 1))
    .slice(0, MOST_ITEMS);
  let best = agenda;
  for (const { key } of doubtful) {
    const now = dayOf(key, best);
    const chance = chanceOn(key, now);
    let day = now;
    while (day < lastDay && chanceOn(key, day) < SURE) day++;
    for (let tried = 0; tried < MOST_DAYS_TRIED && day > now; tried++, day--) {
      if (chanceOn(key, day) < chance + WORTH) break;
      const other = agendaOf(question, { rule: best.rule, later: new Map(best.later).set(key, day) });
      if (!costsNothing(best, other, withWaiting(question, key), chanceOn)) continue;
      best = other;
      break;
    }
  }
  return best;
}

/** An item, and all that waits for it. */
function withWaiting({ items }: AgendaQuestion, key: string): ReadonlySet<string> {
  const found = new Set([key]);
  for (const one of found) {
    for (const { key: other, after } of items) if (after.some((link) => link.key === one)) found.add(other);
  }
  return found;
}

/** Whether an agenda has all that another has, nothing of it but some items ends later, and nothing is less likely. */
function costsNothing(
  before: Agenda,
  after: Agenda,
  moved: ReadonlySet<string>,
  chanceOn: (key: string, day: number) => number,
): boolean {
  const there = new Map(after.placed.map((one) => [one.key, one]));
  return (
    after.placed.length === before.placed.length &&
    before.placed.every((one) => {
      const other = there.get(one.key);
      if (!other || (endOf(other) > endOf(one) && !moved.has(one.key))) return false;
      const [was, is] = [one.pieces[0]!.day, other.pieces[0]!.day];
      return is >= was || chanceOn(one.key, is) >= Math.min(SURE, chanceOn(one.key, was));
    })
  );
}
