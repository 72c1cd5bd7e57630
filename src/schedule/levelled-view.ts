import { addDays, type Day, dayWords } from '../platform/day.ts';
import { barOf, type DateScale } from './drawing.ts';
import { count } from './durations.ts';
import { type Levelled, type LevelledStep, type PersonWeek, weeksOf } from './levelled.ts';
import type { LevelledPerson } from './levelled-build.ts';
import { stepPath } from './view.ts';

/** The weeks told day by day, this one first. */
const WEEKS = 8;
const BARS_A_PERSON = 24;
const WAITS_SHOWN = 20;

/** A step of the levelled plan as pages list it. */
export interface LevelledRow {
  href: string;
  label: string;
  jobNumber: number | null;
  starts: string;
  ends: string;
  span: string;
  hours: string;
  hoursBecause: string;
  /** why it begins later than it could, or takes longer; '' where it does not */
  waits: string;
}

export function levelledRow(levelled: Levelled, step: LevelledStep): LevelledRow {
  const { question } = levelled;
  const { nodes } = question.schedule.network;
  const { today } = question.schedule.facts;
  const { key, label, jobId } = nodes[step.at]!;
  const asked = question.hours[step.at];
  return {
    href: stepPath(key),
    label,
    jobNumber: jobId,
    starts: dayWords(step.firstOn, today),
    ends: dayWords(step.lastOn, today),
    span: spanWords(step.firstOn, step.lastOn, today),
    hours: asked ? hoursText(asked.hours) : '',
    hoursBecause: asked?.because ?? '',
    waits: [waitWords(levelled, step), longerWords(step)].filter(Boolean).join('; '),
  };
}

/** '3 h', '0.5 h': to a tenth. */
function hoursText(hours: number): string {
  return `${Math.round(hours * 10) / 10} h`;
}

function spanWords(from: Day, until: Day, today: Day): string {
  return from === until ? dayWords(from, today) : `${dayWords(from, today)} to ${dayWords(until, today)}`;
}

/** 'waits 9 days for Ottilie’s hours' */
function waitWords({ question }: Levelled, { at, wait, person, gathering }: LevelledStep): string {
  if (!wait) return '';
  const { model, spots, gatherings } = question;
  const waits = `waits ${count(wait.days, 'day')} for`;
  if (wait.for === 'spot') return `${waits} ${spots[model.spotOf[at]!]?.name} to be free`;
  if (wait.for === 'gathering') {
    const where = gathering === null ? 'a gathering' : gatherings[gathering]!.title;
    return person === null
      ? `${waits} a place at ${where}`
      : `${waits} ${person.name} or a place at ${where}`;
  }
  const isAnyones = model.firstOption[at + 1]! - model.firstOption[at]! > 1;
  return isAnyones || person === null
    ? `${waits} hours of the crew or the lead`
    : `${waits} ${person.name}’s hours`;
}

function longerWords({ moreDays, workingDays, person }: LevelledStep): string {
  if (moreDays <= 0 || person === null) return '';
  return `takes ${count(workingDays, 'working day')} rather than ${workingDays - moreDays}, at ${hoursText(person.weeklyHours)} a week`;
}

/** What waits or takes longer because somebody or something is not free: what has no float for it first. */
export function waitingRows(levelled: Levelled) {
  const lost = ({ wait, moreDays }: LevelledStep) => (wait?.days ?? 0) + moreDays;
  const waiting = levelled.steps
    .filter((step) => lost(step) > 0)
    .sort((a, b) => Number(b.isBeyondFloat) - Number(a.isBeyondFloat) || lost(b) - lost(a));
  return {
    rows: waiting
      .slice(0, WAITS_SHOWN)
      .map((step) => ({ ...levelledRow(levelled, step), isBeyondFloat: step.isBeyondFloat })),
    more: Math.max(0, waiting.length - WAITS_SHOWN),
  };
}

/** Each person with the coming weeks and the steps on dates; who has most to do first. */
export function personRows(levelled: Levelled, scale: DateScale) {
  const { question, steps } = levelled;
  const { today } = question.schedule.facts;
  return question.people
    .map((person) => ({ person, mine: steps.filter((step) => step.person === person) }))
    .filter(({ mine }) => mine.length > 0)
    .sort((a, b) => sumOf(b.mine) - sumOf(a.mine) || a.person.id - b.person.id)
    .map(({ person, mine }) => {
      const weeks = weeksOf(levelled, person, WEEKS).map((week) => weekRow(levelled, week, today));
      const until = addDays(weeks.at(-1)!.monday, 6);
      return {
        name: person.name,
        weekly: weeklyWords(person),
        total: hoursText(sumOf(mine)),
        steps: count(mine.length, 'step'),
        weeks: weeks.filter(({ work }) => work.length > 0),
        later: mine.filter(({ firstOn }) => firstOn > until).length,
        bars: mine.slice(0, BARS_A_PERSON).map((step) => ({
          ...levelledRow(levelled, step),
          bar: barOf(scale, {
            earlyStart: step.firstOn,
            earlyEnd: step.lastOn,
            lateEnd: step.lastOn,
            simulated:
              step.freeOn < step.firstOn ? { fromOn: step.freeOn, untilOn: addDays(step.firstOn, -1) } : null,
          }),
        })),
        moreBars: Math.max(0, mine.length - BARS_A_PERSON),
      };
    });
}

function sumOf(steps: readonly LevelledStep[]): number {
  return steps.reduce((sum, { hours }) => sum + hours, 0);
}

function weeklyWords({ weeklyHours, isKnown }: LevelledPerson): string {
  return isKnown
    ? `${hoursText(weeklyHours)} a week`
    : 'an hour on each working day, as no hours a week are given';
}

function weekRow(levelled: Levelled, { monday, used, there, atGatherings, work }: PersonWeek, today: Day) {
  return {
    monday,
    label: `Week of ${dayWords(monday < today ? today : monday, today)}`,
    used: hoursText(used),
    there: hoursText(there),
    atGatherings: atGatherings > 0 ? hoursText(atGatherings) : '',
    work: work.map(({ step, hours, from, until }) => ({
      ...levelledRow(levelled, step),
      part: hours < step.hours - 0.01 ? `${hoursText(hours)} of ${hoursText(step.hours)}` : hoursText(hours),
      on: spanWords(from, until, today),
      goesOn: until < step.lastOn,
    })),
  };
}

/** What is done on which day of each gathering, and how many of its places that takes. */
export function gatheringRows(levelled: Levelled) {
  const { question, steps } = levelled;
  const { model, gatherings, schedule } = question;
  const { calendar } = schedule.network;
  const { today } = schedule.facts;
  return gatherings.flatMap((gathering, number) => {
    const days = new Map<Day, LevelledStep[]>();
    for (const step of steps) {
      const window = model.windows[model.windowOf[step.at]!];
      for (const day of step.workedOn) {
        if (window?.[calendar.momentOf(day)] !== number) continue;
        days.set(day, [...(days.get(day) ?? []), step]);
      }
    }
    if (days.size === 0) return [];
    const rows = [...days]
      .sort(([one], [other]) => (one < other ? -1 : 1))
      .map(([day, there]) => {
        const named = new Set(there.flatMap(({ person }) => person?.id ?? []));
        const taken = named.size + there.filter(({ person }) => person === null).length;
        return {
          day: dayWords(day, today),
          places: `${taken} of ${count(gathering.places, 'place')}`,
          work: there.map((step) => ({
            ...levelledRow(levelled, step),
            who: step.person?.name ?? 'whoever is there',
          })),
        };
      });
    return [
      { title: gathering.title, when: spanWords(gathering.fromOn, gathering.untilOn, today), days: rows },
    ];
  });
}

/** The order in each spot that more than one job is to be in. */
export function spotRows(levelled: Levelled) {
  const { question, steps } = levelled;
  const { model, spots } = question;
  const all = spots.map((spot, number) => ({
    ...spot,
    work: steps.filter(({ at }) => model.spotOf[at] === number),
  }));
  const shared = all.filter(({ work }) => work.length > 1);
  return {
    spots: shared.map(({ name, work }) => ({
      name,
      work: work.map((step) => ({
        ...levelledRow(levelled, step),
        who: step.person?.name ?? 'whoever is there',
      })),
    })),
    alone: all.filter(({ work }) => work.length === 1).length,
  };
}

/** Those whose hours a week nobody wrote down, though the plan needs them. */
export function unknownHours({ question, steps }: Levelled): string[] {
  return question.people
    .filter((person) => !person.isKnown && steps.some((step) => step.person === person))
    .map(
      ({ name, weeklyHours }) =>
        `${name} has no hours a week written down: an hour on each working day is counted, ${hoursText(weeklyHours)} a week, as where durations are worked out.`,
    );
}
