import { addDays, type Day, daysBetween, dayWords, weekday } from '../platform/day.ts';
import { finishIfMissed, type GatheringSupply, type GatheringWork } from '../schedule/index.ts';
import { type Agenda, agendaOf, type LeftOver, type PlacedItem } from './agenda.ts';
import { allNeeds, type LateCase, lateCase } from './agenda-late.ts';
import { type AskedAgenda, THE_LEAD } from './agenda-question.ts';
import { timeWords } from './gathering-days.ts';

// An agenda in words. Pure.

/** What is less likely there than this is told with what happens if it is not. */
const SURE = 0.95;
const MOST_CASES = 8;
const MOST_LEFT = 30;

export interface AgendaRow {
  from: string;
  until: string;
  title: string;
  href: string | null;
  who: string;
  own: boolean;
  where: string;
  why: string;
  kind: string;
  /** begun on a day before */
  goesOn: boolean;
  /** how likely all it needs is there; '' where it needs nothing from outside */
  chance: string;
  doubtful: boolean;
}

export interface SupplyRow {
  label: string;
  href: string | null;
  from: string;
  state: string;
  expected: string;
  chance: string;
  doubtful: boolean;
  bring: string;
  for: string[];
}

export interface LateRow {
  label: string;
  chance: string;
  sentence: string;
}

/** 'n in 100', never more certain than it is. */
export function chanceWords(chance: number): string {
  if (chance > 0.99) return 'over 99 in 100';
  if (chance < 0.01) return 'under 1 in 100';
  return `${Math.round(chance * 100)} in 100`;
}

const hours = (minutes: number) => `${Math.round(minutes / 6) / 10} h`;
const NAMES = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];
const dayName = (day: Day, today: Day) => `${NAMES[weekday(day) - 1]} ${dayWords(day, today)}`;

/** 'a', 'a and b', 'a, b and 3 more' */
export function listWords(items: readonly string[], most = 3): string {
  if (items.length <= 1) return items[0] ?? '';
  if (items.length > most) {
    return `${items.slice(0, most - 1).join(', ')} and ${items.length - most + 1} more`;
  }
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;
}

/**
 * Everything a page tells of an agenda.
 *
 * @param viewerId  whose lines are marked
 * @param isShop    whether it may say who is likely to be late, and lead to the pages of decisions
 */
export function agendaView(
  work: GatheringWork | null,
  asked: AskedAgenda,
  {
    today,
    viewerId,
    isShop,
    names,
  }: { today: Day; viewerId: number; isShop: boolean; names: ReadonlyMap<number, string> },
) {
  const agenda = agendaOf(asked);
  const needs = allNeeds(asked.items, asked.needs);
  const items = new Map(asked.items.map((item) => [item.key, item]));
  const people = new Map(asked.people.map((person) => [person.id, person]));
  const placed = new Map(agenda.placed.map((one) => [one.key, one]));
  const nameOf = (id: number | null) =>
    id === THE_LEAD ? 'the lead' : (people.get(id ?? 0)?.name ?? names.get(id ?? 0) ?? 'somebody');
  const firstDay = asked.days[0] ?? today;
  const neededBy = supplyDays(agenda, asked, needs);
  const chanceOf = (one: PlacedItem) => chanceOfItem(work, one, needs, neededBy);

  const rows = asked.days.map((day, number) => {
    const own: AgendaRow[] = [];
    for (const one of agenda.placed) {
      for (const piece of one.pieces) if (piece.day === number) own.push(rowOf(one, piece));
    }
    return {
      day,
      label: dayName(day, today),
      rows: own.sort((a, b) => (a.from === b.from ? (a.title < b.title ? -1 : 1) : a.from < b.from ? -1 : 1)),
      people: asked.people
        .filter((person) => person.firstDay <= number && person.lastDay >= number)
        .map((person) => {
          const busy = agenda.placed
            .filter(({ personId }) => personId === person.id)
            .flatMap(({ pieces }) => pieces.filter((piece) => piece.day === number))
            .reduce((sum, { from, until }) => sum + until - from, 0);
          return { name: person.name, busy: hours(busy), there: hours(person.minutes) };
        }),
    };
  });

  function rowOf(one: PlacedItem, { from, until, day }: PlacedItem['pieces'][number]): AgendaRow {
    const item = items.get(one.key)!;
    const task = asked.tasks.get(one.key);
    const chance = chanceOf(one);
    return {
      from: timeWords(from),
      until: timeWords(until),
      title: item.title,
      href: hrefOf(one.key),
      who: nameOf(one.personId),
      own: one.personId === viewerId,
      where: task?.spot ?? '',
      why: one.pieces[0]!.day < day ? '' : whyThere(one),
      kind: item.kind === 'decision' ? 'decide' : item.kind === 'inspect' ? 'inspect' : '',
      goesOn: one.pieces[0]!.day < day,
      chance: chance === null ? '' : chanceWords(chance),
      doubtful: chance !== null && chance < SURE,
    };
  }

  function hrefOf(key: string): string | null {
    const decision = asked.decisions.get(key);
    if (decision) return isShop ? `/decisions/${decision.id}` : null;
    const task = asked.tasks.get(key);
    return task?.jobId ? `/jobs/${task.jobId}` : null;
  }

  function whyThere(one: PlacedItem): string {
    const behind = one.behind === null ? '' : `“${items.get(one.behind)?.title ?? ''}”`;
    const task = asked.tasks.get(one.key);
    const reasons: string[] = [];
    if (one.because === 'after') reasons.push(`after ${behind}`);
    else if (one.because === 'spot') reasons.push(`when ${behind} is out of the way`);
    else if (one.because === 'person') reasons.push(`when ${nameOf(one.personId)} is done with ${behind}`);
    else if (one.because === 'parts') reasons.push('on the day its last part is expected');
    else if (one.pieces[0]!.day > 0) reasons.push(`when ${nameOf(one.personId)} is there`);
    else reasons.push('nothing stands before it');
    if (task?.isKept) reasons.push('kept for these days');
    if (task && task.kind !== 'inspect') {
      reasons.push(
        task.floatDays === 0
          ? 'drives the finish'
          : `${task.floatDays} working ${task.floatDays === 1 ? 'day' : 'days'} to spare`,
      );
      if (task.isHeld) reasons.push('on hold as yet');
    }
    const waits = waitingItems(one.key);
    if (items.get(one.key)!.kind === 'decision' && waits.length > 0)
      reasons.push(`before ${listWords(waits, 2)}`);
    return reasons.join('; ');
  }

  function waitingItems(key: string): string[] {
    return asked.items
      .filter(({ after }) => after.some((link) => link.key === key))
      .map(({ title }) => `“${title}”`);
  }

  const left = [...agenda.leftOver].sort(
    (a, b) => Number(items.get(b.key)!.isKept) - Number(items.get(a.key)!.isKept),
  );
  const leftOver = left.slice(0, MOST_LEFT).map((one) => ({
    title: items.get(one.key)!.title,
    href: hrefOf(one.key),
    isKept: items.get(one.key)!.isKept,
    because: whyLeft(one),
  }));

  function whyLeft({ key, reason, behind }: LeftOver): string {
    const item = items.get(key)!;
    switch (reason) {
      case 'parts': {
        const late = (asked.needs.get(key) ?? []).filter(
          (supply) => (asked.expectedDay.get(supply) ?? null) === null,
        );
        const worst = late
          .map((supply) => work!.supplies.get(supply)!)
          .sort((a, b) => b.expected - a.expected);
        const [supply] = worst;
        if (!supply || !isShop) return 'what it needs is expected after the last day';
        const more = worst.length > 1 ? `, and ${worst.length - 1} more` : '';
        const chance = work!.chances.by(supply.step, work!.until);
        return `${supplyWords(supply, nameOf)} expected ${dayWords(supply.expectedOn, today)}, after the last day${more}; there by then: ${chanceWords(chance)}`;
      }
      case 'waits':
        return `waits for “${items.get(behind!)?.title ?? ''}”, which is left over`;
      case 'not coming':
        return item.personId === null
          ? 'nobody comes who could do it'
          : item.kind === 'decision'
            ? `${item.personId === THE_LEAD ? 'the lead' : `${nameOf(item.personId)} or the lead`} decides it, and is not on the list`
            : `${nameOf(item.personId)} does it and is not on the list`;
      case 'no shop':
        return people.has(item.personId ?? 0)
          ? `${nameOf(item.personId)} can’t: it takes somebody of lead and crew`
          : 'it takes somebody of lead and crew, and nobody of them comes';
      case 'too long':
        return `takes ${hours(item.minutes)}, more than ${item.personId === null ? 'anybody' : nameOf(item.personId)} is there for`;
      default:
        return item.personId === null
          ? `no ${hours(item.minutes)} are left to anybody`
          : `${nameOf(item.personId)} has no ${hours(item.minutes)} left`;
    }
  }

  // What the agenda counts on, the least likely first.
  const counted = [...neededBy.keys()]
    .map((supply) => work!.supplies.get(supply)!)
    .filter(({ kind }) => kind !== 'here')
    .map((supply) => {
      const byFirst = work!.chances.by(supply.step, work!.from);
      const whenNeeded = work!.chances.by(supply.step, work!.from + neededBy.get(supply.step)!);
      return { supply, byFirst, whenNeeded };
    })
    .sort((a, b) => a.whenNeeded - b.whenNeeded || a.supply.step - b.supply.step);
  const tooLate = [...(work?.supplies.values() ?? [])]
    .filter(({ step, kind }) => !neededBy.has(step) && kind !== 'here')
    .map((supply) => ({
      supply,
      byFirst: work!.chances.by(supply.step, work!.from),
      whenNeeded: work!.chances.by(supply.step, work!.until),
    }));
  const supplies = [...counted, ...tooLate].map(({ supply, byFirst }): SupplyRow => {
    const uses = asked.items.filter(({ key }) => asked.needs.get(key)?.includes(supply.step));
    return {
      label: supply.label,
      href: supply.jobId === null ? null : `/jobs/${supply.jobId}`,
      from: supply.makerId === null ? '' : nameOf(supply.makerId),
      state: supply.kind === 'work' ? 'work before it' : supply.kind,
      expected: dayWords(supply.expectedOn, today),
      chance: chanceWords(byFirst),
      doubtful: byFirst < SURE,
      bring: bringWords(supply),
      for: uses.map(({ title }) => title),
    };
  });

  /** Who comes and has it in hand needs no post. */
  function bringWords({ makerId, making, kind }: GatheringSupply): string {
    const maker = people.get(makerId ?? 0);
    if (!maker || kind !== 'with a maker') return '';
    const arrives = work!.from + maker.firstDay;
    const done = making === -1 ? 1 : work!.chances.by(making, arrives);
    return `${maker.name} comes and could bring it: finished by ${dayWords(addDays(firstDay, maker.firstDay), today)}, ${chanceWords(done)}`;
  }

  const doubtful = counted.filter(({ whenNeeded }) => whenNeeded < SURE);
  const late = doubtful.slice(0, MOST_CASES).map(({ supply, whenNeeded }): LateRow => {
    const found = lateCase(asked, agenda, needs, { supply: supply.step, chance: whenNeeded });
    return {
      label: supplyWords(supply, nameOf),
      chance: chanceWords(whenNeeded),
      sentence: lateSentence(found, supply),
    };
  });

  function lateSentence(found: LateCase, supply: GatheringSupply): string {
    const titles = (keys: readonly string[]) => keys.map((key) => `“${items.get(key)!.title}”`);
    const falls = titles(found.falls);
    const sentences = [`${listWords(falls)} ${falls.length === 1 ? 'falls' : 'fall'} out.`];
    if (found.instead.length > 0) {
      sentences.push(
        `In place of that there is time for ${listWords(titles(found.instead))}, left over as it is.`,
      );
    }
    if (found.idleMinutes > 0) {
      sentences.push(
        found.instead.length > 0
          ? `${hours(found.idleMinutes)} stay free.`
          : `Nothing that is ready waits for that time: ${hours(found.idleMinutes)} stay free.`,
      );
    }
    const { days, finishOn } = finishIfMissed(work!, supply.step);
    const next = nextGathering(work!);
    const isKept = found.falls.some((key) => items.get(key)!.isKept && items.get(key)!.kind !== 'decision');
    const why = !isKept
      ? 'it is gone on with when it comes, right after this gathering'
      : next
        ? `what is kept for these days waits for ${next.title}, ${dayWords(next.fromOn, today)}`
        : 'no later gathering is planned, so it is counted as done right after this one';
    sentences.push(
      days > 0 && finishOn
        ? `The finish moves by ${days} ${days === 1 ? 'day' : 'days'}, to ${dayWords(finishOn, today)}: ${why}.`
        : `The finish of the plan stays: ${why}.`,
    );
    return sentences.join(' ');
  }

  return {
    days: rows,
    placed: agenda.placed.length,
    decisions: agenda.placed.filter(({ key }) => items.get(key)!.kind === 'decision').length,
    leftOver,
    moreLeft: Math.max(0, left.length - MOST_LEFT),
    supplies,
    late,
    moreLate: Math.max(0, doubtful.length - MOST_CASES),
    noDays: asked.noDays.map(({ name }) => name),
    agenda,
    /** steps of the network on it, for what must be brought */
    steps: new Set([...placed.keys()].flatMap((key) => asked.tasks.get(key)?.step ?? [])),
  };
}

/** By supply that the agenda counts on: the first day on which something needs it. */
function supplyDays(
  agenda: Agenda,
  { needs: own }: AskedAgenda,
  needs: ReadonlyMap<string, ReadonlySet<number>>,
): Map<number, number> {
  const days = new Map<number, number>();
  for (const { key, pieces } of agenda.placed) {
    if (!needs.has(key)) continue;
    for (const supply of own.get(key) ?? []) {
      days.set(supply, Math.min(pieces[0]!.day, days.get(supply) ?? Number.MAX_SAFE_INTEGER));
    }
  }
  return days;
}

/** How likely all that an item and what goes before it need is there on their days; null where nothing is needed. */
function chanceOfItem(
  work: GatheringWork | null,
  { key }: PlacedItem,
  needs: ReadonlyMap<string, ReadonlySet<number>>,
  neededBy: ReadonlyMap<number, number>,
): number | null {
  const wanted = [...(needs.get(key) ?? [])].filter((supply) => work!.supplies.get(supply)!.kind !== 'here');
  if (!work || wanted.length === 0) return null;
  return work.chances.together(
    wanted.map((step) => ({
      step,
      by: work.from + (neededBy.get(step) ?? daysBetween(work.gathering.fromOn, work.gathering.untilOn)),
    })),
  );
}

function nextGathering({ schedule, gathering }: GatheringWork) {
  return [...schedule.facts.gatherings.values()]
    .filter(({ fromOn }) => fromOn > gathering.untilOn)
    .sort((a, b) => (a.fromOn < b.fromOn ? -1 : 1))[0];
}

function supplyWords(
  { label, makerId, kind }: GatheringSupply,
  nameOf: (id: number | null) => string,
): string {
  const from =
    makerId === null
      ? ''
      : kind === 'in the post'
        ? ` from ${nameOf(makerId)}`
        : `, with ${nameOf(makerId)},`;
  return `${label}${from}`;
}
