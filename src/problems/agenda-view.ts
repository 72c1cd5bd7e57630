import { addDays, type Day, dayWords, weekday } from '../platform/day.ts';
import type { GatheringSupply, GatheringWork } from '../schedule/index.ts';
import type { LeftOver, PlacedItem } from './agenda.ts';
import { SURE } from './agenda-later.ts';
import type { AgendaPlan, PlannedCase } from './agenda-plan.ts';
import { type AskedAgenda, THE_LEAD } from './agenda-question.ts';
import { timeWords } from './gathering-days.ts';

// An agenda in words. Pure.

const MOST_LEFT = 30;

export interface AgendaRow {
  from: string;
  until: string;
  title: string;
  href: string | null;
  who: string;
  own: boolean;
  where: string;
  /** why then; '' where it goes on from the day before */
  why: string;
  kind: string;
  /** begun on a day before */
  goesOn: boolean;
  /** how likely all it needs is there; '' where it needs nothing from outside */
  chance: string;
  doubtful: boolean;
}

/** 'n in 100', never more certain than it is. */
export function chanceWords(chance: number): string {
  if (chance > 0.99) return 'over 99 in 100';
  if (chance < 0.01) return 'under 1 in 100';
  return `${Math.round(chance * 100)} in 100`;
}

const hours = (minutes: number) => `${Math.round(minutes / 6) / 10} h`;
const days = (count: number, kind = '') => `${count} ${kind}${count === 1 ? 'day' : 'days'}`;
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

interface Viewer {
  today: Day;
  /** whose lines are marked */
  viewerId: number;
  /** whether it may say who is likely to be late, and lead to the pages of decisions */
  isShop: boolean;
  names: ReadonlyMap<number, string>;
}

/** Everything a page tells of an agenda. */
export function agendaView(
  work: GatheringWork | null,
  asked: AskedAgenda,
  plan: AgendaPlan,
  { today, viewerId, isShop, names }: Viewer,
) {
  const { agenda, chances } = plan;
  const items = new Map(asked.items.map((item) => [item.key, item]));
  const people = new Map(asked.people.map((person) => [person.id, person]));
  const nameOf = (id: number | null) =>
    id === THE_LEAD ? 'the lead' : (people.get(id ?? 0)?.name ?? names.get(id ?? 0) ?? 'somebody');
  const quoted = (key: string | null) => `“${items.get(key ?? '')?.title ?? ''}”`;
  const dayOf = (number: number) => dayWords(addDays(asked.days[0] ?? today, number), today);

  const byDay = asked.days.map((day, number) => {
    const onDay = agenda.placed.flatMap((one) =>
      one.pieces.filter((piece) => piece.day === number).map((piece) => ({ one, piece })),
    );
    onDay.sort((a, b) => a.piece.from - b.piece.from);
    return {
      day,
      label: dayName(day, today),
      rows: onDay.map(({ one, piece }) => rowOf(one, piece)),
      people: asked.people
        .filter((person) => person.firstDay <= number && person.lastDay >= number)
        .map((person) => {
          const own = onDay.filter(({ one }) => one.personId === person.id);
          const busy = own.reduce((sum, { piece }) => sum + piece.until - piece.from, 0);
          return { name: person.name, busy: hours(busy), there: hours(person.minutes) };
        }),
    };
  });

  function rowOf(one: PlacedItem, { from, until, day }: PlacedItem['pieces'][number]): AgendaRow {
    const { kind, title } = items.get(one.key)!;
    const chance = chances.get(one.key);
    const goesOn = one.pieces[0]!.day < day;
    return {
      from: timeWords(from),
      until: timeWords(until),
      title,
      href: hrefOf(one.key),
      who: nameOf(one.personId),
      own: one.personId === viewerId,
      where: asked.tasks.get(one.key)?.spot ?? '',
      why: goesOn ? '' : whyThere(one),
      kind: kind === 'decision' ? 'decide' : kind === 'inspect' ? 'inspect' : '',
      goesOn,
      chance: chance === undefined ? '' : chanceWords(chance),
      doubtful: chance !== undefined && chance < SURE,
    };
  }

  function hrefOf(key: string): string | null {
    const decision = asked.decisions.get(key);
    if (decision) return isShop ? `/decisions/${decision.id}` : null;
    const task = asked.tasks.get(key);
    return task?.jobId ? `/jobs/${task.jobId}` : null;
  }

  function whyThere({ key, because, behind, personId, pieces }: PlacedItem): string {
    const task = asked.tasks.get(key);
    const reasons: string[] = [];
    if (because === 'after') reasons.push(`after ${quoted(behind)}`);
    else if (because === 'spot') reasons.push(`when ${quoted(behind)} is out of the way`);
    else if (because === 'person') reasons.push(`when ${nameOf(personId)} is done with ${quoted(behind)}`);
    else if (because === 'parts') reasons.push('on the day its last part is expected');
    else if (because === 'doubt') reasons.push('on a later day, by when what it needs is more likely there');
    else if (pieces[0]!.day > 0) reasons.push(`when ${nameOf(personId)} is there`);
    else reasons.push('nothing stands before it');
    if (task?.isKept) reasons.push('kept for these days');
    if (task && task.kind !== 'inspect') {
      const { floatDays } = task;
      reasons.push(floatDays === 0 ? 'drives the finish' : `${days(floatDays, 'working ')} to spare`);
      if (task.isHeld) reasons.push('on hold as yet');
    }
    const waits = asked.decisions.has(key)
      ? asked.items.filter(({ after }) => after.some((link) => link.key === key))
      : [];
    if (waits.length > 0) {
      reasons.push(
        `before ${listWords(
          waits.map((item) => quoted(item.key)),
          2,
        )}`,
      );
    }
    return reasons.join('; ');
  }

  const left = [...agenda.leftOver].sort(
    (a, b) => Number(items.get(b.key)!.isKept) - Number(items.get(a.key)!.isKept),
  );

  function whyLeft({ key, reason, behind }: LeftOver): string {
    const item = items.get(key)!;
    const anybody = item.personId === null;
    switch (reason) {
      case 'parts':
        return tooLateWords(key);
      case 'waits':
        return `waits for ${quoted(behind)}, which is left over`;
      case 'not coming':
        if (anybody) return 'nobody comes who could do it';
        if (item.kind !== 'decision') return `${nameOf(item.personId)} does it and is not on the list`;
        return `${item.personId === THE_LEAD ? 'the lead' : `${nameOf(item.personId)} or the lead`} decides it, and is not on the list`;
      case 'no shop':
        return 'it takes somebody of lead and crew, and nobody of them comes';
      case 'too long':
        return `takes ${hours(item.minutes)}, more than ${anybody ? 'anybody' : nameOf(item.personId)} is there for`;
      default:
        return anybody
          ? `no ${hours(item.minutes)} are left to anybody`
          : `${nameOf(item.personId)} has no ${hours(item.minutes)} left`;
    }
  }

  function tooLateWords(key: string): string {
    const late = (asked.needs.get(key) ?? [])
      .filter((supply) => (asked.expectedDay.get(supply) ?? null) === null)
      .map((supply) => work!.supplies.get(supply)!)
      .sort((a, b) => b.expected - a.expected);
    const [supply] = late;
    if (!supply || !isShop) return 'what it needs is expected after the last day';
    const more = late.length > 1 ? `, and ${late.length - 1} more` : '';
    const words = `${supplyWords(supply)} expected ${dayWords(supply.expectedOn, today)}, after the last day${more}`;
    if (!items.get(key)!.isKept || supply.kind === 'work') return words;
    return `${words}; there by then: ${chanceWords(work!.chances.by(supply.step, work!.until))}`;
  }

  function supplyWords({ label, makerId, kind }: GatheringSupply): string {
    if (makerId === null) return label;
    return kind === 'in the post' ? `${label} from ${nameOf(makerId)}` : `${label}, with ${nameOf(makerId)},`;
  }

  function lateSentence({ falls, instead, idleMinutes, finishDays, finishOn, isKept }: PlannedCase): string {
    const sentences = [`${listWords(falls.map(quoted))} ${falls.length === 1 ? 'falls' : 'fall'} out.`];
    if (instead.length > 0) {
      sentences.push(
        `In place of that there is time for ${listWords(instead.map(quoted))}, left over as it is.`,
      );
    }
    if (idleMinutes > 0) {
      const free = `${hours(idleMinutes)} stay free.`;
      sentences.push(instead.length > 0 ? free : `Nothing that is ready waits for that time: ${free}`);
    }
    const next = nextGathering(work!);
    const why = !isKept
      ? 'it is gone on with when it comes, right after this gathering'
      : next
        ? `what is kept for these days waits for ${next.title}, ${dayWords(next.fromOn, today)}`
        : 'no later gathering is planned, so it is counted as done right after this one';
    sentences.push(
      finishDays > 0 && finishOn
        ? `The finish moves by ${days(finishDays)}, to ${dayWords(finishOn, today)}: ${why}.`
        : `The finish of the plan stays: ${why}.`,
    );
    return sentences.join(' ');
  }

  return {
    days: byDay,
    placed: agenda.placed.length,
    leftOver: left.slice(0, MOST_LEFT).map((one) => ({
      title: items.get(one.key)!.title,
      href: hrefOf(one.key),
      isKept: items.get(one.key)!.isKept,
      because: whyLeft(one),
    })),
    moreLeft: Math.max(0, left.length - MOST_LEFT),
    supplies: plan.supplies.map(({ supply, byFirst, byLast, broughtBy, items: uses }) => ({
      label: supply.label,
      href: supply.jobId === null ? null : `/jobs/${supply.jobId}`,
      from: supply.makerId === null ? '' : nameOf(supply.makerId),
      state: supply.kind === 'work' ? 'work before it' : supply.kind,
      expected: dayWords(supply.expectedOn, today),
      chance: chanceWords(byFirst),
      byLast: chanceWords(byLast) === chanceWords(byFirst) ? '' : chanceWords(byLast),
      doubtful: byFirst < SURE,
      bring: broughtBy
        ? `${nameOf(broughtBy.personId)} comes and could bring it: finished by ${dayOf(broughtBy.day)}, ${chanceWords(broughtBy.chance)}`
        : '',
      for: listWords(
        uses.map((key) => items.get(key)!.title),
        4,
      ),
    })),
    moreSupplies: plan.moreSupplies,
    late: plan.late.map((one) => ({
      label: supplyWords(one.of),
      chance: chanceWords(one.chance),
      sentence: lateSentence(one),
    })),
    moreLate: plan.moreLate,
    noDays: asked.noDays.map(({ name }) => name),
  };
}

function nextGathering({ schedule, gathering }: GatheringWork) {
  return [...schedule.facts.gatherings.values()]
    .filter(({ fromOn }) => fromOn > gathering.untilOn)
    .sort((a, b) => (a.fromOn < b.fromOn ? -1 : 1))[0];
}
