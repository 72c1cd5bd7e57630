import type { Day } from '../platform/day.ts';
import { finishIfMissed, type GatheringSupply, type GatheringWork } from '../schedule/index.ts';
import { type Agenda, agendaOf } from './agenda.ts';
import { allNeeds, type LateCase, lateCase } from './agenda-late.ts';
import { SURE, withDoubtLater } from './agenda-later.ts';
import type { AskedAgenda } from './agenda-question.ts';

// An agenda with its chances and what late supplies do to it, in numbers. Pure.

const MOST_CASES = 8;
const MOST_SUPPLIES = 40;

export interface PlannedSupply {
  supply: GatheringSupply;
  /** chance that it is there on the morning of the first day */
  byFirst: number;
  /** and on that of the last day */
  byLast: number;
  /** whether something on the agenda counts on it */
  isCounted: boolean;
  /** its maker comes, and could bring it: chance that it is made by the day they come; null where that is not so */
  broughtBy: { personId: number; day: number; chance: number } | null;
  /** keys of the items that need it */
  items: string[];
}

export interface PlannedCase extends LateCase {
  of: GatheringSupply;
  /** calendar days by which the finish of the plan moves */
  finishDays: number;
  finishOn: Day | null;
  /** whether something that was kept for the gathering falls out */
  isKept: boolean;
}

export interface AgendaPlan {
  agenda: Agenda;
  /** by item on it: the chance that all it and what goes before it need is there; only where something is needed */
  chances: ReadonlyMap<string, number>;
  /** what the agenda counts on, the least likely first; then what kept work waits for that comes too late */
  supplies: PlannedSupply[];
  moreSupplies: number;
  late: PlannedCase[];
  moreLate: number;
}

/** Works an agenda out with all that is told of it. */
export function agendaPlan(work: GatheringWork | null, asked: AskedAgenda): AgendaPlan {
  const soonest = agendaOf(asked);
  if (!work)
    return { agenda: soonest, chances: new Map(), supplies: [], moreSupplies: 0, late: [], moreLate: 0 };
  const needs = allNeeds(asked.items, asked.needs);
  const items = new Map(asked.items.map((item) => [item.key, item]));
  const { from, chances: steps } = work;
  const comes = (supply: number) => work.supplies.get(supply)!.kind !== 'here';
  const agenda = withDoubtLater(asked, soonest, (key, day) =>
    steps.together((asked.needs.get(key) ?? []).filter(comes).map((step) => ({ step, by: from + day }))),
  );

  // By supply that the agenda counts on: the first day on which something needs it.
  const neededBy = new Map<number, number>();
  for (const { key, pieces } of agenda.placed) {
    for (const supply of asked.needs.get(key) ?? []) {
      neededBy.set(supply, Math.min(pieces[0]!.day, neededBy.get(supply) ?? Number.MAX_SAFE_INTEGER));
    }
  }
  const chances = new Map<string, number>();
  for (const { key } of agenda.placed) {
    const wanted = [...(needs.get(key) ?? [])].filter(comes);
    if (wanted.length === 0) continue;
    chances.set(key, steps.together(wanted.map((step) => ({ step, by: from + neededBy.get(step)! }))));
  }

  const counted = [...neededBy]
    .filter(([supply]) => comes(supply))
    .map(([supply, day]) => ({ supply: work.supplies.get(supply)!, chance: steps.by(supply, from + day) }))
    .sort((a, b) => a.chance - b.chance || a.supply.step - b.supply.step);
  const keptLate = new Set(
    agenda.leftOver.flatMap(({ key }) => (items.get(key)!.isKept ? (asked.needs.get(key) ?? []) : [])),
  );
  const tooLate = [...keptLate]
    .filter((supply) => !neededBy.has(supply) && comes(supply))
    .map((supply) => work.supplies.get(supply)!)
    .sort((a, b) => b.expected - a.expected || a.step - b.step);
  const all = [...counted.map(({ supply }) => supply), ...tooLate];
  const users = new Map<number, string[]>();
  for (const [key, supplies] of asked.needs) {
    for (const supply of supplies) users.set(supply, [...(users.get(supply) ?? []), key]);
  }
  const supplies = all.slice(0, MOST_SUPPLIES).map(
    (supply): PlannedSupply => ({
      supply,
      byFirst: steps.by(supply.step, from),
      byLast: steps.by(supply.step, work.until - 1),
      isCounted: neededBy.has(supply.step),
      broughtBy: broughtBy(supply),
      items: users.get(supply.step) ?? [],
    }),
  );

  /** Who comes and has it in hand needs no post. */
  function broughtBy({ makerId, making, kind }: GatheringSupply): PlannedSupply['broughtBy'] {
    const maker = asked.people.find(({ id }) => id === makerId);
    if (!maker || kind !== 'with a maker') return null;
    const chance = making === -1 ? 1 : steps.by(making, from + maker.firstDay);
    return { personId: maker.id, day: maker.firstDay, chance };
  }

  const doubtful = counted.filter(({ chance }) => chance < SURE);
  const late = doubtful.slice(0, MOST_CASES).map(({ supply, chance }): PlannedCase => {
    const found = lateCase(asked, agenda, needs, { supply: supply.step, chance });
    const { days, finishOn } = finishIfMissed(work, supply.step);
    const isKept = found.falls.some((key) => asked.tasks.get(key)?.isKept);
    return { ...found, of: supply, finishDays: days, finishOn, isKept };
  });
  return {
    agenda,
    chances,
    supplies,
    moreSupplies: Math.max(0, all.length - MOST_SUPPLIES),
    late,
    moreLate: Math.max(0, doubtful.length - MOST_CASES),
  };
}
