import type { NetworkReply, NetworkRequest } from '../../schedule/pure/index.ts';
import { activityLines, daysTyped, predecessorsTyped, refuseMoreCells } from '../activity-table.ts';
import type { BenchPage } from '../calculator.ts';
import { figure } from '../figures.ts';
import { quoted, typedNumber } from '../typed.ts';

const MOST_LINES = 5_000;
const ROWS_SHOWN = 400;
const BARS_SHOWN = 60;
const BAR_HEIGHT = 22;
const NAME_WIDTH = 104;
const PLAN_WIDTH = 410;

/** When can it be finished, and what drives it? */
export const networkPage: BenchPage<NetworkRequest, NetworkReply> = {
  method: 'post',
  example: {
    activities: [
      'frame; 6',
      'gears; 8',
      'paint; 3; frame',
      'shafts; 4; frame SS+2',
      'assembly; 5; paint, gears, shafts',
      'test; 2; assembly FS+1',
    ].join('\n'),
  },
  read(typed) {
    const lines = activityLines(typed, 'activities', MOST_LINES);
    refuseMoreCells(typed, 'activities', lines, 4);
    const activities = lines.map((line) => {
      const duration = daysTyped(typed, 'activities', line, 1, 'duration');
      const predecessors = predecessorsTyped(line.cells[2] ?? '');
      const day = line.cells[3] ?? '';
      const notBefore = day === '' ? undefined : typedNumber(day);
      if (Number.isNaN(notBefore)) {
        typed.wrong('activities', `Line ${line.line}: ${quoted(day)} is not a number of days (not before).`);
      }
      return {
        id: line.cells[0],
        duration,
        ...(predecessors.length ? { predecessors } : {}),
        ...(notBefore === undefined ? {} : { notBefore }),
      };
    });
    const finishBy = typed.optionalNumber('finishBy');
    return { request: { activities, ...(finishBy === undefined ? {} : { finishBy }) } };
  },
  blame: () => 'activities',
  show(request, { finish, activities, criticalIds }) {
    return {
      finish: figure(finish, 2),
      count: activities.length,
      criticalCount: criticalIds.length,
      rows: activities.slice(0, ROWS_SHOWN).map(({ id, critical, ...days }) => ({
        id,
        critical,
        earlyStart: figure(days.earlyStart, 2),
        earlyFinish: figure(days.earlyFinish, 2),
        lateStart: figure(days.lateStart, 2),
        lateFinish: figure(days.lateFinish, 2),
        totalFloat: figure(days.totalFloat, 2),
        freeFloat: figure(days.freeFloat, 2),
        drag: figure(days.drag, 2),
      })),
      hidden: Math.max(0, activities.length - ROWS_SHOWN),
      drawing: planDrawing(activities, Math.max(finish, request.finishBy ?? 0)),
    };
  },
};

/** Bars on days: from early start to early finish, the float behind it. */
function planDrawing(activities: NetworkReply['activities'], last: number) {
  const drawn = activities.slice(0, BARS_SHOWN);
  const first = Math.min(0, ...drawn.map(({ earlyStart }) => earlyStart));
  const days = last - first || 1;
  const x = (day: number) => Math.round((NAME_WIDTH + ((day - first) / days) * PLAN_WIDTH) * 100) / 100;
  const height = drawn.length * BAR_HEIGHT + 26;
  return {
    width: NAME_WIDTH + PLAN_WIDTH + 16,
    height,
    hidden: activities.length - drawn.length,
    axis: height - 20,
    left: NAME_WIDTH,
    ticks: ticks(first, last).map((day) => ({ x: x(day), text: figure(day, 1) })),
    bars: drawn.map(({ id, earlyStart, earlyFinish, lateFinish, critical }, at) => ({
      id: id.length > 15 ? `${id.slice(0, 14)}…` : id,
      y: at * BAR_HEIGHT + 4,
      x: x(earlyStart),
      width: Math.max(1.5, x(earlyFinish) - x(earlyStart)),
      float: lateFinish > earlyFinish ? x(Math.min(lateFinish, last)) : null,
      end: x(earlyFinish),
      critical,
    })),
  };
}

/** Round days for the scale: 1, 2 or 5 times a power of ten apart, at most nine. */
export function ticks(from: number, to: number): number[] {
  const rough = (to - from) / 8 || 1;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((size) => size * power >= rough) ?? 10) * power;
  const days: number[] = [];
  for (let day = Math.ceil(from / step) * step; day <= to && days.length < 12; day += step) days.push(day);
  return days;
}
