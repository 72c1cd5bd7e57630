import type { RiskReply, RiskRequest } from '../../schedule/pure/index.ts';
import { activityLines, daysTyped, predecessorsTyped, refuseMoreCells } from '../activity-table.ts';
import type { BenchPage } from '../calculator.ts';
import { figure, percent } from '../figures.ts';

const MOST_LINES = 2_000;
const MOST_RUNS = 50_000;
const ROWS_SHOWN = 400;

/** How likely is a day, and what makes it unlikely? */
export const riskPage: BenchPage<RiskRequest, RiskReply> = {
  method: 'post',
  fresh: { distribution: 'betaPert', runs: '10000', seed: '1' },
  example: {
    activities: [
      'frame; 4; 6; 12',
      'gears; 6; 9; 20',
      'paint; 2; 3; 5; frame',
      'assembly; 3; 5; 9; paint, gears',
      'test; 1; 2; 6; assembly FS+1',
    ].join('\n'),
    targets: '20 25',
    distribution: 'betaPert',
    runs: '10000',
    seed: '1',
  },
  read(typed) {
    const lines = activityLines(typed, 'activities', MOST_LINES);
    refuseMoreCells(typed, 'activities', lines, 5);
    const activities = lines.map((line) => {
      const predecessors = predecessorsTyped(line.cells[4] ?? '');
      return {
        id: line.cells[0],
        optimistic: daysTyped(typed, 'activities', line, 1, 'soonest'),
        likely: daysTyped(typed, 'activities', line, 2, 'likely'),
        pessimistic: daysTyped(typed, 'activities', line, 3, 'latest'),
        ...(predecessors.length ? { predecessors } : {}),
      };
    });
    const distribution = typed.choice('distribution', ['betaPert', 'triangular']);
    const runs = typed.optionalNumber('runs');
    const seed = typed.optionalNumber('seed');
    const targets = typed.numbers('targets', 100);
    if (runs !== undefined && !(Number.isInteger(runs) && runs >= 1 && runs <= MOST_RUNS)) {
      typed.wrong('runs', 'Type a whole number from 1 to 50,000.');
    }
    if (seed !== undefined && !(Number.isInteger(seed) && seed >= 0 && seed < 2 ** 32)) {
      typed.wrong('seed', 'Type a whole number from 0 to 4,294,967,295.');
    }
    return {
      request: {
        activities,
        ...(distribution ? { distribution } : {}),
        ...(runs === undefined ? {} : { runs }),
        ...(seed === undefined ? {} : { seed }),
        ...(targets.length ? { targets } : {}),
      },
    };
  },
  blame: () => 'activities',
  form: () => ({
    distributions: [
      { value: 'betaPert', label: 'beta, as PERT has it' },
      { value: 'triangular', label: 'triangular' },
    ],
  }),
  show({ runs = 10_000, seed = 1 }, reply) {
    const { mean, standardDeviation, percentiles, targets, activities, pert } = reply;
    return {
      runs: runs.toLocaleString('en'),
      seed,
      figures: [
        { label: 'Mean finish', value: figure(mean, 1), note: `by hand ${figure(pert.mean, 1)}` },
        {
          label: 'Standard deviation',
          value: figure(standardDeviation, 1),
          note: `by hand ${figure(pert.standardDeviation, 1)}`,
        },
      ],
      percentiles: (['5', '10', '50', '80', '90', '95'] as const).map((share) => ({
        share,
        day: figure(percentiles[share], 1),
      })),
      targets: targets.map(({ target, probability }, at) => ({
        target: figure(target, 2),
        probability,
        text: percent(probability),
        byHand: percent(pert.targets[at]?.probability ?? 0),
      })),
      rows: activities.slice(0, ROWS_SHOWN).map(({ id, criticality, sensitivity }) => ({
        id,
        criticality,
        text: percent(criticality),
        sensitivity: figure(sensitivity, 2),
      })),
      hidden: Math.max(0, activities.length - ROWS_SHOWN),
    };
  },
};
