import {
  LeadTimeRequest,
  LevelRequest,
  leadTime,
  level,
  NetworkRequest,
  network,
  RiskRequest,
  risk,
} from '../schedule/pure/index.ts';
import {
  ChainRequest,
  ComparisonRequest,
  chain,
  comparison,
  FitRequest,
  fit,
  LimitsRequest,
  limits,
  ThreadRequest,
  thread,
} from '../specs/pure/index.ts';
import { type Calculator, calculator } from './calculator.ts';
import { chainPage } from './pages/chain.ts';
import { comparisonPage } from './pages/comparison.ts';
import { fitPage } from './pages/fit.ts';
import { leadTimePage } from './pages/lead-time.ts';
import { levelPage } from './pages/level.ts';
import { limitsPage } from './pages/limits.ts';
import { networkPage } from './pages/network.ts';
import { riskPage } from './pages/risk.ts';
import { threadPage } from './pages/thread.ts';

const MB = 1024 * 1024;
const fits = 'Will it fit?';
const times = 'When will it be finished?';
const helped = 'Did it help?';

/** All calculators: an entry gives the route POST /api/v1/calculate/NAME and the page /bench/NAME. */
export const calculators: readonly Calculator[] = [
  calculator({
    name: 'limits',
    question: fits,
    title: 'Limits of a size',
    line: 'Upper and lower limit of a size by its ISO 286 zone or its ISO 2768-1 class.',
    takes:
      '{nominal, unit?: "mm"|"in", zone}\n{nominal, unit?, generalClass: "f"|"m"|"c"|"v", kind?: "linear"|"radius"|"angle"}',
    gives: '{upperDeviation, lowerDeviation, upperLimit, lowerLimit, source}',
    notes: [
      'Zones of holes in capitals (H7), of shafts in small letters (g6), grades 01 to 18, nominal to 3150 mm.',
      'An angle takes the length of its shorter side as nominal; its deviations are degrees and it has no limits.',
      'Where the standard has no value the answer is 422.',
    ],
    source: 'ISO 286-1:2010; ISO 2768-1:1989',
    request: LimitsRequest,
    example: { nominal: 25, zone: 'H7' },
    compute: limits,
    page: limitsPage,
  }),
  calculator({
    name: 'fit',
    question: fits,
    title: 'Fit of hole and shaft',
    line: 'Clearance or interference of a shaft in a hole, also when both are warm or cold.',
    takes:
      '{nominal, hole, shaft, temperature?: {celsius, holeExpansion, shaftExpansion}}\nhole, shaft: "H7", "g6" or {upperDeviation, lowerDeviation}',
    gives:
      '{hole: {upperDeviation, lowerDeviation, upperLimit, lowerLimit}, shaft: {the same}, minClearance, maxClearance,\n character: "clearance"|"transition"|"interference", chanceOfInterference, source}',
    notes: [
      'Lengths in mm. A clearance below 0 is interference.',
      'Limits hold at 20 °C (ISO 1); expansions are in 1e-6 per K, both parts have the one temperature and are free to expand.',
      'chanceOfInterference takes sizes as normal about the middle of their limits, six standard deviations across them.',
    ],
    source: 'ISO 286-1:2010; limits at 20 °C, ISO 1',
    request: FitRequest,
    example: { nominal: 25, hole: 'H7', shaft: 'g6' },
    compute: fit,
    page: fitPage,
  }),
  calculator({
    name: 'chain',
    question: fits,
    title: 'Tolerance chain',
    line: 'The gap that a run of sizes leaves: worst case, root sum square, and who takes most of it.',
    takes: '{contributors: [{label?, nominal, plus, minus, direction: 1|-1}], wanted?: {min, max}}',
    gives:
      '{nominal, middle, worstCase: {min, max}, rootSumSquare: {min, max}, standardDeviation, chanceInside,\n shares: [{label, share}], source}',
    notes: [
      'Lengths in mm; plus and minus are sizes of 0 or more; direction 1 opens the gap, -1 closes it.',
      'Uneven tolerances are centred first. A half band is three standard deviations of its own.',
      'share is each one’s part of the variance. Without wanted, chanceInside is null.',
    ],
    source: 'worst case and root sum square of a linear chain, common practice',
    request: ChainRequest,
    example: {
      contributors: [
        { label: 'bore depth', nominal: 25, plus: 0.021, minus: 0, direction: 1 },
        { label: 'pin', nominal: 24.993, plus: 0, minus: 0.013, direction: -1 },
      ],
      wanted: { min: 0, max: 0.05 },
    },
    compute: chain,
    page: chainPage,
  }),
  calculator({
    name: 'thread',
    question: fits,
    title: 'Holes for a metric thread',
    line: 'Clearance hole, tap drill, pitch and stress area of a metric screw.',
    takes: '{thread: "M6", series?: "fine"|"medium"|"coarse"}',
    gives: '{clearanceHole, pitch, tapDrill, stressArea, source}',
    notes: [
      'M6 has the coarse pitch, M8x1 the one named. Lengths in mm, the stress area in mm².',
      'series is that of the clearance hole (ISO 273), medium when not given. The tap drill is nominal minus pitch.',
    ],
    source: 'ISO 273, ISO 261, ISO 898-1',
    request: ThreadRequest,
    example: { thread: 'M6' },
    compute: thread,
    page: threadPage,
  }),
  calculator({
    name: 'comparison',
    question: helped,
    title: 'Before and after',
    line: 'Whether measurements differ after a change by more than chance makes them; also for sound levels.',
    takes: '{before: [n], after: [n], levels?: false}',
    gives:
      '{beforeMean, afterMean, difference, standardError, degreesOfFreedom, interval95: {low, high}, pValue, source}',
    notes: [
      'Welch’s t: the spreads before and after may differ. difference is after minus before.',
      'With levels the values are sound levels in dB: means by energy, the interval by bootstrap with a fixed seed.',
      'At most 10,000 values on a side.',
    ],
    source: 'Welch’s t, NIST/SEMATECH e-Handbook 7.3.1',
    request: ComparisonRequest,
    example: { before: [12.1, 11.8, 12.4, 12], after: [11.2, 11.5, 11.1, 11.6] },
    compute: comparison,
    page: comparisonPage,
    bounds: { perMinute: 60 },
  }),
  calculator({
    name: 'lead-time',
    question: times,
    title: 'How long it takes to come',
    line: 'When a thing will have come, from how long others took and how long those still open have waited.',
    takes: '{history: [{days, finished}], elapsed?: 0, due?}',
    gives:
      '{median, percentiles: {"50","80","95"}, chanceByDue, survival: [{days, open, low, high}], source}',
    notes: [
      'Product-limit estimate of Kaplan and Meier (1958), Greenwood’s variance, 95 % limits on the log-log scale.',
      'finished: false is an observation cut off at days. With elapsed, all is on the condition that it has not come by then.',
      'A percentile that the history never reaches is null; so are limits and chances that it does not tell.',
    ],
    source:
      'product-limit estimate, Kaplan and Meier (1958); variance of Greenwood (1926); 95 % limits on the log-log scale',
    request: LeadTimeRequest,
    example: {
      history: [
        { days: 9, finished: true },
        { days: 12, finished: true },
        { days: 20, finished: false },
        { days: 21, finished: true },
      ],
      due: 15,
    },
    compute: leadTime,
    page: leadTimePage,
  }),
  calculator({
    name: 'network',
    question: times,
    title: 'Network of activities',
    line: 'Early and late dates, float, what is critical and what each activity costs the finish.',
    takes:
      '{activities: [{id, duration, predecessors?: [{id, type?: "FS"|"SS"|"FF"|"SF", lag?}], notBefore?}], finishBy?}',
    gives:
      '{finish, activities: [{id, earlyStart, earlyFinish, lateStart, lateFinish, totalFloat, freeFloat, critical, drag}],\n criticalIds, source}',
    notes: [
      'Times in days from 0; a lag may be negative; FS when no type is given; an activity is not split; no start before 0.',
      'Late dates count back from finishBy, or from the finish.',
      'freeFloat: how far it can slip with no other early date and not the finish moving. drag: by how much the finish comes nearer if this took no time.',
      'At most 100,000 activities and 400,000 links. A circle is answered with 422 and its ids in cycle.',
    ],
    source: 'critical path method on precedence links',
    request: NetworkRequest,
    example: {
      activities: [
        { id: 'frame', duration: 6 },
        { id: 'paint', duration: 3, predecessors: [{ id: 'frame', type: 'FS', lag: 1 }] },
      ],
    },
    compute: network,
    page: networkPage,
    bounds: { bytes: 40 * MB, perMinute: 60, seconds: 30 },
  }),
  calculator({
    name: 'risk',
    question: times,
    title: 'Chances of a finish',
    line: 'How likely a finish is when durations are uncertain, and which activities drive it.',
    takes:
      '{activities: [{id, optimistic, likely, pessimistic, predecessors?}], distribution?: "betaPert"|"triangular",\n runs?: 10000, seed?: 1, targets?: [number]}',
    gives:
      '{mean, standardDeviation, percentiles: {"5","10","50","80","90","95"}, targets: [{target, probability}],\n activities: [{id, criticality, sensitivity}], pert: {mean, standardDeviation, targets}, source}',
    notes: [
      'Times in days from 0; predecessors as in network. The same request with the same seed has the same reply.',
      'criticality: share of runs in which it has no float. sensitivity: rank correlation of its duration with the finish.',
      'pert is the estimate by hand along the longest path of the means: (o+4m+p)/6 and ((p-o)/6)² summed, normal probability.',
      'At most 5,000 activities and 50,000 runs.',
    ],
    source:
      'simulation of the network (Van Slyke 1963); pert: (o+4m+p)/6 and ((p-o)/6)² along the longest path',
    request: RiskRequest,
    example: {
      activities: [
        { id: 'frame', optimistic: 4, likely: 6, pessimistic: 12 },
        { id: 'paint', optimistic: 2, likely: 3, pessimistic: 5, predecessors: [{ id: 'frame' }] },
      ],
      targets: [12],
    },
    compute: risk,
    page: riskPage,
    bounds: { bytes: 16 * MB, perMinute: 20, seconds: 180, threadFrom: 0 },
  }),
  calculator({
    name: 'level',
    question: times,
    title: 'Starts with few hands',
    line: 'When to start each activity when people, tools or places are scarce, so that all is finished early.',
    takes:
      '{resources: [{id, capacity}], activities: [{id, duration, demands?: {resourceId: n}, predecessors?: [id]}],\n seconds?: 1, seed?: 1}',
    gives: '{finish, longestPath, starts: [{id, start}], schedulesTried, source}',
    notes: [
      'Whole days from 0. An activity starts when all its predecessors are finished, is not split, and holds its demands on every day it runs.',
      'No more of a resource is ever held than its capacity. A single demand above the capacity is answered with 422, a circle with 422 and its ids in cycle.',
      'finish is the least that was found in the time; longestPath is what it would be were nothing scarce. A finish proved to be the least is given at once.',
      'At most 2,000 activities, 50,000 links, 40 resources and 10 seconds; the durations add up to at most 1,000,000 days.',
    ],
    source:
      'search over activity lists (Hartmann 1998; Valls, Ballestin and Quintanilla 2008) with serial schedule generation and justification (the same 2005)',
    request: LevelRequest,
    example: {
      resources: [{ id: 'welder', capacity: 1 }],
      activities: [
        { id: 'frame', duration: 6, demands: { welder: 1 } },
        { id: 'bracket', duration: 2, demands: { welder: 1 } },
        { id: 'paint', duration: 3, predecessors: ['frame'] },
      ],
    },
    compute: (request) => level(request, { now: () => performance.now() }),
    page: levelPage,
    bounds: { perMinute: 20, seconds: 60, threadFrom: 0 },
  }),
];

/** The entry of a name, if there is one. */
export function calculatorNamed(name: string): Calculator | undefined {
  return calculators.find((one) => one.name === name);
}
