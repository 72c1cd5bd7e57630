import { latestBefore } from './calendar.ts';
import { normalScore } from './history-strength.ts';
import { linkCode } from './network-graph.ts';
import { normalProbability } from './risk-by-hand.ts';
import type { Schedule } from './schedule.ts';
import { SPREAD_KNOTS } from './spread.ts';

/** How likely steps of a schedule are over by a morning. */
export interface StepChances {
  /** the chance that a step is over by the moment, 0 .. 1 */
  by(step: number, moment: number): number;
  /** the chance that each of several is over by its own moment; 1 for none */
  together(wanted: readonly StepWanted[]): number;
}

/** A step, and the moment (calendar.ts) by which it should be over. */
export interface StepWanted {
  step: number;
  by: number;
}

/** Equal shares of a maker's luck over which chances of what they have in hand are averaged. */
const LUCKS = 16;
/** What is over as surely as this is taken as over: sums of fractions are not exact. */
const SETTLED = 1 - 1e-12;
const fromStart = linkCode.SS;
const toFinish = linkCode.FF;

/**
 * The chances of a schedule's steps, worked out without simulating: how long each step may take comes from the same
 * spreads as in the simulation, whole days counted in the same calendars, added up along what it waits for.
 *
 * Two ways that meet count as having no luck in common, but for what one maker has in hand: their slow month is
 * averaged over (a normal factor, as in the simulation). Exact where ways do not part and meet again.
 *
 * @param horizon  the last moment asked about, whole and >= 0; what comes later is all one
 * @returns        each chance is worked out when it is first asked for
 *
 * Source: sums and greatest of independent times by their distribution functions, elementary probability; one factor
 * for each maker as in Vasicek, "Loan portfolio value" (2002), from memory.
 */
export function stepChances({ network, graph }: Schedule, horizon: number): StepChances {
  const { nodes, links, calendar, calendars } = network;
  const size = horizon + 1;
  const { strength } = network.history;
  const ofMaker = Math.sqrt(strength.value);
  const ofStep = Math.sqrt(1 - strength.value);
  const lucks = Array.from({ length: LUCKS }, (_, k) => normalScore((k + 0.5) / LUCKS));

  const firstInto = new Int32Array(nodes.length + 1);
  for (const { to } of links) firstInto[to + 1]!++;
  for (let at = 0; at < nodes.length; at++) firstInto[at + 1]! += firstInto[at]!;
  const into = new Int32Array(links.length);
  const next = firstInto.slice();
  links.forEach(({ to }, link) => {
    into[next[to]!++] = link;
  });
  const ofCalendar = calendars.map((own) =>
    Int32Array.from({ length: size }, (_, m) => own.workingBefore(m)),
  );

  const everyDay = Int32Array.from({ length: size }, (_, m) => m);

  /** By whole days, the share that takes no longer: of a spread, or of the days themselves. */
  const lengths = new Map<Float64Array | number, Float64Array>();
  function lengthShares(step: number): Float64Array {
    const { duration } = nodes[step]!;
    const knots = duration.spread?.days();
    let shares = lengths.get(knots ?? duration.days);
    if (!shares) {
      shares = Float64Array.from({ length: size }, (_, days) =>
        knots ? shareWithin(knots, days + 0.5) : Number(days >= duration.days),
      );
      lengths.set(knots ?? duration.days, shares);
    }
    return shares;
  }

  /** The same where the maker's luck is known; 0 is a maker's usual month. */
  const lengthsByLuck = new Map<string, Float64Array>();
  const spreadNames = new Map<Float64Array, number>();
  function lengthSharesAt(step: number, luck: number): Float64Array {
    const knots = nodes[step]!.duration.spread!.days();
    if (!spreadNames.has(knots)) spreadNames.set(knots, spreadNames.size);
    const key = `${spreadNames.get(knots)} ${luck}`;
    let shares = lengthsByLuck.get(key);
    if (!shares) {
      shares = lengthShares(step).map((share) =>
        share <= 0 || share >= 1
          ? share
          : normalProbability((normalScore(share) - ofMaker * luck) / ofStep, 0, 1),
      );
      lengthsByLuck.set(key, shares);
    }
    return shares;
  }

  /** When a step has begun and is over, as chances by moment; the latter worked out when something asks for all of it. */
  class Ways {
    readonly begun = new Float64Array(size).fill(1);
    readonly #step: number;
    readonly #shares: Float64Array;
    /** what must be over first without holding its beginning; null for most */
    #latest: Float64Array | null = null;
    #over: Float64Array | null = null;

    constructor(step: number, shares: Float64Array, waysBefore: (source: number) => Ways) {
      this.#step = step;
      this.#shares = shares;
      for (let place = firstInto[step]!; place < firstInto[step + 1]!; place++) {
        const { from, type, lag } = links[into[place]!]!;
        const code = linkCode[type];
        const before = waysBefore(from);
        const source = code & fromStart ? before.begun : before.over;
        if (code & toFinish) this.#latest ??= new Float64Array(size).fill(1);
        const target = code & toFinish ? this.#latest! : this.begun;
        if (lag === 0) {
          for (let m = 0; m < size; m++) target[m]! *= source[m]!;
          continue;
        }
        for (let m = 0; m < size; m++) {
          const moment = Math.min(horizon, latestBefore(calendar, m, lag));
          target[m]! *= moment < 0 ? 0 : source[moment]!;
        }
      }
      this.begun.fill(0, 0, Math.min(size, Math.max(0, nodes[step]!.notBefore)));
    }

    overBy(moment: number): number {
      return this.#over ? this.#over[moment]! : this.#overAt(moment);
    }

    get over(): Float64Array {
      if (!this.#over) {
        const over = new Float64Array(size);
        for (let moment = 0; moment < size; moment++) {
          const sooner = moment > 0 ? over[moment - 1]! : 0;
          over[moment] = sooner >= SETTLED ? sooner : this.#overAt(moment);
        }
        this.#over = over;
      }
      return this.#over;
    }

    /** Back from the moment, as long as it matters when the step has begun: what began sooner is over whatever it takes. */
    #overAt(moment: number): number {
      const { begun } = this;
      const { duration, calendar: own } = nodes[this.#step]!;
      const counted = duration.working ? ofCalendar[own]! : everyDay;
      const shares = this.#shares;
      let sum = 0;
      if (begun[0] === 1) sum = shares[counted[moment]! - counted[0]!]!;
      else
        for (let s = moment; s >= 0 && begun[s]! > 0; s--) {
          const share = shares[counted[moment]! - counted[s]!]!;
          if (share >= 1) {
            sum += begun[s]!;
            break;
          }
          if (share > 0) sum += share * (begun[s]! - (s === 0 ? 0 : begun[s - 1]!));
        }
      return this.#latest ? sum * this.#latest[moment]! : sum;
    }
  }

  const known = new Map<number, Ways>();
  const makersOf = new Map<number, readonly number[]>();
  const nobody: readonly number[] = [];

  /** Works out a step and all it waits for, in the order of work. */
  function learn(step: number): void {
    const asked = [step];
    const missing = new Set<number>();
    while (asked.length > 0) {
      const one = asked.pop()!;
      if (known.has(one) || missing.has(one)) continue;
      missing.add(one);
      for (let place = firstInto[one]!; place < firstInto[one + 1]!; place++) {
        asked.push(links[into[place]!]!.from);
      }
    }
    const inOrder = [...missing].sort((a, b) => graph.places[a]! - graph.places[b]!);
    for (const one of inOrder) {
      known.set(one, new Ways(one, lengthShares(one), (source) => known.get(source)!));
      const own = nodes[one]!.duration.spread?.personId ?? 0;
      let makers: readonly number[] = own === 0 ? nobody : [own];
      for (let place = firstInto[one]!; place < firstInto[one + 1]!; place++) {
        const sooner = makersOf.get(links[into[place]!]!.from)!;
        if (makers.length === 0) makers = sooner;
        else if (sooner.some((maker) => !makers.includes(maker)))
          makers = [...new Set([...makers, ...sooner])];
      }
      makersOf.set(one, makers);
    }
  }

  const knownByLuck = new Map<string, Ways>();
  function waysAt(step: number, maker: number, luck: number): Ways {
    if (!makersOf.get(step)!.includes(maker)) return known.get(step)!;
    const key = `${step} ${maker} ${luck}`;
    let ways = knownByLuck.get(key);
    if (!ways) {
      const isTheirs = nodes[step]!.duration.spread?.personId === maker;
      const shares = isTheirs ? lengthSharesAt(step, luck) : lengthShares(step);
      ways = new Ways(step, shares, (source) => waysAt(source, maker, luck));
      knownByLuck.set(key, ways);
    }
    return ways;
  }

  const place = (moment: number) => Math.min(horizon, moment);
  function by(step: number, moment: number): number {
    if (moment < 0) return 0;
    learn(step);
    return Math.min(1, known.get(step)!.overBy(place(moment)));
  }

  function together(wanted: readonly StepWanted[]): number {
    const soonest = new Map<number, number>();
    for (const { step, by: moment } of wanted) {
      if (moment < 0) return 0;
      soonest.set(step, Math.min(moment, soonest.get(step) ?? moment));
      learn(step);
    }
    // What several of them have in common is the luck of the maker whose hands most of them come from.
    const groups = new Map<number, number[]>();
    let chance = 1;
    for (const [step, moment] of soonest) {
      const [maker] = makersOf.get(step)!;
      if (maker === undefined) chance *= by(step, moment);
      else groups.set(maker, [...(groups.get(maker) ?? []), step]);
    }
    for (const [maker, steps] of groups) {
      if (steps.length === 1) {
        chance *= by(steps[0]!, soonest.get(steps[0]!)!);
        continue;
      }
      let sum = 0;
      for (const luck of lucks) {
        let all = 1;
        for (const step of steps) all *= waysAt(step, maker, luck).overBy(place(soonest.get(step)!));
        sum += all;
      }
      chance *= sum / LUCKS;
    }
    return Math.min(1, chance);
  }

  return { by, together };
}

/** The share of a spread that lies below a number of days. @param knots  days at k / 32 */
function shareWithin(knots: Float64Array, days: number): number {
  let share = 0;
  for (let k = 0; k + 1 < SPREAD_KNOTS; k++) {
    const from = knots[k]!;
    const until = knots[k + 1]!;
    if (until <= days) share += 1;
    else if (from < days) share += (days - from) / (until - from);
  }
  return share / (SPREAD_KNOTS - 1);
}
