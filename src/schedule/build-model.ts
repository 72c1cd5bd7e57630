import type { Schedule } from './schedule.ts';
import { timesOf } from './schedule.ts';
import { type BuildModel, changeKinds } from './simulate.ts';
import { SPREAD_KNOTS, type Spread } from './spread.ts';

/** A change to one step, tried on every run; see `changeKinds`. */
export interface Change {
  step: number;
  kind: keyof typeof changeKinds;
  /** days or a moment; a spread for `soonerOf` */
  value: number | Spread;
}

/** What is asked of a simulation beside the finish. */
export interface Asked {
  /** in how many runs does a step end after a moment */
  due?: readonly { step: number; by: number }[];
  /** each a set of changes made together */
  tries?: readonly (readonly Change[])[];
  /** percentiles of every step's end, and sensitivities */
  inDetail?: boolean;
  runs?: number;
  seed?: number;
}

/** So many steps drawn in all: a large build is run fewer times, so that it is still answered within a second or two. */
const STEPS_DRAWN = 8_000_000;
const FEWEST_RUNS = 600;
const MOST_RUNS = 10_000;

/** How many runs a build of so many steps is given. */
export function runsFor(steps: number): number {
  return Math.max(FEWEST_RUNS, Math.min(MOST_RUNS, Math.round(STEPS_DRAWN / Math.max(1, steps) / 100) * 100));
}

/** What to simulate of a schedule. */
export function buildModel(schedule: Schedule, asked: Asked = {}): BuildModel {
  const { network, graph } = schedule;
  const { nodes } = network;
  const count = nodes.length;
  const times = timesOf(nodes);
  const spreads = new SpreadList();
  const spreadOf = new Int32Array(count).fill(-1);
  const groupOf = new Int32Array(count).fill(-1);
  const groups = new Map<number, number>();
  nodes.forEach(({ duration: { spread } }, step) => {
    if (!spread) return;
    spreadOf[step] = spreads.place(spread);
    if (spread.personId === 0) return;
    let group = groups.get(spread.personId);
    if (group === undefined) {
      group = groups.size;
      groups.set(spread.personId, group);
    }
    groupOf[step] = group;
  });
  const { due = [], tries = [], inDetail = false, runs = runsFor(count), seed = 1 } = asked;
  const changes = tries.flat();
  const first = new Int32Array(tries.length + 1);
  tries.forEach((one, at) => {
    first[at + 1] = first[at]! + one.length;
  });
  const values = Int32Array.from(changes, ({ value }) =>
    typeof value === 'number' ? value : spreads.place(value),
  );
  return {
    graph,
    days: times.durations,
    notBefore: times.notBefore,
    calendarOf: times.calendars,
    calendars: network.calendars.map(({ table }) => table),
    spreadOf,
    spreads: spreads.all(),
    groupOf,
    streamOf: Int32Array.from(nodes, ({ key }) => nameNumber(key)),
    groupStreams: Int32Array.from(groups.keys(), (personId) => nameNumber(`person-${personId}`)),
    strength: network.history.strength.value,
    runs,
    seed,
    inDetail,
    dueSteps: Int32Array.from(due, ({ step }) => step),
    dueBy: Int32Array.from(due, ({ by }) => by),
    variants: {
      first,
      steps: Int32Array.from(changes, ({ step }) => step),
      kinds: Uint8Array.from(changes, ({ kind }) => changeKinds[kind]),
      values,
    },
  };
}

/** Spreads that many steps have in common are kept once. */
class SpreadList {
  readonly #days: Float64Array[] = [];
  readonly #places = new Map<Float64Array, number>();

  place(spread: Spread): number {
    const days = spread.days();
    let place = this.#places.get(days);
    if (place === undefined) {
      place = this.#days.push(days) - 1;
      this.#places.set(days, place);
    }
    return place;
  }

  all(): Float64Array {
    const all = new Float64Array(this.#days.length * SPREAD_KNOTS);
    this.#days.forEach((days, place) => {
      all.set(days, place * SPREAD_KNOTS);
    });
    return all;
  }
}

/** A number for a name, the same each time. Source: FNV-1a, 32 bits, by Fowler, Noll and Vo; constants from memory. */
function nameNumber(name: string): number {
  let hash = 0x811c9dc5;
  for (let at = 0; at < name.length; at++) hash = Math.imul(hash ^ name.charCodeAt(at), 0x01000193);
  return hash;
}
