import { type Agenda, type AgendaItem, type AgendaQuestion, agendaOf } from './agenda.ts';

// What becomes of an agenda when something it counts on does not come. Pure.

/** A supply that may not be there, and what that would do. */
export interface LateCase {
  supply: number;
  /** chance that it is there when it is first needed */
  chance: number;
  /** items of the agenda that fall out: those that need it, and what waits for them */
  falls: string[];
  /** items that there is then time for, left over as it is */
  instead: string[];
  /** minutes of work that fall out, less what is done instead */
  idleMinutes: number;
}

/**
 * What each item of an agenda needs from outside, itself or by what it waits for.
 *
 * @param needs  by item: the supplies it needs itself
 * @returns      the same with those of everything before it
 */
export function allNeeds(
  items: readonly AgendaItem[],
  needs: ReadonlyMap<string, readonly number[]>,
): Map<string, ReadonlySet<number>> {
  const byKey = new Map(items.map((item) => [item.key, item]));
  const all = new Map<string, Set<number>>();
  const find = (key: string): Set<number> => {
    let found = all.get(key);
    if (found) return found;
    found = new Set(needs.get(key) ?? []);
    all.set(key, found);
    for (const before of byKey.get(key)?.after ?? []) {
      if (!byKey.has(before.key)) continue;
      for (const supply of find(before.key)) found.add(supply);
    }
    return found;
  };
  for (const { key } of items) find(key);
  return all;
}

/**
 * The case of one supply that does not come while the gathering lasts: the agenda is worked out anew without what needs it.
 *
 * @param needs  see `allNeeds`
 */
export function lateCase(
  question: AgendaQuestion,
  agenda: Agenda,
  needs: ReadonlyMap<string, ReadonlySet<number>>,
  { supply, chance }: { supply: number; chance: number },
): LateCase {
  const minutes = new Map(question.items.map((item) => [item.key, item.minutes]));
  const falls = agenda.placed.filter(({ key }) => needs.get(key)?.has(supply)).map(({ key }) => key);
  const items = question.items.map((item) =>
    needs.get(item.key)?.has(supply) ? { ...item, readyDay: null } : item,
  );
  const without = agendaOf({ ...question, items }, agenda);
  const before = new Set(agenda.placed.map(({ key }) => key));
  const instead = without.placed.filter(({ key }) => !before.has(key)).map(({ key }) => key);
  const sum = (keys: readonly string[]) => keys.reduce((all, key) => all + minutes.get(key)!, 0);
  return { supply, chance, falls, instead, idleMinutes: Math.max(0, sum(falls) - sum(instead)) };
}
