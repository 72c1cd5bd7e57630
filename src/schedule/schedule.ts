import type { JobTime, PartTime } from '../jobs/index.ts';
import type { Day } from '../platform/day.ts';
import { NotComputable } from '../platform/not-computable.ts';
import type { BuildFacts } from './build-facts.ts';
import type { WorkingCalendar } from './calendar.ts';
import { calendarPass, type StepDates, type StepTimes } from './calendar-pass.ts';
import { type DerivedNetwork, deriveNetwork, type Tweaks } from './derive.ts';
import { linkCode, type NetworkGraph, networkGraph } from './network-graph.ts';
import type { Step, StepLink } from './steps.ts';

/** A build's network with its dates: what remains, when it can be, and what drives the finish. */
export interface Schedule {
  facts: BuildFacts;
  network: DerivedNetwork;
  graph: NetworkGraph;
  dates: StepDates;
  /** the day of the last step's end; null when nothing is left to do */
  finishOn: Day | null;
  /** by number of the job, for those still to be worked on */
  jobTimes: ReadonlyMap<number, JobTime>;
  /** by id of the part, for work that no job answers for */
  partTimes: ReadonlyMap<number, PartTime>;
  /** jobs that drive the finish */
  criticalJobs: number;
  /** links by hand that were left out because they would close a circle, each in a sentence */
  leftOut: readonly string[];
}

/** A step with its days, as pages show it. */
export interface DatedStep
  extends Pick<Step, 'key' | 'kind' | 'label' | 'jobId' | 'partId' | 'claimId' | 'because'> {
  /** its number in the network */
  at: number;
  durationDays: number;
  working: boolean;
  late: boolean;
  earlyStart: Day;
  earlyEnd: Day;
  lateStart: Day;
  lateEnd: Day;
  /** working days it can slip without moving the finish */
  floatDays: number;
  critical: boolean;
}

/** Derives the network of a build, with what is tried beside its facts, and dates it. Pure: the same gives the same. */
export function scheduleOf(facts: BuildFacts, tweaks: Tweaks = {}): Schedule {
  const derived = deriveNetwork(facts, tweaks);
  const { graph, links, leftOut } = openGraph(derived);
  const network = { ...derived, links };
  const { nodes } = network;
  const dates = calendarPass(graph, timesOf(nodes), network.calendars);
  const jobTimes = timesOfJobs(network, dates, waiting(network));
  let criticalJobs = 0;
  for (const { critical } of jobTimes.values()) if (critical) criticalJobs += 1;
  return {
    facts,
    network,
    graph,
    dates,
    finishOn: finishDay(network, dates),
    jobTimes,
    partTimes: timesOfParts(network, dates),
    criticalJobs,
    leftOut,
  };
}

/** The day of the last step's end; null where none remains. */
export function finishDay({ nodes, calendar }: DerivedNetwork, dates: StepDates): Day | null {
  // A mark at the end is reached the morning after the last work; the day told is that of the work.
  let last = -1;
  nodes.forEach((step, at) => {
    if (step.kind === 'mark' || dates.earlyEnds[at] !== dates.finish) return;
    last = Math.max(last, lastMoment(step, dates.finish));
  });
  if (last === -1) last = dates.finish;
  return nodes.length === 0 ? null : calendar.dayAt(last);
}

/** One step of a schedule with its days. */
export function datedStep({ network, dates }: Schedule, at: number): DatedStep {
  const { nodes, calendar, calendars } = network;
  const step = nodes[at]!;
  const { key, kind, label, jobId, partId, claimId, because, duration } = step;
  return {
    key,
    kind,
    label,
    jobId,
    partId,
    claimId,
    because,
    at,
    durationDays: duration.days,
    working: duration.working,
    late: duration.late,
    earlyStart: calendar.dayAt(firstMoment(calendars, step, dates.earlyStarts[at]!)),
    earlyEnd: calendar.dayAt(lastMoment(step, dates.earlyEnds[at]!)),
    lateStart: calendar.dayAt(firstMoment(calendars, step, dates.lateStarts[at]!)),
    lateEnd: calendar.dayAt(lastMoment(step, dates.lateEnds[at]!)),
    floatDays: dates.floats[at]!,
    critical: dates.floats[at] === 0,
  };
}

/** The day on which a step that ends at a moment is told to end. */
export function endDay({ network }: Schedule, at: number, moment: number): Day {
  return network.calendar.dayAt(lastMoment(network.nodes[at]!, moment));
}

/** The chain of steps that sets a step's early start, from today on; the step itself is the last of it. */
export function chainTo({ dates }: Schedule, at: number): number[] {
  const chain = [at];
  for (let before = dates.drivers[at]!; before !== -1; before = dates.drivers[before]!) chain.push(before);
  return chain.reverse();
}

/** The chain that sets the finish; empty when nothing is left to do. */
export function drivingChain(schedule: Schedule): number[] {
  const last = schedule.dates.earlyEnds.indexOf(schedule.dates.finish);
  return last === -1 ? [] : chainTo(schedule, last);
}

/** Work on working days is begun on one: a start that falls on a free day is told as the next working day. */
function firstMoment(calendars: readonly WorkingCalendar[], step: Step, moment: number): number {
  if (!step.duration.working || step.duration.days === 0) return moment;
  const calendar = calendars[step.calendar]!;
  return calendar.workingDay(calendar.workingBefore(moment));
}

/** Work ends on its last day, the day before the morning after; posting, arriving and being ready are on a day. */
function lastMoment({ duration }: Step, moment: number): number {
  return duration.working && duration.days > 0 ? moment - 1 : moment;
}

/** 1 for each step that waits for something outside its own job. */
function waiting({ nodes, links }: DerivedNetwork): Uint8Array {
  const waits = new Uint8Array(nodes.length);
  for (const { from, to, type, byHand } of links) {
    // A fit-up that has begun still waits for its parts, to end; a link by hand to an end holds nobody from beginning.
    const holds = type === 'FS' || type === 'SS' || !byHand;
    if (holds && nodes[from]!.job !== nodes[to]!.job) waits[to] = 1;
  }
  return waits;
}

function timesOfJobs(network: DerivedNetwork, dates: StepDates, waits: Uint8Array): Map<number, JobTime> {
  const { nodes, calendar, calendars } = network;
  const { earlyStarts, earlyEnds, lateStarts, lateEnds, floats } = dates;
  interface Span {
    start: number;
    lateStart: number;
    end: number;
    float: number;
    lateEnd: number;
    lateMake: number;
    lateArrival: number;
    ready: boolean;
  }
  const spans = new Map<number, Span>();
  const never = Number.MAX_SAFE_INTEGER;
  nodes.forEach((step, at) => {
    if (step.job === null) return;
    let span = spans.get(step.job.id);
    if (!span) {
      span = {
        start: never,
        lateStart: never,
        end: 0,
        float: never,
        lateEnd: 0,
        lateMake: never,
        lateArrival: never,
        ready: true,
      };
      spans.set(step.job.id, span);
    }
    const late = lastMoment(step, lateEnds[at]!);
    if (earlyStarts[at]! < span.start) span.start = firstMoment(calendars, step, earlyStarts[at]!);
    span.lateStart = Math.min(span.lateStart, firstMoment(calendars, step, lateStarts[at]!));
    span.end = Math.max(span.end, lastMoment(step, earlyEnds[at]!));
    span.float = Math.min(span.float, floats[at]!);
    span.lateEnd = Math.max(span.lateEnd, late);
    if (step.word === 'make') span.lateMake = Math.min(span.lateMake, late);
    if (step.word === 'post' || step.word === 'travel') span.lateArrival = Math.min(span.lateArrival, late);
    if (waits[at] || step.notBefore > 0) span.ready = false;
  });
  const times = new Map<number, JobTime>();
  for (const { id, kind } of network.openJobs) {
    const span = spans.get(id);
    if (!span) continue;
    const isMade = kind === 'fabricate';
    const needBy = !isMade
      ? span.lateEnd
      : span.lateMake !== never
        ? span.lateMake
        : span.lateArrival !== never
          ? span.lateArrival
          : span.lateEnd;
    times.set(id, {
      startOn: calendar.dayAt(span.start),
      lateStartOn: calendar.dayAt(span.lateStart),
      likelyOn: calendar.dayAt(span.end),
      needByOn: calendar.dayAt(needBy),
      floatDays: span.float,
      critical: span.float === 0,
      ready: span.ready,
    });
  }
  return times;
}

/** The first and the latest day on which the work of each part without a job can begin. */
function timesOfParts(
  { nodes, calendar, calendars }: DerivedNetwork,
  dates: StepDates,
): Map<number, PartTime> {
  const { earlyStarts, lateStarts, floats } = dates;
  const spans = new Map<number, { start: number; lateStart: number; float: number }>();
  nodes.forEach((step, at) => {
    if (step.job !== null || step.part === null || step.kind === 'mark') return;
    const start = firstMoment(calendars, step, earlyStarts[at]!);
    const lateStart = firstMoment(calendars, step, lateStarts[at]!);
    const float = floats[at]!;
    const span = spans.get(step.part.id);
    if (!span) spans.set(step.part.id, { start, lateStart, float });
    else {
      span.start = Math.min(span.start, start);
      span.lateStart = Math.min(span.lateStart, lateStart);
      span.float = Math.min(span.float, float);
    }
  });
  return new Map(
    [...spans].map(([partId, { start, lateStart, float }]) => [
      partId,
      { startOn: calendar.dayAt(start), lateStartOn: calendar.dayAt(lateStart), floatDays: float },
    ]),
  );
}

/**
 * The graph without circles. Structure and steps make none; where a link by hand closes one, it is left out and told.
 */
function openGraph(network: DerivedNetwork): {
  graph: NetworkGraph;
  links: readonly StepLink[];
  leftOut: string[];
} {
  const { nodes } = network;
  const leftOut: string[] = [];
  let links = network.links;
  for (;;) {
    try {
      return { graph: graphOf(nodes, links), links, leftOut };
    } catch (fault) {
      if (!(fault instanceof NotComputable)) throw fault;
      const circle = fault.detail?.cycle as string[];
      const following = new Map(circle.map((key, place) => [key, circle[(place + 1) % circle.length]!]));
      const guilty = links.filter(
        ({ from, to, byHand }) => byHand && following.get(nodes[from]!.key) === nodes[to]!.key,
      );
      if (guilty.length === 0) throw fault;
      const told = new Set(
        guilty.map(
          ({ from, to }) =>
            `The link from job ${nodes[from]!.jobId} to job ${nodes[to]!.jobId} is left out: it closes a circle through ${circle.length} steps.`,
        ),
      );
      leftOut.push(...told);
      links = links.filter((link) => !guilty.includes(link));
    }
  }
}

function graphOf(nodes: readonly Step[], links: readonly StepLink[]): NetworkGraph {
  const count = links.length;
  const list = {
    sources: new Int32Array(count),
    targets: new Int32Array(count),
    types: new Uint8Array(count),
    lags: new Float64Array(count),
  };
  links.forEach(({ from, to, type, lag }, at) => {
    list.sources[at] = from;
    list.targets[at] = to;
    list.types[at] = linkCode[type];
    list.lags[at] = lag;
  });
  return networkGraph(nodes.length, list, (at) => nodes[at]!.key);
}

export function timesOf(nodes: readonly Step[]): StepTimes {
  const count = nodes.length;
  const times = {
    durations: new Int32Array(count),
    calendars: new Int16Array(count),
    notBefore: new Int32Array(count),
  };
  nodes.forEach(({ duration, notBefore, calendar }, at) => {
    times.durations[at] = duration.days;
    times.calendars[at] = duration.working ? calendar : -1;
    times.notBefore[at] = notBefore;
  });
  return times;
}
