import {
  type Agenda,
  type AgendaQuestion,
  endOf,
  MINUTES_A_DAY,
  type PlacedItem,
  spotKey,
  startOf,
} from '../../src/problems/agenda.ts';

/** Everything that is wrong with an agenda, each in a sentence; written without a look at how agendas are made. */
export function faultsOf({ days, beginsAt, people, items }: AgendaQuestion, { placed, leftOver }: Agenda) {
  const faults: string[] = [];
  const byKey = new Map(placed.map((one) => [one.key, one]));
  const told = [...placed, ...leftOver].map(({ key }) => key).sort();
  if (
    told.join() !==
    items
      .map(({ key }) => key)
      .sort()
      .join()
  )
    faults.push(`not each item once: ${told}`);
  for (const one of placed) {
    const item = items.find(({ key }) => key === one.key)!;
    const person = people.find(({ id }) => id === one.personId);
    if (!person) {
      faults.push(`${one.key}: nobody there does it`);
      continue;
    }
    if (item.personId !== null && item.personId !== person.id) faults.push(`${one.key}: another does it`);
    if (item.shopOnly && !person.isShop) faults.push(`${one.key}: a maker does what the shop does`);
    const sum = one.pieces.reduce((all, { from, until }) => all + until - from, 0);
    if (sum !== item.minutes) faults.push(`${one.key}: ${sum} of ${item.minutes} minutes`);
    one.pieces.forEach(({ day, from, until }, n) => {
      const isThere = day >= person.firstDay && day <= person.lastDay && day >= 0 && day < days.length;
      if (!isThere) faults.push(`${one.key}: ${person.name} is not there on day ${day}`);
      if (from < beginsAt || until > beginsAt + person.minutes || from >= until) {
        faults.push(`${one.key}: from ${from} to ${until} is outside the hours`);
      }
      const before = one.pieces[n - 1];
      if (before && (day !== before.day + 1 || from !== beginsAt)) faults.push(`${one.key}: is set aside`);
    });
    if (one.pieces.length > 1 && item.minutes <= person.minutes) faults.push(`${one.key}: is split`);
    if (item.readyDay === null || one.pieces[0]!.day < item.readyDay) faults.push(`${one.key}: not ready`);
    for (const { key, lagDays, fromStart } of item.after) {
      if (!items.some((other) => other.key === key)) continue;
      const before = byKey.get(key);
      if (!before) faults.push(`${one.key}: ${key} is left over`);
      else {
        const moment = (fromStart ? startOf(before) : endOf(before)) + lagDays * MINUTES_A_DAY;
        if (startOf(one) < moment) faults.push(`${one.key}: before ${key}`);
      }
    }
  }
  const overlaps = (a: PlacedItem, b: PlacedItem) =>
    a.pieces.some((p) => b.pieces.some((q) => p.day === q.day && p.from < q.until && q.from < p.until));
  placed.forEach((one, n) => {
    for (const other of placed.slice(n + 1)) {
      if (one.personId === other.personId && overlaps(one, other)) {
        faults.push(`${one.key} and ${other.key}: one person does both at once`);
      }
      const [a, b] = [one, other].map(({ key }) => items.find((item) => item.key === key)!.spot);
      if (a && b && spotKey(a) === spotKey(b) && startOf(one) < endOf(other) && startOf(other) < endOf(one)) {
        faults.push(`${one.key} and ${other.key}: in one spot at once`);
      }
    }
  });
  return faults;
}
