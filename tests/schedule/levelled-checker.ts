import type { JobFacts } from '../../src/jobs/index.ts';
import { addDays, daysBetween, weekday } from '../../src/platform/day.ts';
import type { GatheringFacts } from '../../src/schedule/build-facts.ts';
import type { Levelled } from '../../src/schedule/levelled.ts';
import type { Schedule } from '../../src/schedule/schedule.ts';

// A plain second way to what a levelled plan must keep to, day by day, from the definition of the task; of the program
// it uses the network before dates and the calendar of days alone.

const HAIR = 1e-3;

/** All that is wrong with a levelled plan, in words; nothing if it keeps every rule. */
export function levelledFaults({ question, outcome, finishOn, lost }: Levelled): string[] {
  const { schedule, model, people } = question;
  const { facts, network, dates } = schedule;
  const { nodes, links } = network;
  const { starts, ends, options } = outcome;
  const faults: string[] = [];
  const fault = (at: number, what: string) => faults.push(`${nodes[at]!.key} ${what}`);
  const rules = plainRules(schedule);
  const { dayAt, works } = rules;

  // every link, with its lag in working days of the build
  for (const { from, to, type, lag } of links) {
    const moment = plainLag(works, type[0] === 'S' ? starts[from]! : ends[from]!, lag);
    const reached = type[1] === 'S' ? starts[to]! : ends[to]!;
    if (reached < moment) fault(to, `breaks its ${type} link from ${nodes[from]!.key}`);
  }

  const dayUse = new Map<string, number[]>();
  const weekUse = new Map<string, number>();
  const inSpot = new Map<string, { at: number; from: number; until: number }[]>();
  const atGathering = new Map<string, { person: number | null; hours: number }[]>();
  const push = <T>(map: Map<string, T[]>, key: string, value: T) =>
    map.set(key, [...(map.get(key) ?? []), value]);

  nodes.forEach((step, at) => {
    const start = starts[at]!;
    const end = ends[at]!;
    const { duration, job, notBefore } = step;
    if (start < 0 || start < notBefore) fault(at, `begins on ${start}, not before ${notBefore}`);
    if (end < start) fault(at, 'ends before it begins');
    if (end > outcome.finish) fault(at, 'ends after the finish');
    if (start < dates.earlyStarts[at]! || end < dates.earlyEnds[at]!)
      fault(at, 'is sooner than without limits');
    if (!duration.working || duration.days === 0) {
      if (end !== start + duration.days) fault(at, `takes ${end - start} days, not ${duration.days}`);
      return;
    }
    const asked = question.hours[at];
    const allowed = rules.mayDo(at);
    const option = options[at]!;
    const who = option < 0 ? null : people[model.optionPeople[option]!]!.id;
    const windows = rules.windowsOf(at);
    if (allowed !== null && windows === null && (who === null || !allowed.includes(who))) {
      fault(at, `is done by ${who}, not one of ${allowed}`);
    }
    const isTheirDay = (moment: number) =>
      windows
        ? windows.some((one) => within(dayAt(moment), one)) || rules.isAfterAll(windows, moment)
        : who !== null
          ? rules.isThere(who, moment)
          : works(moment);
    const days: number[] = [];
    for (let moment = start; moment < end; moment++) {
      if (windows && rules.isAfterAll(windows, moment) && !works(moment)) continue;
      if (isTheirDay(moment)) days.push(moment);
    }
    const longer = who !== null && windows === null && rules.needsMore(who, asked!.hours, duration.days);
    const length = longer ? rules.daysNeeded(who, asked!.hours) : duration.days;
    if (allowed !== null || windows !== null) {
      if (days.length !== length) fault(at, `is worked on for ${days.length} days, not ${length}`);
      if (days.at(-1) !== end - 1) fault(at, 'does not end with a day of work');
    }
    const spot = rules.spotOf(at);
    if (spot !== null) push(inSpot, spot, { at, from: days[0] ?? start, until: end });
    for (const moment of days) {
      const hours = (asked?.hours ?? 0) / length;
      const gathering = windows?.find((one) => within(dayAt(moment), one));
      if (gathering) {
        push(atGathering, `${facts.gatherings.size} ${gathering.title} ${moment}`, {
          person: job?.personId ?? null,
          hours,
        });
      } else if (who !== null) {
        const rate = windows ? Math.min(hours, rules.dayHours(who)) : hours;
        push(dayUse, `${who} ${moment}`, rate);
        const week = `${who} ${mondayOf(dayAt(moment))}`;
        weekUse.set(week, (weekUse.get(week) ?? 0) + rate);
        if (!rules.isThere(who, moment))
          fault(at, `is done by ${who} on ${dayAt(moment)}, when they are not there`);
      }
    }
  });

  for (const [key, hours] of dayUse) {
    const sum = hours.reduce((all, one) => all + one, 0);
    const most = rules.dayHours(Number(key.split(' ')[0]));
    if (hours.length > 1 && sum > most + HAIR)
      faults.push(`day ${key}: ${sum} h of ${most} in ${hours.length} steps`);
  }
  for (const [key, hours] of weekUse) {
    const [who, monday] = key.split(' ') as [string, string];
    let most = 0;
    for (let d = 0; d < 7; d++) {
      const moment = daysBetween(facts.today, addDays(monday, d));
      if (moment >= 0 && rules.isThere(Number(who), moment)) most += rules.dayHours(Number(who));
    }
    if (hours > most + HAIR) faults.push(`week ${key}: ${hours} h of ${most}`);
  }
  for (const [spot, uses] of inSpot) {
    for (const one of uses) {
      for (const other of uses) {
        if (one.at < other.at && one.from < other.until && other.from < one.until) {
          faults.push(`${spot}: ${nodes[one.at]!.key} and ${nodes[other.at]!.key} at once`);
        }
      }
    }
  }
  for (const [key, there] of atGathering) {
    const title = key.slice(key.indexOf(' ') + 1, key.lastIndexOf(' '));
    const { places, dayHours, comers } = [...facts.gatherings.values()].find((one) => one.title === title)!;
    const day = dayAt(Number(key.slice(key.lastIndexOf(' ') + 1)));
    const named = new Map<number, number[]>();
    for (const { person, hours } of there) {
      if (person !== null) named.set(person, [...(named.get(person) ?? []), hours]);
    }
    const taken = named.size + there.filter(({ person }) => person === null).length;
    if (taken > places) faults.push(`${key}: ${taken} places of ${places}`);
    for (const [person, hours] of named) {
      const sum = hours.reduce((all, one) => all + one, 0);
      const said = comers.get(person);
      const most = Math.min(dayHours, said?.hours ?? dayHours);
      if (hours.length > 1 && sum > most + HAIR) faults.push(`${key}: ${sum} h of person ${person}`);
      if (said && (day < (said.fromOn ?? day) || day > (said.untilOn ?? day))) {
        faults.push(`${key}: person ${person} is not there`);
      }
    }
  }
  const finish = nodes.reduce((last, _, at) => Math.max(last, ends[at]!), 0);
  if (finish !== outcome.finish) faults.push(`the finish is said to be ${outcome.finish} and is ${finish}`);
  if (lost.all !== finish - dates.finish || lost.all < 0) faults.push(`${lost.all} days lost`);
  for (const one of [lost.hours, lost.spots, lost.gatherings]) {
    if (one < 0 || one > lost.all) faults.push(`${one} days lost to one limit, ${lost.all} to all`);
  }
  if ((finishOn === null) !== (nodes.length === 0)) faults.push(`the finish is on ${finishOn}`);
  return faults;
}

const within = (day: string, { fromOn, untilOn }: { fromOn: string; untilOn: string }) =>
  fromOn <= day && day <= untilOn;
const mondayOf = (day: string) => addDays(day, 1 - weekday(day));

/** The moment `lag` working days after a moment, or before it. */
function plainLag(works: (moment: number) => boolean, moment: number, lag: number): number {
  let at = moment;
  for (let left = lag; left > 0; at++) if (works(at)) left--;
  for (let left = -lag; left > 0; ) if (works(--at)) left--;
  return at;
}

/** Who may do what, when and where, from the facts alone. */
function plainRules({ facts, network }: Schedule) {
  const { today, weekdays, closures, people, leadWeeklyHours } = facts;
  const dayAt = (moment: number) => addDays(today, moment);
  const works = (moment: number) =>
    weekdays.includes(weekday(dayAt(moment))) && !closures.some((one) => within(dayAt(moment), one));
  const ahead = [...facts.gatherings.values()]
    .filter(({ untilOn }) => untilOn >= today)
    .sort((one, other) => one.fromOn.localeCompare(other.fromOn));
  const waiting = (job: JobFacts) =>
    job.gatheringId !== null && !job.startedAt ? facts.gatherings.get(job.gatheringId) : undefined;
  const isFirst = (word: string) => word === '' || word === 'fit-up' || word === 'order';
  const leads = [...people].filter(([, { role, active }]) => role === 'lead' && active).map(([id]) => id);
  const crew = [...people]
    .filter(([, { role, active, weeklyHours }]) => role === 'crew' && active && weeklyHours > 0)
    .map(([id]) => id);
  const weeklyHours = (id: number) => {
    const person = people.get(id);
    return (person && person.role !== 'lead' ? person.weeklyHours : leadWeeklyHours) || weekdays.length;
  };
  const dayHours = (id: number) => weeklyHours(id) / weekdays.length;
  return {
    dayAt,
    works,
    dayHours,
    isThere(id: number, moment: number) {
      const day = dayAt(moment);
      const meets = network.nodes.some(({ job, word }) => {
        const gathering = job && job.personId === id && isFirst(word) ? waiting(job) : undefined;
        return gathering !== undefined && gathering.untilOn >= today && within(day, gathering);
      });
      return works(moment) && !meets && !(facts.away.get(id) ?? []).some((range) => within(day, range));
    },
    /** null: nobody's hours are asked */
    mayDo(at: number): number[] | null {
      const { kind, job } = network.nodes[at]!;
      const shop = ['design', 'release', 'order', 'inspect'].includes(kind);
      if (!shop && !['fit-up', 'trial', 'other'].includes(kind)) return null;
      if (job && job.kind !== 'fabricate' && job.personId !== null) return [job.personId];
      const lead = leads.length > 0 ? leads : [0];
      return shop ? lead : [...crew, ...lead];
    },
    needsMore(id: number, hours: number, days: number) {
      return days < weekdays.length ? hours > weeklyHours(id) + HAIR : hours / days > dayHours(id) + HAIR;
    },
    daysNeeded: (id: number, hours: number) => Math.ceil(hours / dayHours(id) - 1e-9),
    /** where a job stands, while it is worked on */
    spotOf(at: number): string | null {
      const { kind, job, part } = network.nodes[at]!;
      if (!['fit-up', 'trial', 'other'].includes(kind)) return null;
      if (job?.spot) return job.spot.trim().toLowerCase();
      return part ? `part ${part.id}` : null;
    },
    /** the gatherings at which a step can be done; null where it waits for none */
    windowsOf(at: number): GatheringFacts[] | null {
      const { job, word } = network.nodes[at]!;
      const own = job ? waiting(job) : undefined;
      if (!own || !isFirst(word)) return null;
      const later = ahead.filter((one) => one !== own && one.fromOn >= own.fromOn);
      const open = [...ahead.filter((one) => one === own), ...later];
      return open.length > 0 ? open : null;
    },
    isAfterAll: (windows: GatheringFacts[], moment: number) =>
      windows.every(({ untilOn }) => dayAt(moment) > untilOn),
  };
}
