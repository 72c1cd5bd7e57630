import type { LevelReply, LevelRequest } from '../../schedule/pure/index.ts';
import { activityLines, refuseMoreCells } from '../activity-table.ts';
import type { BenchPage } from '../calculator.ts';
import { percent } from '../figures.ts';
import { quoted, type Typed, typedNumber } from '../typed.ts';
import { ticks } from './network.ts';

const MOST_LINES = 2_000;
const MOST_RESOURCES = 40;
const MOST_SECONDS = 10;
const ROWS_SHOWN = 400;
const BARS_SHOWN = 60;
const BAR_HEIGHT = 22;
const NAME_WIDTH = 104;
const PLAN_WIDTH = 410;

/** When does each start, if there is not enough of everything for all at once? */
export const levelPage: BenchPage<LevelRequest, LevelReply> = {
  method: 'post',
  fresh: { seconds: '1', seed: '1' },
  example: {
    resources: ['welder; 1', 'bench; 2'].join('\n'),
    activities: [
      'frame; 6; welder',
      'bracket; 2; welder, bench',
      'gears; 4; bench 2',
      'paint; 3; bench; frame, bracket',
      'shafts; 3; bench',
      'assembly; 5; bench 2; paint, gears, shafts',
    ].join('\n'),
    seconds: '1',
    seed: '1',
  },
  read(typed) {
    const resources = resourcesTyped(typed);
    const known = new Set(resources.map(({ id }) => id));
    const lines = activityLines(typed, 'activities', MOST_LINES);
    refuseMoreCells(typed, 'activities', lines, 4);
    const activities = lines.map(({ line, cells }) => {
      const demands = demandsTyped(typed, line, cells[2] ?? '', known);
      const predecessors = pieces(cells[3] ?? '');
      return {
        id: cells[0],
        duration: wholeTyped(typed, 'activities', line, cells[1] ?? '', 'days'),
        ...(Object.keys(demands).length ? { demands } : {}),
        ...(predecessors.length ? { predecessors } : {}),
      };
    });
    const seconds = typed.optionalNumber('seconds');
    const seed = typed.optionalNumber('seed');
    if (seconds !== undefined && !(seconds > 0 && seconds <= MOST_SECONDS)) {
      typed.wrong('seconds', `Type more than 0 and at most ${MOST_SECONDS} seconds.`);
    }
    if (seed !== undefined && !(Number.isInteger(seed) && seed >= 0 && seed < 2 ** 32)) {
      typed.wrong('seed', 'Type a whole number from 0 to 4,294,967,295.');
    }
    return {
      request: {
        resources,
        activities,
        ...(seconds === undefined ? {} : { seconds }),
        ...(seed === undefined ? {} : { seed }),
      },
    };
  },
  blame: (sentence) => (/^resource /.test(sentence) ? 'resources' : 'activities'),
  show(request, { finish, longestPath, starts, schedulesTried }) {
    const rows = request.activities
      .map(({ id, duration, demands = {} }, i) => ({
        id,
        start: starts[i]!.start,
        finish: starts[i]!.start + duration,
        days: duration,
        needs: Object.entries(demands)
          .map(([resource, units]) => (units === 1 ? resource : `${resource} ${units}`))
          .join(', '),
      }))
      .sort((one, other) => one.start - other.start || one.finish - other.finish);
    return {
      finish,
      longestPath,
      longer: finish - longestPath,
      tried: schedulesTried.toLocaleString('en'),
      uses: request.resources.map(({ id, capacity }) => {
        const held = request.activities.reduce(
          (sum, { duration, demands = {} }) =>
            sum + duration * (Object.hasOwn(demands, id) ? demands[id]! : 0),
          0,
        );
        const share = capacity * finish > 0 ? held / (capacity * finish) : 0;
        return { id, capacity, share, text: percent(share) };
      }),
      rows: rows.slice(0, ROWS_SHOWN),
      hidden: Math.max(0, rows.length - ROWS_SHOWN),
      drawing: barDrawing(rows, finish),
    };
  },
};

const pieces = (cell: string) =>
  cell
    .split(',')
    .map((piece) => piece.trim())
    .filter((piece) => piece !== '');

function wholeTyped(typed: Typed, field: string, line: number, text: string, what: string): number {
  const value = typedNumber(text);
  if (text === '') typed.wrong(field, `Line ${line}: the number of ${what} is missing.`);
  else if (!Number.isInteger(value) || value < 0) {
    typed.wrong(field, `Line ${line}: ${quoted(text)} is not a whole number of ${what}.`);
  }
  return value;
}

function resourcesTyped(typed: Typed) {
  return typed.lines('resources', MOST_RESOURCES).map((line) => {
    const [id = '', units = ''] = line.cells;
    if (id === '') typed.wrong('resources', `Line ${line.line}: the first cell, the id, is empty.`);
    refuseMoreCells(typed, 'resources', [line], 2);
    return { id, capacity: wholeTyped(typed, 'resources', line.line, units, 'units') };
  });
}

/** Needs as they are typed in a cell: `welder, bench 2`; 1 unit where no number stands. */
function demandsTyped(typed: Typed, line: number, cell: string, known: ReadonlySet<string>) {
  const demands = new Map<string, number>();
  for (const piece of pieces(cell)) {
    const [, name, units] = known.has(piece) ? [] : (/^(.+?)\s+(\d+)$/.exec(piece) ?? []);
    const id = name ?? piece;
    if (demands.has(id)) typed.wrong('activities', `Line ${line} names ${quoted(id)} twice among its needs.`);
    demands.set(id, units === undefined ? 1 : Number(units));
  }
  return Object.fromEntries(demands);
}

/** Bars on days, in the order of their starts. */
function barDrawing(rows: readonly { id: string; start: number; finish: number }[], last: number) {
  const drawn = rows.slice(0, BARS_SHOWN);
  const x = (day: number) => Math.round((NAME_WIDTH + (day / (last || 1)) * PLAN_WIDTH) * 100) / 100;
  const height = drawn.length * BAR_HEIGHT + 26;
  return {
    width: NAME_WIDTH + PLAN_WIDTH + 16,
    height,
    hidden: rows.length - drawn.length,
    axis: height - 20,
    left: NAME_WIDTH,
    ticks: ticks(0, last).map((day) => ({ x: x(day), text: String(Math.round(day * 10) / 10) })),
    bars: drawn.map(({ id, start, finish }, at) => ({
      id: id.length > 15 ? `${id.slice(0, 14)}…` : id,
      y: at * BAR_HEIGHT + 4,
      x: x(start),
      width: Math.max(1.5, x(finish) - x(start)),
    })),
  };
}
