import { addDays, type Day } from '../platform/day.ts';
import { tableCalendar } from './calendar.ts';
import type { LevelledPerson, LevelledQuestion } from './levelled-build.ts';
import { type LevelledOutcome, WAITS } from './levelled-model.ts';

/** Why a step waits, and for how many calendar days. */
export interface LevelledWait {
  days: number;
  for: 'hours' | 'spot' | 'gathering';
}

/** A step of the levelled plan that somebody does, that has a spot or that is at a gathering. */
export interface LevelledStep {
  /** its number in the network */
  at: number;
  /** null where nobody's hours are asked: anyone there, at a gathering */
  person: LevelledPerson | null;
  firstOn: Day;
  lastOn: Day;
  /** the day it could begin in the plan without limits */
  freeOn: Day;
  workingDays: number;
  /** more than in the plan without limits, because of the hours of its person */
  moreDays: number;
  hours: number;
  /** the days on which it is worked on */
  workedOn: Day[];
  /** the gathering it is at on its first day, as a place among those of the question; null at home */
  gathering: number | null;
  wait: LevelledWait | null;
  /** whether it ends after the latest day that would keep the finish of the plan without limits */
  isBeyondFloat: boolean;
}

/** The levelled plan of a build. Days are those of the work, as the schedule tells its own. */
export interface Levelled {
  question: LevelledQuestion;
  outcome: LevelledOutcome;
  /** null when nothing is left to do */
  finishOn: Day | null;
  /** calendar days by which it ends after the plan without limits: with all limits, and with one of them */
  lost: { all: number; hours: number; spots: number; gatherings: number };
  /** in the order of their first days */
  steps: LevelledStep[];
}

const REASONS = { [WAITS.hours]: 'hours', [WAITS.spot]: 'spot', [WAITS.gathering]: 'gathering' } as const;

/** What the search found, on days and for people. */
export function levelledOf(question: LevelledQuestion, outcome: LevelledOutcome): Levelled {
  const { schedule, model, people } = question;
  const { finishOn, dates, network } = schedule;
  const { calendar, nodes } = network;
  const calendars = model.calendars.map(tableCalendar);
  const { finish } = dates;
  // As with the finish of the plan without limits: the day of the last work, or the moment itself.
  let last = -1;
  nodes.forEach(({ kind, duration }, at) => {
    if (kind === 'mark' || outcome.ends[at] !== outcome.finish) return;
    last = Math.max(last, duration.working && duration.days > 0 ? outcome.finish - 1 : outcome.finish);
  });
  if (last === -1) last = outcome.finish;

  const steps = nodes.flatMap((step, at): LevelledStep[] => {
    const length = model.days[at]!;
    const window = model.windows[model.windowOf[at]!];
    const isLimited =
      model.firstOption[at + 1]! > model.firstOption[at]! || model.spotOf[at]! >= 0 || window !== undefined;
    if (!isLimited || length === 0) return [];
    const option = outcome.options[at]!;
    const who = option < 0 ? null : people[model.optionPeople[option]!]!;
    const own =
      option < 0 || window
        ? calendars[model.calendarOf[at]!]!
        : calendars[model.people.calendars[model.optionPeople[option]!]!]!;
    const days = option < 0 || window ? length : model.optionDays[option]!;
    const first = own.workingBefore(outcome.starts[at]!);
    const moments = Array.from({ length: days }, (_, k) => own.workingDay(first + k));
    const gathering = window?.[moments[0]!] ?? -1;
    const isAnyone = window !== undefined && model.isNamed[at] === 0;
    const free = calendars[model.calendarOf[at]!]!;
    const reason = REASONS[outcome.reasons[at] as keyof typeof REASONS];
    return [
      {
        at,
        person: isAnyone && moments.every((moment) => (window[moment] ?? -1) >= 0) ? null : who,
        firstOn: calendar.dayAt(moments[0]!),
        lastOn: calendar.dayAt(moments.at(-1)!),
        freeOn: calendar.dayAt(free.workingDay(free.workingBefore(dates.earlyStarts[at]!))),
        workingDays: days,
        moreDays: days - step.duration.days,
        hours: question.hours[at]?.hours ?? 0,
        workedOn: moments.map((moment) => calendar.dayAt(moment)),
        gathering: gathering >= 0 ? gathering : null,
        wait: outcome.waits[at]! > 0 && reason ? { days: outcome.waits[at]!, for: reason } : null,
        isBeyondFloat: outcome.ends[at]! > dates.lateEnds[at]!,
      },
    ];
  });
  steps.sort((a, b) => (a.firstOn === b.firstOn ? a.at - b.at : a.firstOn < b.firstOn ? -1 : 1));
  return {
    question,
    outcome,
    finishOn: finishOn === null ? null : calendar.dayAt(last),
    lost: {
      all: outcome.finish - finish,
      hours: outcome.finishByHours - finish,
      spots: outcome.finishBySpots - finish,
      gatherings: outcome.finishByGatherings - finish,
    },
    steps,
  };
}

/** What somebody does in one week. */
export interface PersonWeek {
  monday: Day;
  /** hours planned at home, and hours there are: in proportion to the working days that are theirs */
  used: number;
  there: number;
  /** hours on days of gatherings, apart from those */
  atGatherings: number;
  work: { step: LevelledStep; hours: number; from: Day; until: Day }[];
}

/** The weeks of a person, from this one on. */
export function weeksOf(levelled: Levelled, person: LevelledPerson, weeks: number): PersonWeek[] {
  const { question, steps } = levelled;
  const { model, people, schedule } = question;
  const { calendar } = schedule.network;
  const place = people.indexOf(person);
  const own = tableCalendar(model.calendars[model.people.calendars[place]!]!);
  const mine = steps.filter((step) => step.person === person);
  return Array.from({ length: weeks }, (_, n): PersonWeek => {
    const from = 7 * n - model.sinceMonday;
    const monday = calendar.dayAt(from);
    const next = addDays(monday, 7);
    const days = own.workingBefore(from + 7) - own.workingBefore(Math.max(0, from));
    const week: PersonWeek = {
      monday,
      used: 0,
      there: days * model.people.dayHours[place]!,
      atGatherings: 0,
      work: [],
    };
    for (const step of mine) {
      const within = step.workedOn.filter((day) => day >= monday && day < next);
      if (within.length === 0) continue;
      const hours = (step.hours * within.length) / step.workingDays;
      const window = model.windows[model.windowOf[step.at]!];
      const there = within.filter((day) => (window?.[calendar.momentOf(day)] ?? -1) >= 0).length;
      week.atGatherings += (step.hours * there) / step.workingDays;
      const atHome = step.hours / step.workingDays;
      const rate = window ? Math.min(atHome, model.people.dayHours[place]!) : atHome;
      week.used += rate * (within.length - there);
      week.work.push({ step, hours, from: within[0]!, until: within.at(-1)! });
    }
    return week;
  });
}
