import { partPath } from '../parts/index.ts';
import { type Day, daysBetween, dayWords } from '../platform/day.ts';
import type { FinishSpread } from './outlook.ts';
import type { Schedule } from './schedule.ts';
import type { BuildOutcome } from './simulate.ts';
import { drivingRows } from './view.ts';

/** A schedule with its simulation. */
export interface Plan {
  schedule: Schedule;
  outcome: BuildOutcome;
  finish: FinishSpread | null;
}

interface Moved {
  label: string;
  before: string;
  after: string;
  /** calendar days later, below zero sooner; null where one of the two is not there */
  days: number | null;
}

const MOST_ROWS = 20;

function moved(label: string, before: Day | null, after: Day | null, today: Day): Moved {
  return {
    label,
    before: before === null ? '–' : dayWords(before, today),
    after: after === null ? 'nothing left' : dayWords(after, today),
    days: before === null || after === null ? null : daysBetween(before, after),
  };
}

/** Two plans side by side: the finish, the parts that are ready on another day, and what drives the finish. */
export function comparison(was: Plan, is: Plan) {
  const { today, parts } = was.schedule.facts;
  const finish = [
    moved('If all goes as likely', was.schedule.finishOn, is.schedule.finishOn, today),
    moved('In half of the runs', was.finish?.at50 ?? null, is.finish?.at50 ?? null, today),
    moved('In 80 of 100', was.finish?.at80 ?? null, is.finish?.at80 ?? null, today),
    moved('In 95 of 100', was.finish?.at95 ?? null, is.finish?.at95 ?? null, today),
  ];
  const mean = ({ outcome: { finishes, runs } }: Plan) =>
    finishes.reduce((sum, one) => sum + one, 0) / Math.max(1, runs);
  const readyOn = ({ schedule: { network }, outcome }: Plan, partId: number): Day | null => {
    const mark = network.readyMarks.get(partId);
    return mark === undefined ? null : network.calendar.dayAt(outcome.at80[mark]!);
  };
  const assemblies = [...was.schedule.network.readyMarks.keys()]
    .map((partId) => ({ part: parts.get(partId)!, before: readyOn(was, partId), after: readyOn(is, partId) }))
    .filter(({ before, after }) => before !== after)
    .map(({ part, before, after }) => ({
      href: partPath(part.number),
      number: part.number,
      ...moved(part.name, before, after, today),
    }))
    .sort((a, b) => Math.abs(b.days ?? 1e6) - Math.abs(a.days ?? 1e6) || (a.number < b.number ? -1 : 1));
  return {
    finish,
    meanDays: Math.round((mean(is) - mean(was)) * 10) / 10,
    assemblies: assemblies.slice(0, MOST_ROWS),
    moreAssemblies: Math.max(0, assemblies.length - MOST_ROWS),
    drivingBefore: drivingRows(was.schedule).map(({ label, ends }) => ({ label, ends })),
    drivingAfter: drivingRows(is.schedule).map(({ label, ends }) => ({ label, ends })),
    leftOut: is.schedule.leftOut,
    runs: is.outcome.runs,
  };
}
