import type { LeadTimeReply, LeadTimeRequest } from '../../schedule/pure/index.ts';
import type { BenchPage } from '../calculator.ts';
import { figure, percent } from '../figures.ts';
import { survivalDrawing } from '../survival-drawing.ts';
import { quoted, type Typed, typedNumber } from '../typed.ts';

const MOST_LINES = 10_000;
const ROWS_SHOWN = 200;
const came = /^(yes|y|finished|came)$/i;
const open = /^(no|n|open|not yet)$/i;

/** How long will it still take, from how long the others took? */
export const leadTimePage: BenchPage<LeadTimeRequest, LeadTimeReply> = {
  method: 'post',
  example: {
    history: ['9', '12', '14', '14', '17', '20+', '21', '26', '35+', '41'].join('\n'),
    elapsed: '10',
    due: '21',
  },
  read(typed) {
    const history = historyTyped(typed);
    const elapsed = daysTyped(typed, 'elapsed');
    const due = daysTyped(typed, 'due');
    return {
      request: {
        history,
        ...(elapsed === undefined ? {} : { elapsed }),
        ...(due === undefined ? {} : { due }),
      },
    };
  },
  show({ history, elapsed = 0, due }, reply) {
    const { median, percentiles, chanceByDue, survival } = reply;
    const day = (value: number | null) => (value === null ? null : figure(value, 1));
    const last = history.reduce((latest, { days }) => Math.max(latest, days), elapsed);
    const counted = history.filter(({ days }) => elapsed === 0 || days > elapsed).length;
    return {
      elapsed: elapsed ? figure(elapsed, 2) : null,
      counted,
      median: day(median),
      percentiles: (['50', '80', '95'] as const).map((share) => ({ share, day: day(percentiles[share]) })),
      due:
        due === undefined
          ? null
          : { day: figure(due, 2), chance: chanceByDue, text: percent(chanceByDue ?? 0) },
      rows: survival.slice(0, ROWS_SHOWN).map((step) => ({
        days: figure(step.days, 2),
        open: percent(step.open),
        limits:
          step.low === null || step.high === null
            ? 'no value'
            : `${percent(step.low)} to ${percent(step.high)}`,
      })),
      hidden: Math.max(0, survival.length - ROWS_SHOWN),
      drawing: survival.length ? survivalDrawing(survival, elapsed, last) : null,
    };
  },
};

/** Lines such as `12`, `30+` or `30; no`; on a line without semicolons several stand with blanks between. */
function historyTyped(typed: Typed) {
  const history: { days: number; finished: boolean }[] = [];
  for (const { line, cells } of typed.lines('history', MOST_LINES)) {
    const [first = '', word = ''] = cells;
    const pieces = cells.length > 1 ? [first] : first.split(/\s+/);
    for (const piece of pieces) {
      const days = typedNumber(piece.replace(/\+$/, ''));
      if (Number.isNaN(days))
        typed.wrong('history', `Line ${line}: ${quoted(piece)} is not a number of days.`);
      else if (days < 0) typed.wrong('history', `Line ${line}: ${quoted(piece)} is below 0.`);
      if (word !== '' && !came.test(word) && !open.test(word)) {
        typed.wrong(
          'history',
          `Line ${line}: ${quoted(word)} says neither yes (it came) nor no (still open).`,
        );
      }
      history.push({ days, finished: !piece.endsWith('+') && !open.test(word) });
    }
  }
  if (history.length === 0)
    typed.wrong('history', 'Paste how long the earlier ones took, as in the example.');
  return history;
}

function daysTyped(typed: Typed, field: string): number | undefined {
  const days = typed.optionalNumber(field);
  if (days !== undefined && days < 0) typed.wrong(field, 'Days are 0 or more.');
  return days;
}
