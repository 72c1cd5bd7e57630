import type { JobFacts } from '../jobs/index.ts';
import { weekday } from '../platform/day.ts';
import type { BuildFacts, DayRange, GatheringFacts } from './build-facts.ts';
import { calendarsOf } from './calendars.ts';
import { daysOfHours, estimateOf, isLength } from './durations-estimate.ts';
import { type DaysThere, daysThere } from './gathering-there.ts';
import { ATTENTION_HOURS, hoursOf, type LeadAct } from './lead-steps.ts';
import type { LevelledEffort, LevelledModel } from './levelled-model.ts';
import { type Schedule, timesOf } from './schedule.ts';
import type { Step } from './steps.ts';

/** Somebody whose hours the plan keeps to. */
export interface LevelledPerson {
  /** 0: the lead, where nobody has that role */
  id: number;
  name: string;
  /** hours in a week, and whether they are known; where not, an hour on each working day is counted, as durations do */
  weeklyHours: number;
  isKnown: boolean;
}

/** A place at the machine that one job at a time is in. */
export interface LevelledSpot {
  name: string;
  /** whether it was named; otherwise it is the part itself */
  isNamed: boolean;
}

/** What a step takes of somebody. */
export interface StepHours {
  hours: number;
  because: string;
}

/** A build to be levelled, and what its numbers stand for. */
export interface LevelledQuestion {
  schedule: Schedule;
  model: LevelledModel;
  people: LevelledPerson[];
  spots: LevelledSpot[];
  /** in the order of their first days, those that are over left out */
  gatherings: GatheringFacts[];
  /** by step; null where nobody's hours are asked */
  hours: (StepHours | null)[];
}

/**
 * What is limited in a build, from its schedule.
 *
 * Hours. Drawing, releasing, ordering and inspecting take the person named at the job, else the lead; fit-ups, trials and
 * other work the person named, else whoever of the crew, and last the lead, can end it soonest. Making, the post and
 * deliveries take nobody's. The hours are those of the job, of the part for drawings, else the usual ones; of work under
 * way, the share that is left. They are spread evenly over the step's working days, on which its person is there.
 *
 * A person has their weekly hours in every week from Monday to Sunday, in proportion where they are away, the build is
 * closed or the week has begun. On a day they do what fits into an even share of that, or one step alone that takes more:
 * a volunteer gives a whole Saturday, but not two at once. So steps of half an hour share a day, and a drawing of a week's
 * hours fills a week. A step that asks more than its person has in any week takes as many more days as they need.
 *
 * Work under way that waits for nothing goes on first: nobody sets it aside for something new.
 *
 * Spots. A fit-up, trial or other job has its spot, else its part, to itself from its first day to its last.
 *
 * Gatherings. Each job there takes the place of its person, or one of its own, on each of its days; a person has the
 * gathering's hours a day there on its days, or those they said when they said that they come, and nothing else on the
 * days of a gathering at which a job of theirs waits.
 *
 * @param effort  how long to search
 */
export function levelledQuestion(schedule: Schedule, effort: LevelledEffort): LevelledQuestion {
  const { facts, network, graph, dates } = schedule;
  const { nodes, calendar } = network;
  const count = nodes.length;
  const gatherings = [...facts.gatherings.values()]
    .filter(({ untilOn }) => untilOn >= facts.today)
    .sort((one, other) => (one.fromOn < other.fromOn ? -1 : 1));
  const calendars = calendarsOf({ ...facts, away: awayOf(schedule) });
  const people = new Numbering<LevelledPerson>();
  const spots = new Numbering<LevelledSpot>();
  const windows = new Numbering<Int16Array>();
  const windowOf = new Int16Array(count).fill(-1);
  const spotOf = new Int16Array(count).fill(-1);
  const isNamed = new Uint8Array(count);
  const isBegun = Uint8Array.from(nodes, (step) => (isUnderWay(step) ? 1 : 0));
  const firstOption = new Int32Array(count + 1);
  const optionPeople: number[] = [];
  const optionDays: number[] = [];
  const optionHours: number[] = [];
  const hours = nodes.map((step) => stepHours(schedule, step));
  const team = teamOf(facts);
  const { perWeek } = calendar;

  nodes.forEach((step, at) => {
    const { job, part, duration } = step;
    const asked = hours[at];
    if (asked && duration.days > 0) {
      const named = namedPerson(step, facts);
      isNamed[at] = named === null ? 0 : 1;
      const who = named !== null ? [named] : isLeads(step) ? team.leads : [...team.crew, ...team.leads];
      for (const id of who) {
        const place = people.of(String(id), () => personOf(facts, id, perWeek));
        const { weeklyHours } = people.all[place]!;
        const days = daysFor(asked.hours, duration.days, weeklyHours, perWeek);
        optionPeople.push(place);
        optionDays.push(days);
        optionHours.push(asked.hours / days);
      }
      if (isAtMachine(step)) {
        const name = job?.spot.trim() ?? '';
        if (name !== '') spotOf[at] = spots.of(`spot ${name.toLowerCase()}`, () => ({ name, isNamed: true }));
        else if (part) {
          spotOf[at] = spots.of(`part ${part.id}`, () => ({
            name: `${part.number} ${part.name}`,
            isNamed: false,
          }));
        }
      }
      const gathering = gatheringOf(schedule, step);
      if (gathering) {
        windowOf[at] = windows.of(String(job?.gatheringId), () => windowFor(schedule, gathering, gatherings));
      }
    }
    firstOption[at + 1] = optionPeople.length;
  });

  const peoplesCalendars = people.all.map(({ id }) => calendars.ofPerson(id === 0 ? null : id));
  const own = network.calendars.length;
  const times = timesOf(nodes);
  return {
    schedule,
    people: people.all,
    spots: spots.all,
    gatherings,
    hours,
    model: {
      graph,
      earlyStarts: dates.earlyStarts,
      earlyEnds: dates.earlyEnds,
      lateStarts: dates.lateStarts,
      days: times.durations,
      calendarOf: times.calendars,
      calendars: [...network.calendars, ...calendars.all].map(({ table }) => table),
      sinceMonday: weekday(facts.today) - 1,
      firstOption,
      optionPeople: Int16Array.from(optionPeople),
      optionDays: Int32Array.from(optionDays),
      optionHours: Float64Array.from(optionHours),
      people: {
        dayHours: Float64Array.from(people.all, ({ weeklyHours }) => weeklyHours / perWeek),
        calendars: Int16Array.from(peoplesCalendars, (place) => own + place),
      },
      spotOf,
      spotCount: spots.all.length,
      windowOf,
      windows: windows.all,
      places: Int32Array.from(gatherings, ({ places }) => Math.max(1, places)),
      ...thereOf(schedule, gatherings, people.all),
      isNamed,
      isBegun,
      effort,
    },
  };
}

/** Things numbered in the order in which they are first met. */
class Numbering<T> {
  readonly all: T[] = [];
  readonly #places = new Map<string, number>();

  of(key: string, make: () => T): number {
    let place = this.#places.get(key);
    if (place === undefined) {
      place = this.all.push(make()) - 1;
      this.#places.set(key, place);
    }
    return place;
  }
}

const ACTS: Readonly<Partial<Record<Step['kind'], LeadAct>>> = {
  design: 'draw',
  release: 'release',
  order: 'order',
  inspect: 'inspect',
  'fit-up': 'fit',
  trial: 'try',
  other: 'do',
};

/** The hours of a step that people do; of work under way, the share of its days that is left. */
function stepHours(schedule: Schedule, step: Step): StepHours | null {
  const act = ACTS[step.kind];
  if (act === undefined || !step.duration.working) return null;
  const { facts, network } = schedule;
  const { job, part } = step;
  const { hours: said, hoursBecause } = hoursOf(schedule, act, step.partId, job);
  const known = isLength(said);
  const hours = known ? said : ATTENTION_HOURS[act];
  const because = known ? hoursBecause : `no length is said: usually ${hours} h`;
  if (!job || !isUnderWay(step)) return { hours, because };
  const { days } = estimateOf(facts, network.calendar.perWeek, part, job);
  const left = Math.min(1, step.duration.days / Math.max(1, days));
  return left === 1
    ? { hours, because }
    : { hours: hours * left, because: `${because}; begun, ${Math.round(left * 100)} in 100 left` };
}

/** Whether somebody has begun it: work that is one step with its job. */
function isUnderWay({ job, word }: Step): boolean {
  return job !== null && job.startedAt !== null && (word === '' || word === 'fit-up');
}

/** The person at a job; one who makes a share of it is none. */
function namedPerson({ job }: Step, { people }: BuildFacts): number | null {
  const id = job && job.kind !== 'fabricate' ? job.personId : null;
  return id !== null && people.has(id) ? id : null;
}

function isLeads({ kind }: Step): boolean {
  return kind === 'design' || kind === 'release' || kind === 'order' || kind === 'inspect';
}

function isAtMachine({ kind }: Step): boolean {
  return kind === 'fit-up' || kind === 'trial' || kind === 'other';
}

/** Those who can take what nobody is named for: crew with hours, and the lead. */
function teamOf({ people }: BuildFacts): { leads: number[]; crew: number[] } {
  const active = [...people].filter(([, person]) => person.active).sort(([one], [other]) => one - other);
  const leads = active.filter(([, { role }]) => role === 'lead').map(([id]) => id);
  const crew = active.filter(([, { role, weeklyHours }]) => role === 'crew' && weeklyHours > 0);
  return { leads: leads.length > 0 ? leads : [0], crew: crew.map(([id]) => id) };
}

function personOf({ people, leadWeeklyHours }: BuildFacts, id: number, perWeek: number): LevelledPerson {
  const person = people.get(id);
  const said = person && person.role !== 'lead' ? person.weeklyHours : leadWeeklyHours;
  const isKnown = said > 0;
  return { id, name: person?.name ?? 'the lead', weeklyHours: isKnown ? said : perWeek, isKnown };
}

/** The days a step takes somebody: its own, or as many as they need where no week of theirs has the hours. */
function daysFor(hours: number, days: number, weeklyHours: number, perWeek: number): number {
  const most = days < perWeek ? weeklyHours : (weeklyHours / perWeek) * days;
  return hours <= most + 1e-9 ? days : Math.max(days, daysOfHours(hours, weeklyHours, perWeek));
}

/** The gathering a step waits for. The network gives a calendar without a note to nothing else. */
function gatheringOf({ facts }: Schedule, step: Step): GatheringFacts | null {
  if (step.calendar === 0 || step.calendarNote !== '' || step.job === null) return null;
  return facts.gatherings.get(step.job.gatheringId ?? -1) ?? null;
}

/** Days away, and for whoever has a job at a gathering its days as well. */
function awayOf(schedule: Schedule): Map<number, DayRange[]> {
  const { facts, network } = schedule;
  const away = new Map([...facts.away].map(([id, ranges]) => [id, [...ranges]]));
  const met = new Set<string>();
  for (const step of network.nodes) {
    const gathering = gatheringOf(schedule, step);
    const person = namedPerson(step, facts);
    if (!gathering || person === null || gathering.untilOn < facts.today) continue;
    const key = `${person} ${(step.job as JobFacts).gatheringId}`;
    if (met.has(key)) continue;
    met.add(key);
    away.set(person, [...(away.get(person) ?? []), gathering]);
  }
  return away;
}

/** When people are at gatherings, and for how long of a day: by gathering and, within it, by person. */
function thereOf(
  { network: { calendar } }: Schedule,
  gatherings: readonly GatheringFacts[],
  people: readonly LevelledPerson[],
): Pick<LevelledModel, 'thereHours' | 'thereFrom' | 'thereUntil'> {
  const whole: DaysThere = { fromOn: null, untilOn: null, hours: null };
  const there = gatherings.flatMap((gathering) =>
    people.map(({ id }) => daysThere(gathering, gathering.comers.get(id) ?? whole)),
  );
  // Who is there on none of its days as they are now has a first day after the last.
  return {
    thereHours: Float64Array.from(there, (own) => own?.hours ?? 0),
    thereFrom: Int32Array.from(there, (own) => (own ? calendar.momentOf(own.fromOn) : 1)),
    thereUntil: Int32Array.from(there, (own) => (own ? calendar.momentOf(own.untilOn) : 0)),
  };
}

/** Which gathering each day is, for work at one: its own first, and those that begin no sooner. */
function windowFor(
  { network: { calendar } }: Schedule,
  own: GatheringFacts,
  gatherings: readonly GatheringFacts[],
): Int16Array {
  const open = gatherings.filter((one) => one === own || one.fromOn >= own.fromOn);
  const last = Math.max(...open.map(({ untilOn }) => calendar.momentOf(untilOn)));
  const window = new Int16Array(last + 1).fill(-1);
  const mark = (one: GatheringFacts) => {
    const from = Math.max(0, calendar.momentOf(one.fromOn));
    window.fill(gatherings.indexOf(one), from, calendar.momentOf(one.untilOn) + 1);
  };
  for (const one of [...open].reverse()) mark(one);
  if (open.includes(own)) mark(own);
  return window;
}
