import type { ChainAnswer, ChainQuestion } from '../../specs/pure/index.ts';
import type { BenchPage } from '../calculator.ts';
import { figure, figures, percent } from '../figures.ts';
import { rangeDrawing } from '../range-drawing.ts';
import type { Typed, TypedValues } from '../typed.ts';

const MOST_ROWS = 60;
const FIRST_ROWS = 4;
const MORE_ROWS = 4;
const columns = ['label', 'nominal', 'plus', 'minus', 'direction'] as const;

const field = (column: string, row: number) => `${column}-${row}`;

/** The gap at the end of a run of sizes. */
export const chainPage: BenchPage<ChainQuestion, ChainAnswer> = {
  method: 'get',
  example: {
    ...row(1, 'housing depth', '42', '0.1', '0', '1'),
    ...row(2, 'bearing width', '15', '0', '0.12', '-1'),
    ...row(3, 'spacer', '25', '0.05', '0.05', '-1'),
    ...row(4, 'cover spigot', '1.8', '0', '0.1', '-1'),
    wantedMin: '0.05',
    wantedMax: '0.5',
  },
  read(typed) {
    const rows: number[] = [];
    const contributors: unknown[] = [];
    for (let at = 1; at <= MOST_ROWS; at += 1) {
      const contributor = contributorTyped(typed, at);
      if (!contributor) continue;
      rows.push(at);
      contributors.push(contributor);
    }
    if (contributors.length === 0) typed.wrong(field('nominal', 1), 'Type the first size of the chain.');
    const wanted = wantedTyped(typed);
    return {
      request: { contributors, ...(wanted ? { wanted } : {}) },
      fieldOf(path) {
        const [, at, column = 'nominal'] = /^contributors\[(\d+)\](?:\.(\w+))?/.exec(path) ?? [];
        return at === undefined ? 'wantedMin' : field(column, rows[Number(at)] ?? 1);
      },
    };
  },
  blame: (sentence) => (sentence.startsWith('wanted') ? 'wantedMin' : '_form'),
  form: (values) => ({
    rows: Array.from({ length: rowCount(values) }, (_, at) => at + 1),
    full: rowCount(values) >= MOST_ROWS,
  }),
  show({ wanted }, reply) {
    const { worstCase, rootSumSquare, middle } = reply;
    const ranges = [
      { name: 'Worst case', ...worstCase, line: 'thin' as const },
      { name: 'Root sum square', ...rootSumSquare, line: 'thick' as const },
      ...(wanted ? [{ name: 'Wanted', ...wanted, line: 'double' as const }] : []),
    ];
    const inside = wanted && worstCase.min >= wanted.min && worstCase.max <= wanted.max;
    return {
      nominal: figure(reply.nominal),
      middle: figure(middle),
      deviation: figure(reply.standardDeviation),
      ranges: ranges.map(({ name, min, max }) => {
        const [from, to] = figures([min, max]);
        return { name, from, to };
      }),
      chance: reply.chanceInside === null ? null : percent(reply.chanceInside),
      verdict: wanted
        ? inside
          ? 'Even the worst case keeps what is wanted.'
          : 'The worst case goes beyond what is wanted.'
        : null,
      shares: reply.shares.map(({ label, share }) => ({ label, share, text: percent(share) })),
      drawing: rangeDrawing(ranges, 'mm'),
    };
  },
};

function row(at: number, ...cells: [string, string, string, string, string]): TypedValues {
  return Object.fromEntries(columns.map((column, index) => [field(column, at), cells[index]]));
}

/** As many rows as were asked for or hold something, and some more when more are wanted. */
function rowCount(values: TypedValues): number {
  const asked = Number(values.rows) || 0;
  let filled = 0;
  for (let at = 1; at <= MOST_ROWS; at += 1) {
    if (columns.some((column) => column !== 'direction' && values[field(column, at)])) filled = at;
  }
  const rows = Math.max(FIRST_ROWS, filled, Number.isInteger(asked) ? asked : 0);
  return Math.min(MOST_ROWS, values.more ? rows + MORE_ROWS : rows);
}

function contributorTyped(typed: Typed, at: number) {
  const label = typed.text(field('label', at), 100);
  const nominal = typed.optionalNumber(field('nominal', at));
  const plus = typed.optionalNumber(field('plus', at));
  const minus = typed.optionalNumber(field('minus', at));
  const direction = typed.choice(field('direction', at), ['1', '-1']) ?? '1';
  if (!label && nominal === undefined && plus === undefined && minus === undefined) return null;
  if (nominal === undefined) typed.wrong(field('nominal', at), `Row ${at}: type the nominal size.`);
  for (const [column, value] of Object.entries({ plus, minus })) {
    if (value !== undefined && value < 0) {
      typed.wrong(field(column, at), `Row ${at}: ${column} is a size, 0 or more.`);
    }
  }
  return {
    label: label || `row ${at}`,
    nominal,
    plus: plus ?? 0,
    minus: minus ?? 0,
    direction: Number(direction),
  };
}

function wantedTyped(typed: Typed) {
  const min = typed.optionalNumber('wantedMin');
  const max = typed.optionalNumber('wantedMax');
  if (min === undefined && max === undefined) return null;
  if (min === undefined) typed.wrong('wantedMin', 'Type the least gap too.');
  if (max === undefined) typed.wrong('wantedMax', 'Type the greatest gap too.');
  return { min, max };
}
