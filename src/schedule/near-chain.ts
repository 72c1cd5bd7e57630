import { dayWords } from '../platform/day.ts';
import { count } from './durations.ts';
import { datedStep, drivingChain, type Schedule } from './schedule.ts';
import { stepPath } from './view.ts';

/** Whether a step is being done, could be, or can't yet. */
export type StepState = 'under way' | 'in the post' | 'can begin' | 'waits' | 'on hold';

/** How one box leads to another: at once, by a link drawn by hand, or with steps between that are not shown. */
export type BoxLink = 'plain' | 'by hand' | 'between';

/** A step of the driving chain, or one that runs beside it with little float, as it is drawn. */
export interface NetworkBox {
  label: string;
  /** '' for the box that stands for steps left out */
  href: string;
  when: string;
  note: string;
  state: StepState;
  /** whether a day lost on it moves the finish */
  drives: boolean;
  late: boolean;
  onChain: boolean;
  /** place of the box that sets its start, -1 for none; the chain's own follow one another */
  after: number;
  afterBy: BoxLink;
  /** place of the box that it holds up first, -1 for none */
  before: number;
  beforeBy: BoxLink;
}

export interface NearChain {
  /** steps of the chain that sets the finish, in order, without moments that take no time */
  chain: number[];
  /** steps beside it, those with the least float first */
  beside: number[];
}

/** So many steps at each end of a long chain are drawn, and so many beside it. */
const ENDS = 12;
const MOST_BESIDE = 18;

/** The driving chain, and the steps that have no more than so many working days of float. */
export function nearChain(schedule: Schedule, withinDays: number): NearChain {
  const { nodes } = schedule.network;
  const { floats, earlyStarts } = schedule.dates;
  const chain = drivingChain(schedule).filter((at) => nodes[at]!.kind !== 'mark');
  const isOn = new Set(chain);
  const beside: number[] = [];
  nodes.forEach(({ kind }, at) => {
    if (kind !== 'mark' && floats[at]! <= withinDays && !isOn.has(at)) beside.push(at);
  });
  // Of equal floats the later first: what it leads to is then among those shown.
  beside.sort((a, b) => floats[a]! - floats[b]! || earlyStarts[b]! - earlyStarts[a]! || a - b);
  return { chain, beside };
}

interface Neighbour {
  at: number;
  byHand: boolean;
}

/** What sets a step's start, and what a step holds up first, past the moments that take no time. */
export function neighboursOf({ network, dates }: Schedule) {
  const { nodes, links } = network;
  const { drivers, floats, earlyStarts } = dates;
  const leaving = new Map<number, Neighbour[]>();
  const drawnByHand = new Set<string>();
  for (const { from, to, byHand } of links) {
    const list = leaving.get(from);
    if (list) list.push({ at: to, byHand });
    else leaving.set(from, [{ at: to, byHand }]);
    if (byHand) drawnByHand.add(`${from}-${to}`);
  }
  const isSooner = (a: number, b: number) =>
    floats[a]! - floats[b]! || earlyStarts[a]! - earlyStarts[b]! || a - b;
  return {
    before(at: number): Neighbour | null {
      let byHand = drawnByHand.has(`${drivers[at]}-${at}`);
      let found = drivers[at]!;
      while (found !== -1 && nodes[found]!.kind === 'mark') {
        byHand ||= drawnByHand.has(`${drivers[found]}-${found}`);
        found = drivers[found]!;
      }
      return found === -1 ? null : { at: found, byHand };
    },
    after(at: number): Neighbour | null {
      const seen = new Set<number>();
      const open: Neighbour[] = [{ at, byHand: false }];
      let best: Neighbour | null = null;
      for (let next = open.pop(); next; next = open.pop()) {
        for (const link of leaving.get(next.at) ?? []) {
          if (seen.has(link.at)) continue;
          seen.add(link.at);
          const found = { at: link.at, byHand: next.byHand || link.byHand };
          if (nodes[found.at]!.kind === 'mark') open.push(found);
          else if (best === null || isSooner(found.at, best.at) < 0) best = found;
        }
      }
      return best;
    },
  };
}

export function stateOf({ network, dates }: Schedule, at: number): StepState {
  const { word, job, claim, notBefore } = network.nodes[at]!;
  if (job?.heldAt) return 'on hold';
  if (word === 'travel') return 'in the post';
  const isBegun =
    word === 'delivery'
      ? job?.orderedAt
      : word === 'make'
        ? claim?.startedAt
        : word === '' || word === 'fit-up'
          ? job?.startedAt
          : null;
  if (isBegun) return 'under way';
  return dates.drivers[at] === -1 && notBefore <= 0 ? 'can begin' : 'waits';
}

/** The boxes of the drawing, those of the chain first. A chain too long to be drawn keeps its two ends. */
export function networkBoxes(
  schedule: Schedule,
  { chain, beside }: NearChain,
): { boxes: NetworkBox[]; left: { chain: number; beside: number } } {
  const { before, after } = neighboursOf(schedule);
  const leftOut = chain.length > 2 * ENDS ? chain.slice(ENDS, -ENDS) : [];
  const isLeftOut = new Set(leftOut);
  const places = new Map<number, number>();
  const drawn: (number | null)[] = [];
  for (const at of chain) {
    if (at === leftOut[0]) drawn.push(null);
    if (isLeftOut.has(at)) places.set(at, ENDS);
    else places.set(at, drawn.push(at) - 1);
  }
  // What leads to a step left out is left out with it.
  const candidates = beside.slice(0, MOST_BESIDE);
  const isCandidate = new Set(candidates);
  const leads = (at: number): boolean => {
    let found: Neighbour | null = { at, byHand: false };
    do found = after(found.at);
    while (found && !places.has(found.at) && !isCandidate.has(found.at));
    if (!found) return false;
    return places.has(found.at) ? drawn[places.get(found.at)!] !== null : leads(found.at);
  };
  const shown = candidates.filter(leads);
  for (const at of shown) places.set(at, drawn.push(at) - 1);

  const resolve = (at: number, step: (at: number) => Neighbour | null): [number, BoxLink] => {
    let found = step(at);
    if (!found) return [-1, 'plain'];
    if (places.has(found.at)) return [places.get(found.at)!, found.byHand ? 'by hand' : 'plain'];
    while (found && !places.has(found.at)) found = step(found.at);
    return found ? [places.get(found.at)!, 'between'] : [-1, 'plain'];
  };
  const onChain = drawn.length - shown.length;
  const boxes = drawn.map((at, place): NetworkBox => {
    const isOnChain = place < onChain;
    const links = { after: place - 1, afterBy: 'plain' as BoxLink, before: -1, beforeBy: 'plain' as BoxLink };
    if (at === null) return { ...leftOutBox(leftOut.length), ...links };
    if (isOnChain) {
      if (drawn[place - 1] !== null && before(at)?.byHand) links.afterBy = 'by hand';
    } else {
      [links.after, links.afterBy] = resolve(at, before);
      [links.before, links.beforeBy] = resolve(at, after);
    }
    return { ...stepBox(schedule, at), onChain: isOnChain, ...links };
  });
  return { boxes, left: { chain: leftOut.length, beside: beside.length - shown.length } };
}

type BoxAlone = Omit<NetworkBox, 'onChain' | 'after' | 'afterBy' | 'before' | 'beforeBy'>;

function stepBox(schedule: Schedule, at: number): BoxAlone {
  const step = datedStep(schedule, at);
  const { today } = schedule.facts;
  const state = stateOf(schedule, at);
  const [begins, ends] = [dayWords(step.earlyStart, today), dayWords(step.earlyEnd, today)];
  return {
    label: step.label,
    href: stepPath(step.key),
    when: begins === ends ? ends : `${begins} – ${ends}`,
    note: step.critical ? `${state}, drives` : `${state}, ${step.floatDays} d float`,
    state,
    drives: step.critical,
    late: step.late,
  };
}

function leftOutBox(steps: number): BoxAlone & { onChain: true } {
  return {
    label: `${count(steps, 'step')} more`,
    href: '',
    when: 'not drawn',
    note: 'in the table below',
    state: 'waits',
    drives: true,
    late: false,
    onChain: true,
  };
}
