import { type Day, dayWords } from '../platform/day.ts';
import type { DayRange } from './build-facts.ts';
import { calendarPass } from './calendar-pass.ts';
import { percentText } from './late-view.ts';
import type { Outlook } from './outlook.ts';
import { endDay, type Schedule, timesOf } from './schedule.ts';
import type { Step } from './steps.ts';

/** What the simulation says of one step, in words. */
export interface StepRisk {
  critical: string;
  /** null where its length never varies, or it has none */
  correlation: string | null;
  at50: string;
  at80: string;
  runs: number;
}

/** @returns null where the simulation does not know the step */
export function stepRisk({ schedule, outcome }: Outlook, key: string, today: Day): StepRisk | null {
  const at = schedule.network.nodes.findIndex((step) => step.key === key);
  const step = schedule.network.nodes[at];
  if (!step) return null;
  const words = (moment: number) => dayWords(endDay(schedule, at, moment), today);
  const pull = outcome.sensitivity[at]!;
  return {
    critical: percentText(outcome.criticality[at]!),
    correlation: step.duration.spread ? pull.toFixed(2).replace('-', '−') : null,
    at50: words(outcome.at50[at]!),
    at80: words(outcome.at80[at]!),
    runs: outcome.runs,
  };
}

/** Between which days a step ends in eight of ten runs. */
export function simulatedEnds({ schedule, outcome }: Outlook, at: number): DayRange {
  return {
    fromOn: endDay(schedule, at, outcome.at10[at]!),
    untilOn: endDay(schedule, at, outcome.at90[at]!),
  };
}

/** The days on which nine of ten runs have all steps over. */
export function lastOfAll({ schedule, outcome }: Outlook): DayRange {
  const day = schedule.network.calendar.dayAt(outcome.at90.reduce((last, end) => Math.max(last, end), 0));
  return { fromOn: day, untilOn: day };
}

/**
 * The drag of a step: days by which the finish would come nearer if it took no time.
 *
 * The pass is made once more with its length taken away, so that other chains and the calendars are counted as they
 * are. Calendar days; 0 for what has float.
 */
export function stepDrag({ network, graph, dates }: Schedule, at: number): number {
  if (dates.floats[at] !== 0 || network.nodes[at]!.duration.days === 0) return 0;
  const times = timesOf(network.nodes);
  times.durations[at] = 0;
  return dates.finish - calendarPass(graph, times, network.calendars).finish;
}

const WORK = 'work-at-the-bench-and-the-drawing-board';

/** Where the history that a step's length rests on is told, or what is usual where it rests on that. */
export function lengthRestsOn({ word, kind, claim, part }: Step): { href: string; label: string } | null {
  if (kind === 'mark') return null;
  const tables: Partial<Record<Step['word'], string>> = {
    make:
      claim !== null
        ? 'promises-by-maker'
        : part?.makeDays
          ? 'making-where-days-are-given'
          : 'making-by-process',
    find: 'finding-a-maker',
    post: 'post-by-country',
    travel: 'post-by-country',
    delivery: 'purchases',
    design: WORK,
    'fit-up': WORK,
    '': WORK,
  };
  const table = tables[word];
  return table
    ? { href: `/schedule/durations#${table}`, label: 'The history it rests on' }
    : { href: '/schedule#how', label: 'What is usual' };
}
