import { type Day, daysBetween } from '../platform/day.ts';
import { type DaysThere, daysThere, type GatheringTask, type GatheringWork } from '../schedule/index.ts';
import { AGENDA_GRID_MINUTES, type AgendaItem, type AgendaPerson, type AgendaQuestion } from './agenda.ts';
import { daysAhead } from './gathering-days.ts';

// From the schedule, the decisions and those who come to what an agenda is worked out from. Pure.

/** Half an hour to take a decision in. Common practice, no source. */
export const DECISION_MINUTES = 30;

/** Stands for the lead, where no lead comes. */
export const THE_LEAD = -1;

export interface ComerFacts extends DaysThere {
  id: number;
  name: string;
  role: string;
  skills: string;
}

export interface KeptDecision {
  id: number;
  question: string;
  jobId: number | null;
  partId: number | null;
  deciderId: number | null;
}

export interface GatheringHours {
  fromOn: Day;
  untilOn: Day;
  /** minutes after midnight */
  beginsAt: number;
  dayHours: number;
}

/** An agenda's question, and what its items stand for. */
export interface AskedAgenda extends AgendaQuestion {
  tasks: ReadonlyMap<string, GatheringTask>;
  decisions: ReadonlyMap<string, KeptDecision>;
  /** by item: what it needs from outside, numbers of supplies */
  needs: ReadonlyMap<string, readonly number[]>;
  /** by supply: the number of the day on which it is expected; null where that is after the last */
  expectedDay: ReadonlyMap<number, number | null>;
  /** who is on the list, but on none of its days as they are now */
  noDays: ComerFacts[];
}

/** What an agenda of a gathering is worked out from. @param work  null where the schedule has nothing for it */
export function agendaQuestion(
  work: GatheringWork | null,
  hours: GatheringHours,
  today: Day,
  comers: readonly ComerFacts[],
  decisions: readonly KeptDecision[],
): AskedAgenda {
  const days = daysAhead(hours, today);
  const first = days[0] ?? hours.fromOn;
  const people: AgendaPerson[] = [];
  const noDays: ComerFacts[] = [];
  for (const comer of comers) {
    const there = daysThere(hours, comer);
    if (!there) {
      noDays.push(comer);
      continue;
    }
    people.push({
      id: comer.id,
      name: comer.name,
      isShop: comer.role === 'lead' || comer.role === 'crew',
      isLead: comer.role === 'lead',
      skills: comer.skills,
      firstDay: Math.max(0, daysBetween(first, there.fromOn)),
      lastDay: daysBetween(first, there.untilOn),
      minutes: Math.floor((there.hours * 60) / AGENDA_GRID_MINUTES) * AGENDA_GRID_MINUTES,
    });
  }

  const nodes = work?.schedule.network.nodes ?? [];
  const keyOf = (step: number) => nodes[step]!.key;
  const expectedDay = new Map<number, number | null>();
  for (const supply of work?.supplies.values() ?? []) {
    const day = Math.max(0, supply.expected - work!.from);
    expectedDay.set(supply.step, day < days.length ? day : null);
  }
  const byKey = new Map<string, KeptDecision>();
  const waitsFor = new Map<string, string[]>();
  const items: AgendaItem[] = [];
  const lead = people.find(({ isLead }) => isLead);
  /** Who is named for it decides, or the lead. */
  const deciderOf = ({ deciderId }: KeptDecision) =>
    deciderId !== null && people.some(({ id }) => id === deciderId)
      ? deciderId
      : (lead?.id ?? deciderId ?? THE_LEAD);
  for (const decision of decisions) {
    const key = `decision-${decision.id}`;
    byKey.set(key, decision);
    let pressing = Number.MAX_SAFE_INTEGER;
    for (const task of work?.tasks ?? []) {
      if (task.kind === 'inspect') continue;
      const waits =
        (decision.jobId !== null && task.jobId === decision.jobId) ||
        (decision.partId !== null && task.partId === decision.partId);
      if (!waits) continue;
      pressing = Math.min(pressing, task.lateStart);
      waitsFor.set(keyOf(task.step), [...(waitsFor.get(keyOf(task.step)) ?? []), key]);
    }
    items.push({
      key,
      title: decision.question,
      kind: 'decision',
      minutes: DECISION_MINUTES,
      personId: deciderOf(decision),
      shopOnly: true,
      spot: null,
      isKept: true,
      pressing,
      after: [],
      readyDay: 0,
    });
  }
  const tasks = new Map<string, GatheringTask>();
  const needs = new Map<string, readonly number[]>();
  for (const task of work?.tasks ?? []) {
    const key = keyOf(task.step);
    tasks.set(key, task);
    needs.set(key, task.supplies);
    let readyDay: number | null = 0;
    for (const supply of task.supplies) {
      const day = expectedDay.get(supply) ?? null;
      readyDay = readyDay === null || day === null ? null : Math.max(readyDay, day);
    }
    items.push({
      key,
      title: task.label,
      kind: task.kind,
      minutes: Math.max(
        AGENDA_GRID_MINUTES,
        Math.ceil((task.hours * 60) / AGENDA_GRID_MINUTES) * AGENDA_GRID_MINUTES,
      ),
      personId: task.personId,
      shopOnly: task.kind === 'inspect',
      spot: task.spot,
      isKept: task.isKept,
      pressing: task.lateStart,
      after: [
        ...task.after.map(({ step, lagDays, fromStart }) => ({ key: keyOf(step), lagDays, fromStart })),
        ...(waitsFor.get(key) ?? []).map((decision) => ({ key: decision, lagDays: 0, fromStart: false })),
      ],
      readyDay,
    });
  }
  return {
    days,
    beginsAt: hours.beginsAt,
    people,
    items,
    tasks,
    decisions: byKey,
    needs,
    expectedDay,
    noDays,
  };
}
