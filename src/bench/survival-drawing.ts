import { figure } from './figures.ts';

/** The share still open from a day on, with its limits where they have a value. */
interface Step {
  days: number;
  open: number;
  low: number | null;
  high: number | null;
}

const WIDTH = 340;
const LEFT = 40;
const RIGHT = 12;
const TOP = 12;
const HEIGHT = 150;

/**
 * The share still open over the days, as steps, with its limits.
 *
 * @param steps  by days
 * @param from   the day at which all are open
 * @param to     the last day that is known of, not before the last step
 */
export function survivalDrawing(steps: readonly Step[], from: number, to: number) {
  const span = to - from || 1;
  const x = (day: number) => round(LEFT + ((day - from) / span) * (WIDTH - LEFT - RIGHT));
  const y = (share: number) => round(TOP + (1 - share) * HEIGHT);
  const path = (shareOf: (step: Step) => number | null) => {
    let text = `M${x(from)} ${y(1)}`;
    for (const step of steps) {
      const share = shareOf(step);
      // without a value the line ends
      if (share === null) return `${text}H${x(step.days)}`;
      text += `H${x(step.days)}V${y(share)}`;
    }
    return `${text}H${x(to)}`;
  };
  return {
    width: WIDTH,
    height: TOP + HEIGHT + 24,
    left: LEFT,
    right: WIDTH - RIGHT,
    axis: y(0),
    levels: [1, 0.5, 0].map((share) => ({ y: y(share), text: `${share * 100} %` })),
    days: { from: figure(from, 1), to: `${figure(to, 1)} days` },
    open: path(({ open }) => open),
    low: path(({ low }) => low),
    high: path(({ high }) => high),
  };
}

const round = (value: number) => Math.round(value * 100) / 100;
