import { daysBetween, dayWords } from '../platform/day.ts';
import { lagAfter } from './calendar.ts';
import { DEFAULTS } from './defaults.ts';
import { count } from './durations.ts';
import { drivingChain } from './schedule.ts';
import {
  counted,
  type Finding,
  type FindingItem,
  type Found,
  judged,
  type Looked,
  listed,
  partItem,
  percent,
  stepItem,
  working,
} from './soundness-finding.ts';
import type { Step } from './steps.ts';

/** Two months of working days: the usual measure for a long activity and for high float. Common practice, no source. */
export const LONG_WORKING_DAYS = 44;
const LONG_CALENDAR_DAYS = 62;
/** Of the steps that could have an estimate. Common practice, no source. */
const MANY_WITHOUT_ESTIMATE = 0.25;
const MOST_WITHOUT_ESTIMATE = 0.5;
const MOST_WITH_HIGH_FLOAT = 0.05;
/** Fewer promises that came out than this teach little. Common practice, no source. */
const LEAST_HISTORY = 5;

/** Whether the times hold water: durations, what drives the finish, float, chance. */
export function timeFindings(looked: Looked): Finding[] {
  return [
    counted('durations', usualTimes(looked)),
    counted('durations', undrawnParts(looked)),
    counted('durations', longSteps(looked)),
    chainHolds(looked),
    counted('critical', singleThreads(looked)),
    counted('float', highFloat(looked)),
    simulated(looked),
    history(looked),
  ];
}

/** Whether somebody could have said how long a step takes, and did: null where nobody is asked. */
function isEstimated({ word, kind, part, job, claim }: Step): boolean | null {
  const said = job !== null && (job.days !== null || job.hours !== null);
  switch (kind) {
    case 'design':
      return said || part?.designHours != null;
    case 'make':
      return claim !== null || said || part?.makeDays != null;
    case 'fit-up':
      return said || part?.makeDays != null;
    case 'delivery':
      return job?.promisedOn != null || part?.leadDays != null;
    case 'trial':
    case 'other':
      return said;
    default:
      return word === '' ? said : null;
  }
}

function usualTimes(looked: Looked): Found {
  const { nodes } = looked.schedule.network;
  const { floats } = looked.schedule.dates;
  const asked = working(looked).filter((at) => isEstimated(nodes[at]!) !== null);
  const unsaid = asked.filter((at) => !isEstimated(nodes[at]!)).sort((a, b) => floats[a]! - floats[b]!);
  const share = asked.length === 0 ? 0 : unsaid.length / asked.length;
  return {
    key: 'usual-times',
    title: 'Steps whose time nobody estimated',
    ...listed(unsaid, (at) => stepItem(looked, at, nodes[at]!.duration.because)),
    of: asked.length,
    what: 'steps that could have an estimate',
    fault: `${percent(share)} rest on usual times or on what similar work took`,
    verdict: share > MOST_WITHOUT_ESTIMATE ? 'act' : share > MANY_WITHOUT_ESTIMATE ? 'look' : 'ok',
    advice: 'Write down hours or days, first for what drives the finish: on the part, or on its job.',
  };
}

function undrawnParts(looked: Looked): Found {
  const { nodes } = looked.schedule.network;
  const drawings = working(looked).filter((at) => nodes[at]!.kind === 'design');
  const blind = drawings.filter((at) => !isEstimated(nodes[at]!));
  return {
    key: 'undrawn-parts',
    title: 'Drawings without hours',
    ...listed(blind, (at) => {
      const { partId } = nodes[at]!;
      return partId === null ? stepItem(looked, at) : partItem(looked, partId);
    }),
    of: drawings.length,
    what: 'drawings still to be made',
    fault: `neither the part nor a job says how many hours, so ${DEFAULTS.designHours} h are taken`,
    verdict: 'look',
    advice: 'Write the hours of drawing on each part: they are the lead’s own.',
  };
}

function longSteps(looked: Looked): Found {
  const { nodes } = looked.schedule.network;
  const all = working(looked);
  const long = all.filter((at) => {
    const { days, working: isWorking } = nodes[at]!.duration;
    return days > (isWorking ? LONG_WORKING_DAYS : LONG_CALENDAR_DAYS);
  });
  return {
    key: 'long-steps',
    title: `Steps longer than ${LONG_WORKING_DAYS} working days`,
    ...listed(long, (at) => {
      const { days, working: isWorking } = nodes[at]!.duration;
      return stepItem(looked, at, count(days, isWorking ? 'working day' : 'day'));
    }),
    of: all.length,
    what: 'steps',
    fault: `longer than ${LONG_WORKING_DAYS} working or ${LONG_CALENDAR_DAYS} calendar days, so nobody sees for weeks whether they go well`,
    verdict: 'look',
    advice: 'Split the job, or ask for a part of the quantity first.',
  };
}

/** What drives the finish must begin today and run without a gap: otherwise a date drives it, not the work. */
function chainHolds(looked: Looked): Finding {
  const { schedule } = looked;
  const { facts, network, dates, finishOn } = schedule;
  const { nodes, links, calendar } = network;
  const chain = drivingChain(schedule);
  const first = chain[0];
  const head = { key: 'chain', title: 'What drives the finish begins today and runs unbroken' };
  if (first === undefined || finishOn === null) {
    return judged('critical', { ...head, verdict: 'ok', said: 'Nothing is left to do.', advice: '' });
  }
  const items: FindingItem[] = [];
  const start = dates.earlyStarts[first]!;
  if (start > Math.max(0, calendar.workingDay(0))) {
    const note = nodes[first]!.notBeforeNote || 'not before its day';
    items.push(stepItem(looked, first, `begins on ${dayWords(calendar.dayAt(start), facts.today)}: ${note}`));
  }
  chain.slice(1).forEach((to, at) => {
    const from = chain[at]!;
    const link = links.find((one) => one.from === from && one.to === to);
    const follows = link?.type === 'FS' ? lagAfter(calendar, dates.earlyEnds[from]!, link.lag) : null;
    if (link && (follows === null || dates.earlyStarts[to]! <= follows)) return;
    items.push(stepItem(looked, to, 'does not begin when what it waits for is over'));
  });
  const steps = chain.filter((at) => nodes[at]!.kind !== 'mark').length;
  const days = daysBetween(facts.today, finishOn) + 1;
  const span = `${count(steps, 'step')} in ${count(days, 'day')}, today and ${dayWords(finishOn)} included`;
  return judged('critical', {
    ...head,
    items,
    verdict: items.length === 0 ? 'ok' : 'look',
    said:
      items.length === 0
        ? `${span}, each from the end of the one before.`
        : `${span}, but work does not drive all of it.`,
    advice:
      'See whether the day that holds it is still right: the finish can come no nearer while it stands.',
  });
}

/** Tops with one line of work and nothing beside it: either very simple, or what it needs is not written down. */
function singleThreads(looked: Looked): Found {
  const { facts, network, dates } = looked.schedule;
  const before = new Map<number, number[]>();
  for (const { from, to } of network.links) {
    const list = before.get(to);
    if (list) list.push(from);
    else before.set(to, [from]);
  }
  const open = facts.tops.filter((id) => network.readyMarks.has(id));
  const single = open.filter((id) => {
    const seen = new Set([network.readyMarks.get(id)!]);
    for (const at of seen) for (const earlier of before.get(at) ?? []) seen.add(earlier);
    const steps = [...seen].filter((at) => network.nodes[at]!.kind !== 'mark');
    const starts = steps.filter((at) => (before.get(at) ?? []).length === 0);
    return steps.length > 2 && starts.length === 1 && steps.every((at) => dates.floats[at] === 0);
  });
  return {
    key: 'single-threads',
    title: 'Machines that hang on one line of work',
    ...listed(single, (id) => partItem(looked, id)),
    of: open.length,
    what: 'top assemblies still to come',
    fault: 'all that is left stands in one line, so every day lost is a day lost',
    verdict: 'look',
    advice:
      'Look whether parts are missing in the structure, or whether some of the work can go on beside the rest.',
  };
}

function highFloat(looked: Looked): Found {
  const { floats } = looked.schedule.dates;
  const all = working(looked);
  const high = all.filter((at) => floats[at]! > LONG_WORKING_DAYS).sort((a, b) => floats[b]! - floats[a]!);
  const share = all.length === 0 ? 0 : high.length / all.length;
  return {
    key: 'high-float',
    title: `Float above ${LONG_WORKING_DAYS} working days`,
    ...listed(high, (at) => stepItem(looked, at, count(floats[at]!, 'working day'))),
    of: all.length,
    what: 'steps',
    fault: `${percent(share)} can wait more than two months`,
    verdict: share > MOST_WITH_HIGH_FLOAT ? 'look' : 'ok',
    advice: `Above ${percent(MOST_WITH_HIGH_FLOAT)} something they are needed for is usually not written down, or one chain is far longer than all others: look at the first of them, and at what drives the finish.`,
  };
}

function simulated({ schedule: { finishOn }, around: { estimates } }: Looked): Finding {
  const last = estimates.at(-1);
  const at80On = last && last.finishOn === finishOn ? last.at80On : null;
  const later = at80On && finishOn ? daysBetween(finishOn, at80On) : 0;
  return judged('risk', {
    key: 'simulated',
    title: 'The chances of the finish are simulated',
    verdict: at80On ? 'ok' : 'look',
    said: at80On
      ? `In 80 of 100 runs it is over by ${dayWords(at80On)}, ${count(later, 'day')} after the day likely times give.`
      : 'No simulation of this finish is stored.',
    advice:
      'Until one is, tell nobody the day that likely times give: where branches meet, the real one tends to be later.',
  });
}

function history({ schedule: { facts } }: Looked): Finding {
  const kept = facts.jobs
    .flatMap(({ claims }) => claims)
    .filter(({ acceptedMilli }) => acceptedMilli > 0).length;
  return judged('risk', {
    key: 'history',
    title: 'There is a history to learn from',
    verdict: kept >= LEAST_HISTORY ? 'ok' : 'look',
    said: `${count(kept, 'claim')} came to accepted pieces so far.`,
    advice: `Below ${LEAST_HISTORY} the chances rest on promises and usual times alone: trust the later of the days told.`,
  });
}
