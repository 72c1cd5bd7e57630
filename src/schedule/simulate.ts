import { type CalendarTable, earliestStart, endOf, lagAfter, tableCalendar } from './calendar.ts';
import { linkCode, linksInto, type NetworkGraph } from './network-graph.ts';
import { placeQueue } from './place-queue.ts';
import { centredRanks } from './risk-correlation.ts';
import { type Drawer, drawer, runsInBlock } from './simulate-draw.ts';

/** Where a thread finds this module. */
export const simulateModule = import.meta.url;

/** What becomes of a step's drawn days in a variant. */
export const changeKinds = {
  /** it takes `value` days */
  lasts: 0,
  /** it takes `value` days more */
  longer: 1,
  /** it is over by the moment `value` at the latest, or as soon as it begins */
  overBy: 2,
  /** of what it takes beyond `value` days, half falls away */
  halfBeyond: 3,
  /** another, of spread `value`, begins beside it with no luck in common: the sooner of the two counts */
  soonerOf: 4,
  /** it takes no time and is not over before the moment `value` */
  overAt: 5,
  /** it does not begin before the moment `value` */
  notBefore: 6,
} as const;

/** Changes to a few steps, tried on every run: as parallel arrays, with the changes of variant v at first[v] .. first[v + 1] - 1. */
export interface Variants {
  readonly first: Int32Array;
  readonly steps: Int32Array;
  /** values of `changeKinds` */
  readonly kinds: Uint8Array;
  readonly values: Int32Array;
}

/** A build to be simulated. Plain typed arrays, so that it can be posted to a thread as it is. */
export interface BuildModel {
  readonly graph: NetworkGraph;
  /** whole days by step, where nothing is drawn */
  readonly days: Int32Array;
  /** no start before this moment */
  readonly notBefore: Int32Array;
  /** place among the calendars, -1 for calendar days */
  readonly calendarOf: Int16Array;
  /** the build's first */
  readonly calendars: readonly CalendarTable[];
  /** place among the spreads, -1 where the step takes its days and no other */
  readonly spreadOf: Int32Array;
  /** SPREAD_KNOTS for each */
  readonly spreads: Float64Array;
  /** the group whose luck it shares, -1 for none */
  readonly groupOf: Int32Array;
  /** names of the random numbers of steps and of groups: the same name, the same luck, in whichever network */
  readonly streamOf: Int32Array;
  readonly groupStreams: Int32Array;
  /** share of a step's luck that is its group's, 0 .. 1 */
  readonly strength: number;
  readonly runs: number;
  readonly seed: number;
  /** steps and moments: in how many runs does the step end after it */
  readonly dueSteps: Int32Array;
  readonly dueBy: Int32Array;
  readonly variants: Variants;
  /** whether percentiles of steps and sensitivities are wanted; else they are empty */
  readonly inDetail: boolean;
}

/** What a simulation gives. Moments are those of the calendar. */
export interface BuildOutcome {
  runs: number;
  /** in the order of the runs */
  finishes: Int32Array;
  /** share of the runs in which the step drives the finish */
  criticality: Float64Array;
  /** rank correlation of the step's days with the finish; 0 where either never differs, or the step hardly ever drives */
  sensitivity: Float64Array;
  /** the moments by which 10, 50, 80 and 90 of a hundred runs have the step over */
  at10: Int32Array;
  at50: Int32Array;
  at80: Int32Array;
  at90: Int32Array;
  /** share of the runs in which the step of that place in `dueSteps` ends late */
  lateShare: Float64Array;
  /** of each variant: the mean finish, and the finish around 50 and 80 of a hundred runs (see `around`) */
  variantMean: Float64Array;
  variantAt50: Float64Array;
  variantAt80: Float64Array;
}

const toFinish = linkCode.FF;
const fromStart = linkCode.SS;
/** A step that drives the finish in fewer runs has no sensitivity worth the name. */
const leastCriticality = 0.005;

/** What a share of sorted values lies up to: the least value that so many of a hundred do not exceed. */
export function shareOf(sorted: Int32Array | Uint16Array, percent: number): number {
  return sorted[Math.max(0, Math.ceil((sorted.length * percent) / 100) - 1)]!;
}

/** Runs on either side of a percentile that are averaged, of a hundred. */
const AROUND = 2.5;

/**
 * The mean of the sorted values from 2.5 below to 2.5 above a percentile: for differences. Finishes lie in lumps, days
 * with free ones between, so that a single percentile jumps by a weekend where hardly a run has changed.
 */
export function around(sorted: Int32Array, percent: number): number {
  const from = Math.max(0, Math.floor((sorted.length * (percent - AROUND)) / 100));
  const until = Math.max(from + 1, Math.ceil((sorted.length * (percent + AROUND)) / 100));
  let sum = 0;
  for (let k = from; k < until; k++) sum += sorted[k]!;
  return sum / (until - from);
}

/**
 * Simulates a build many times over, and every variant on the same luck, so that a difference between two finishes is
 * the change's and not chance's.
 *
 * Each run draws the days of all steps and passes forward through the network as `calendarPass` does. A variant then
 * recomputes what its changes reach, and nothing else: a step whose dates come out as before ends the search there.
 *
 * @returns  the same for the same model. Linear in runs times steps and links, and in what the variants reach
 * Source: Van Slyke, "Monte Carlo methods and the PERT problem" (1963); common random numbers as in Law, "Simulation
 * Modeling and Analysis"; steps of one maker share a normal factor (Gaussian copula), from memory.
 */
export function simulateBuild(model: BuildModel): BuildOutcome {
  const { graph, runs, variants, dueSteps, dueBy } = model;
  const { count, order, places, firstLink, linkTargets } = graph;
  const into = linksInto(graph);
  const calendars = model.calendars.map(tableCalendar);
  const build = calendars[0]!;
  // by place in the order of work, as the pass goes through memory
  const calendarAt = Int16Array.from(order, (step) => model.calendarOf[step]!);
  const notBefore = Int32Array.from(order, (step) => Math.max(0, model.notBefore[step]!));
  const draw = drawer(model);

  const days = new Int32Array(runsInBlock * count);
  const starts = new Int32Array(count);
  const ends = new Int32Array(count);
  const enders = endersOf(graph);

  const finishes = new Int32Array(runs);
  const criticalAt = new Uint32Array(count);
  const seenIn = new Uint32Array(count);
  const toVisit = new Int32Array(count);
  const lateRuns = new Uint32Array(dueSteps.length);
  // ends by run and place, for their percentiles
  const { inDetail } = model;
  const allEnds = new Uint16Array(inDetail ? count * runs : 0);
  const variantCount = variants.first.length - 1;
  const variantFinishes = new Int32Array(variantCount * runs);

  /** The start of a place from what it waits for, `endAt` and `startAt` being dates by place. */
  function startOf(k: number, length: number, startAt: Int32Array, endAt: Int32Array): number {
    let start = notBefore[k]!;
    for (let link = into.firstLink[k]!, last = into.firstLink[k + 1]!; link < last; link++) {
      const source = into.sources[link]!;
      const type = into.types[link]!;
      let moment = type & fromStart ? startAt[source]! : endAt[source]!;
      const lag = into.lags[link]!;
      if (lag !== 0) moment = lagAfter(build, moment, lag);
      if (type & toFinish)
        moment = earliestStart(calendars[calendarAt[k]!] ?? build, moment, length, calendarAt[k]! >= 0);
      if (moment > start) start = moment;
    }
    return start;
  }

  function lengthEnd(k: number, start: number, length: number): number {
    const own = calendarAt[k]!;
    return own < 0 || length === 0 ? start + length : endOf(calendars[own]!, start, length, true);
  }

  function countCritical(lengths: Int32Array, finish: number, walk: number): void {
    let waiting = 0;
    for (const k of enders) {
      if (build.workingBefore(ends[k]!) < build.workingBefore(finish)) continue;
      seenIn[k] = walk;
      toVisit[waiting++] = k;
    }
    while (waiting > 0) {
      const k = toVisit[--waiting]!;
      criticalAt[k]!++;
      const need = build.workingBefore(starts[k]!);
      for (let link = into.firstLink[k]!, last = into.firstLink[k + 1]!; link < last; link++) {
        const source = into.sources[link]!;
        if (seenIn[source] === walk) continue;
        const type = into.types[link]!;
        let moment = type & fromStart ? starts[source]! : ends[source]!;
        const lag = into.lags[link]!;
        if (lag !== 0) moment = lagAfter(build, moment, lag);
        if (type & toFinish)
          moment = earliestStart(
            calendars[calendarAt[k]!] ?? build,
            moment,
            lengths[k]!,
            calendarAt[k]! >= 0,
          );
        // a slack of less than a working day is none, as in the plan
        if (moment < starts[k]! && build.workingBefore(moment) < need) continue;
        seenIn[source] = walk;
        toVisit[waiting++] = source;
      }
    }
  }

  // What a variant has changed so far: dates by place, valid where the stamp is the variant's.
  const changedStarts = new Int32Array(count);
  const changedEnds = new Int32Array(count);
  const stamps = new Uint32Array(count);
  const queue = placeQueue(count);
  let stamp = 0;
  const lengthAt = new Int32Array(count);
  const lengthStamps = new Uint32Array(count);
  const notBeforeAt = new Int32Array(count);

  function variantFinish(v: number, run: number, lengths: Int32Array, finish: number): number {
    stamp++;
    for (let c = variants.first[v]!; c < variants.first[v + 1]!; c++) {
      const step = variants.steps[c]!;
      const k = places[step]!;
      const value = variants.values[c]!;
      const drawn = lengths[k]!;
      let length = drawn;
      let from = 0;
      switch (variants.kinds[c]) {
        case changeKinds.lasts:
          length = value;
          break;
        case changeKinds.longer:
          length = Math.max(0, drawn + value);
          break;
        case changeKinds.overBy:
          length = Math.min(drawn, Math.max(0, value - starts[k]!));
          break;
        case changeKinds.halfBeyond:
          length = drawn > value ? value + Math.round((drawn - value) / 2) : drawn;
          break;
        case changeKinds.soonerOf:
          length = Math.min(drawn, draw.other(step, value, run));
          break;
        case changeKinds.overAt:
          length = 0;
          from = value;
          break;
        default:
          from = value;
      }
      if (length === drawn && from <= starts[k]!) continue;
      lengthAt[k] = length;
      notBeforeAt[k] = from;
      lengthStamps[k] = stamp;
      queue.add(k);
    }
    let isMoved = false;
    for (let k = queue.next(); k !== -1; k = queue.next()) {
      const isChanged = lengthStamps[k] === stamp;
      const length = isChanged ? lengthAt[k]! : lengths[k]!;
      let start = isChanged && notBeforeAt[k]! > notBefore[k]! ? notBeforeAt[k]! : notBefore[k]!;
      for (let link = into.firstLink[k]!, last = into.firstLink[k + 1]!; link < last; link++) {
        const source = into.sources[link]!;
        const type = into.types[link]!;
        const isNew = stamps[source] === stamp;
        let moment =
          type & fromStart
            ? (isNew ? changedStarts : starts)[source]!
            : (isNew ? changedEnds : ends)[source]!;
        const lag = into.lags[link]!;
        if (lag !== 0) moment = lagAfter(build, moment, lag);
        if (type & toFinish)
          moment = earliestStart(calendars[calendarAt[k]!] ?? build, moment, length, calendarAt[k]! >= 0);
        if (moment > start) start = moment;
      }
      const end = lengthEnd(k, start, length);
      if (start === starts[k] && end === ends[k]) continue;
      changedStarts[k] = start;
      changedEnds[k] = end;
      stamps[k] = stamp;
      isMoved = true;
      for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) queue.add(linkTargets[link]!);
    }
    if (!isMoved) return finish;
    let latest = 0;
    for (const k of enders) {
      const end = stamps[k] === stamp ? changedEnds[k]! : ends[k]!;
      if (end > latest) latest = end;
    }
    return latest;
  }

  for (let first = 0; first < runs; first += runsInBlock) {
    const size = Math.min(runsInBlock, runs - first);
    draw.block(first / runsInBlock, days);
    for (let r = 0; r < size; r++) {
      const run = first + r;
      const lengths = days.subarray(r * count, (r + 1) * count);
      let finish = 0;
      for (let k = 0; k < count; k++) {
        const start = startOf(k, lengths[k]!, starts, ends);
        const end = lengthEnd(k, start, lengths[k]!);
        starts[k] = start;
        ends[k] = end;
        if (end > finish) finish = end;
      }
      if (inDetail)
        for (let k = 0, to = run * count; k < count; k++) allEnds[to++] = Math.min(ends[k]!, 65_535);
      finishes[run] = finish;
      countCritical(lengths, finish, run + 1);
      for (let d = 0; d < dueSteps.length; d++) {
        if (ends[places[dueSteps[d]!]!]! > dueBy[d]!) lateRuns[d]!++;
      }
      for (let v = 0; v < variantCount; v++) {
        variantFinishes[v * runs + run] = variantFinish(v, r, lengths, finish);
      }
    }
  }

  const criticality = new Float64Array(count);
  for (let k = 0; k < count; k++) criticality[order[k]!] = criticalAt[k]! / runs;
  const variantMean = new Float64Array(variantCount);
  const variantAt50 = new Float64Array(variantCount);
  const variantAt80 = new Float64Array(variantCount);
  for (let v = 0; v < variantCount; v++) {
    const own = variantFinishes.subarray(v * runs, (v + 1) * runs).sort();
    variantMean[v] = own.reduce((sum, finish) => sum + finish, 0) / runs;
    variantAt50[v] = around(own, 50);
    variantAt80[v] = around(own, 80);
  }
  return {
    runs,
    finishes,
    criticality,
    sensitivity: inDetail ? sensitivities(model, draw, finishes, criticality) : new Float64Array(0),
    ...percentilesOf(allEnds, graph, inDetail ? runs : 0),
    lateShare: Float64Array.from(lateRuns, (late) => late / runs),
    variantMean,
    variantAt50,
    variantAt80,
  };
}

/** Places whose end no other place is bound to come after: the finish is the latest of them. */
function endersOf({ count, firstLink, linkTypes, lags }: NetworkGraph): Int32Array {
  const found: number[] = [];
  for (let k = 0; k < count; k++) {
    let isBefore = false;
    for (let link = firstLink[k]!; link < firstLink[k + 1]!; link++) {
      if (!(linkTypes[link]! & fromStart) && lags[link]! >= 0) isBefore = true;
    }
    if (!isBefore) found.push(k);
  }
  return Int32Array.from(found);
}

/** Places gathered together, so that each line of memory is read once for all of them. */
const placesInTile = 32;

function percentilesOf(allEnds: Uint16Array, { count, order }: NetworkGraph, runs: number) {
  const steps = runs === 0 ? 0 : count;
  const at = {
    at10: new Int32Array(steps),
    at50: new Int32Array(steps),
    at80: new Int32Array(steps),
    at90: new Int32Array(steps),
  };
  const tile = new Uint16Array(placesInTile * runs);
  for (let first = 0; first < steps; first += placesInTile) {
    const size = Math.min(placesInTile, count - first);
    for (let run = 0; run < runs; run++) {
      for (let t = 0, from = run * count + first; t < size; t++) tile[t * runs + run] = allEnds[from++]!;
    }
    for (let t = 0; t < size; t++) {
      const own = tile.subarray(t * runs, (t + 1) * runs).sort();
      const step = order[first + t]!;
      at.at10[step] = shareOf(own, 10);
      at.at50[step] = shareOf(own, 50);
      at.at80[step] = shareOf(own, 80);
      at.at90[step] = shareOf(own, 90);
    }
  }
  return at;
}

function sensitivities(
  model: BuildModel,
  draw: Drawer,
  finishes: Int32Array,
  criticality: Float64Array,
): Float64Array {
  const { runs, graph, spreadOf } = model;
  const correlations = new Float64Array(graph.count);
  const finishRanks = centredRanks(Float64Array.from(finishes));
  const finishSquares = finishRanks.reduce((sum, rank) => sum + rank * rank, 0);
  if (finishSquares === 0) return correlations;
  const drawn = new Int32Array(runsInBlock);
  const days = new Float64Array(runs);
  for (let step = 0; step < graph.count; step++) {
    if (spreadOf[step]! < 0 || criticality[step]! < leastCriticality) continue;
    for (let first = 0; first < runs; first += runsInBlock) {
      draw.ofStep(step, first / runsInBlock, drawn);
      days.set(drawn.subarray(0, Math.min(runsInBlock, runs - first)), first);
    }
    const ranks = centredRanks(days);
    let products = 0;
    let squares = 0;
    for (let run = 0; run < runs; run++) {
      products += ranks[run]! * finishRanks[run]!;
      squares += ranks[run]! * ranks[run]!;
    }
    correlations[step] = squares === 0 ? 0 : products / Math.sqrt(squares * finishSquares);
  }
  return correlations;
}
