import type { Day } from '../platform/day.ts';
import { inOrder, less, RULES, rankings } from './agenda-rank.ts';

// The agenda of a gathering: who does what, when. Pure. Times are minutes from the midnight before its first day that is
// still ahead; days are numbered from that one on.

export const MINUTES_A_DAY = 1440;
/** Nothing on an agenda is told closer than this. */
export const AGENDA_GRID_MINUTES = 15;

/** Somebody who comes. */
export interface AgendaPerson {
  id: number;
  name: string;
  /** lead or crew: may inspect, and take decisions where nobody is named for them */
  isShop: boolean;
  isLead: boolean;
  skills: string;
  /** first and last day there, as numbers of days */
  firstDay: number;
  lastDay: number;
  /** of work in a day */
  minutes: number;
}

/** Something to be done there. */
export interface AgendaItem {
  key: string;
  title: string;
  kind: 'fit-up' | 'trial' | 'inspect' | 'other' | 'decision';
  minutes: number;
  /** who does it; null for anybody who is there */
  personId: number | null;
  /** whether it takes somebody of lead and crew */
  shopOnly: boolean;
  /** one thing at a time in a spot */
  spot: string | null;
  /** can only be done at this gathering: goes before what could be done elsewhere */
  isKept: boolean;
  /** what presses most has the least: the moment of the plan's latest start */
  pressing: number;
  after: readonly { key: string; lagDays: number; fromStart: boolean }[];
  /** the number of the first day on which all it needs from outside is expected; null: on none of them */
  readyDay: number | null;
}

/** A run of time on one day. */
export interface AgendaPiece {
  day: number;
  from: number;
  until: number;
}

export interface PlacedItem {
  key: string;
  personId: number;
  /** one on most; more where it goes on the next day */
  pieces: AgendaPiece[];
  /** what kept it from beginning sooner */
  because: AgendaBecause;
  /** the item that did, where it is one */
  behind: string | null;
}

export type AgendaBecause = 'first thing' | 'parts' | 'doubt' | 'after' | 'person' | 'spot';

export interface LeftOver {
  key: string;
  reason: 'parts' | 'waits' | 'not coming' | 'no shop' | 'time' | 'too long';
  /** the item it waits for, where that is left over */
  behind: string | null;
}

export interface Agenda {
  /** in the order of their beginning */
  placed: PlacedItem[];
  leftOver: LeftOver[];
  /** which of the ways of choosing it comes from */
  rule: number;
  /** items that were put on a day or later, as what they need may not be there before */
  later: ReadonlyMap<string, number>;
}

export interface AgendaQuestion {
  days: readonly Day[];
  /** the minute of the day when work begins */
  beginsAt: number;
  people: readonly AgendaPerson[];
  items: readonly AgendaItem[];
}

/**
 * Works an agenda out: items one after another in the order their links and a rule ask for, each with the person who
 * can end it soonest (serial schedule generation, as the levelled plan does it), by several rules; of the plans the one
 * that leaves least of what can only be done there, then least of all, then ends soonest.
 *
 * A person does one thing at a time, within their days and hours; in a spot one thing goes on at a time, from its
 * beginning to its end. What fits into one day of its person is not split over two; what is longer goes on in the morning.
 *
 * @param as  by this way of choosing and no other: for another agenda that is to be compared with one that came from it
 *
 * The same question has the same answer. Quadratic in items, as the days of one gathering bound them.
 * Source: Kelley (1963), "The critical-path method: resources planning and scheduling", for the scheme; from memory.
 */
export function agendaOf(question: AgendaQuestion, as: Pick<Agenda, 'rule' | 'later'> | null = null): Agenda {
  if (as !== null) return byRule(question, as.rule, as.later);
  let best: Agenda | null = null;
  let bestScore: readonly number[] = [];
  for (let one = 0; one < RULES.length; one++) {
    const agenda = byRule(question, one, new Map());
    const score = scoreOf(question, agenda);
    if (best === null || less(score, bestScore)) {
      best = agenda;
      bestScore = score;
    }
  }
  return best!;
}

function scoreOf({ items }: AgendaQuestion, { placed, leftOver }: Agenda): readonly number[] {
  const byKey = new Map(items.map((item) => [item.key, item]));
  const kept = leftOver.filter(({ key }) => byKey.get(key)!.isKept);
  const sum = (list: readonly LeftOver[]) => list.reduce((all, { key }) => all + byKey.get(key)!.minutes, 0);
  return [
    kept.length,
    sum(kept),
    leftOver.length,
    placed.reduce((all, { pieces }) => all + pieces.at(-1)!.until + pieces.at(-1)!.day * MINUTES_A_DAY, 0),
  ];
}

interface Taken {
  from: number;
  until: number;
  key: string;
}

function byRule(question: AgendaQuestion, rule: number, later: Agenda['later']): Agenda {
  const { items, people } = question;
  const place = new Map(items.map(({ key }, at) => [key, at]));
  const ranks = rankings(items, inOrder(items), RULES[rule]!);
  const before = items.map(({ after }) => after.flatMap(({ key }) => place.get(key) ?? []));
  const free = new Map(people.map((person) => [person.id, minutesOf(question, person)]));
  const taken = new Map<number, Taken[]>(people.map(({ id }) => [id, []]));
  const spots = new Map<string, Taken[]>();
  const placed = new Map<string, PlacedItem>();
  const leftOver: LeftOver[] = [];
  const isSettled = new Uint8Array(items.length);

  const byRank = items
    .map((_, at) => at)
    .sort((a, b) => {
      if (less(ranks[a]!, ranks[b]!)) return -1;
      return less(ranks[b]!, ranks[a]!) || items[a]!.key > items[b]!.key ? 1 : -1;
    });
  for (let round = 0; round < items.length; round++) {
    // The next by rank among those whose links are settled; in a circle, whichever is left.
    const isLeft = (at: number) => !isSettled[at];
    const next =
      byRank.find((at) => isLeft(at) && before[at]!.every((one) => isSettled[one])) ?? byRank.find(isLeft)!;
    isSettled[next] = 1;
    const left = settle(items[next]!);
    if (left) leftOver.push({ key: items[next]!.key, ...left });
  }
  return {
    placed: [...placed.values()].sort((a, b) => startOf(a) - startOf(b) || (a.key < b.key ? -1 : 1)),
    leftOver: leftOver.sort((a, b) => place.get(a.key)! - place.get(b.key)!),
    rule,
    later,
  };

  /** Gives an item its time. @returns why it has none */
  function settle(item: AgendaItem): Omit<LeftOver, 'key'> | null {
    const gone = item.after.find(({ key }) => place.has(key) && !placed.has(key));
    if (gone) return { reason: 'waits', behind: gone.key };
    if (item.readyDay === null) return { reason: 'parts', behind: null };
    const able = people.filter(
      (person) =>
        (item.personId === null || person.id === item.personId) && (!item.shopOnly || person.isShop),
    );
    if (able.length === 0) {
      return { reason: item.personId === null && item.shopOnly ? 'no shop' : 'not coming', behind: null };
    }
    const heldTo = later.get(item.key) ?? 0;
    let earliest = Math.max(item.readyDay, heldTo) * MINUTES_A_DAY;
    let because: AgendaBecause = item.readyDay > 0 ? 'parts' : 'first thing';
    if (heldTo > item.readyDay) because = 'doubt';
    let behind: string | null = null;
    for (const { key, lagDays, fromStart } of item.after) {
      const sooner = placed.get(key);
      if (!sooner) continue;
      const moment = (fromStart ? startOf(sooner) : endOf(sooner)) + lagDays * MINUTES_A_DAY;
      if (moment > earliest) [earliest, because, behind] = [moment, 'after', key];
    }
    const inSpot = item.spot === null ? [] : (spots.get(spotKey(item.spot)) ?? []);
    let found: { person: AgendaPerson; run: AgendaPiece[] } | null = null;
    for (const person of byLiking(able, item, taken)) {
      if (free.get(person.id)! < item.minutes) continue;
      const soonest = openingAt(question, person, earliest) + item.minutes;
      if (found !== null && lastOf(found.run) <= soonest) continue;
      const bound = found === null ? Number.POSITIVE_INFINITY : lastOf(found.run);
      const run = firstRun(question, person, item.minutes, earliest, taken.get(person.id)!, inSpot, bound);
      if (run && lastOf(run) < bound) found = { person, run };
    }
    if (!found) {
      const most = Math.max(...able.map((person) => minutesOf(question, person)));
      return { reason: item.minutes > most ? 'too long' : 'time', behind: null };
    }
    const { person, run } = found;
    const begins = firstOf(run);
    const opened = openingAt(question, person, earliest);
    if (begins > opened) {
      const blocking = (list: readonly Taken[]) =>
        list.filter(({ until }) => until <= begins).sort((a, b) => b.until - a.until)[0];
      const own = blocking(taken.get(person.id)!);
      const spot = blocking(inSpot);
      if (spot && spot.until === begins && spot.until > (own?.until ?? -1))
        [because, behind] = ['spot', spot.key];
      else if (own) [because, behind] = ['person', own.key];
    }
    placed.set(item.key, { key: item.key, personId: person.id, pieces: run, because, behind });
    free.set(person.id, free.get(person.id)! - item.minutes);
    const whole = { from: begins, until: lastOf(run), key: item.key };
    taken.get(person.id)!.push(...run.map((piece) => ({ ...momentsOf(piece), key: item.key })));
    if (item.spot !== null) spots.set(spotKey(item.spot), [...inSpot, whole]);
    return null;
  }
}

export const spotKey = (spot: string) => spot.trim().toLowerCase();
const momentsOf = ({ day, from, until }: AgendaPiece) => ({
  from: day * MINUTES_A_DAY + from,
  until: day * MINUTES_A_DAY + until,
});
const firstOf = (run: readonly AgendaPiece[]) => momentsOf(run[0]!).from;
const lastOf = (run: readonly AgendaPiece[]) => momentsOf(run.at(-1)!).until;
/** The moment at which an item begins, and at which it ends. */
export const startOf = ({ pieces }: Pick<PlacedItem, 'pieces'>) => firstOf(pieces);
export const endOf = ({ pieces }: Pick<PlacedItem, 'pieces'>) => lastOf(pieces);

function minutesOf({ days }: AgendaQuestion, { firstDay, lastDay, minutes }: AgendaPerson): number {
  return Math.max(0, Math.min(lastDay, days.length - 1) - Math.max(0, firstDay) + 1) * minutes;
}

/** When somebody can begin at the earliest, from a moment on. */
function openingAt({ beginsAt }: AgendaQuestion, person: AgendaPerson, earliest: number): number {
  const day = Math.max(person.firstDay, Math.floor(earliest / MINUTES_A_DAY));
  const opens = day * MINUTES_A_DAY + beginsAt;
  if (earliest <= opens) return opens;
  return earliest < opens + person.minutes ? earliest : opens + MINUTES_A_DAY;
}

/** How many words of three letters and more of what somebody can do stand in a title: a hint, no more. */
export function skillsFit(skills: string, title: string): number {
  if (skills === '') return 0;
  const words = new Set(title.toLowerCase().match(/\p{L}{3,}/gu) ?? []);
  const known = new Set(skills.toLowerCase().match(/\p{L}{3,}/gu) ?? []);
  const stem = (word: string) => word.replace(/(ing|ed|es|e|s)$/u, '');
  const stems = new Set([...words].map(stem));
  return [...known].filter((word) => words.has(word) || stems.has(stem(word))).length;
}

/** Who would be asked first where several end it at the same time: by skill, by what they have to do already, by id. */
function byLiking(able: readonly AgendaPerson[], item: AgendaItem, taken: ReadonlyMap<number, Taken[]>) {
  const busy = (person: AgendaPerson) =>
    taken.get(person.id)!.reduce((sum, { from, until }) => sum + until - from, 0);
  return able
    .map((person) => ({ person, fit: skillsFit(person.skills, item.title), busy: busy(person) }))
    .sort((a, b) => b.fit - a.fit || a.busy - b.busy || a.person.id - b.person.id)
    .map(({ person }) => person);
}

/** The first run of time in which somebody can do so many minutes in a spot; null where none ends before a moment. */
function firstRun(
  { days, beginsAt }: AgendaQuestion,
  person: AgendaPerson,
  minutes: number,
  earliest: number,
  own: readonly Taken[],
  inSpot: readonly Taken[],
  bound: number,
): AgendaPiece[] | null {
  const lastDay = Math.min(person.lastDay, days.length - 1);
  const opens = (day: number) => day * MINUTES_A_DAY + beginsAt;
  const firstDay = Math.max(0, person.firstDay);
  const starts: number[] = [];
  for (let day = firstDay; day <= lastDay; day++) {
    const start = Math.max(earliest, opens(day));
    if (start < opens(day) + person.minutes) starts.push(start);
  }
  for (const list of [own, inSpot]) {
    for (const { until } of list) {
      const day = Math.floor(until / MINUTES_A_DAY);
      const isWithin = until > opens(day) && until < opens(day) + person.minutes;
      if (until > earliest && isWithin && day >= firstDay && day <= lastDay) starts.push(until);
    }
  }
  const busy = (list: readonly Taken[], from: number, until: number) =>
    list.some((one) => one.from < until && from < one.until);
  for (const start of starts.sort((a, b) => a - b)) {
    if (start + minutes >= bound) return null;
    const run: AgendaPiece[] = [];
    let left = minutes;
    for (let day = Math.floor(start / MINUTES_A_DAY); day <= lastDay && left > 0; day++) {
      const from = Math.max(start, opens(day));
      const until = Math.min(opens(day) + person.minutes, from + left);
      if (busy(own, from, until)) break;
      run.push({ day, from: from - day * MINUTES_A_DAY, until: until - day * MINUTES_A_DAY });
      left -= until - from;
      // What fits into a day is done in one.
      if (left > 0 && minutes <= person.minutes) break;
    }
    if (left > 0 || run.length === 0) continue;
    if (!busy(inSpot, start, lastOf(run))) return run;
  }
  return null;
}
