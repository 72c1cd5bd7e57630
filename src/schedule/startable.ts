import { type DatedStep, datedStep, type Schedule } from './schedule.ts';
import type { Step } from './steps.ts';

/** Who a step that can go on now lies with. */
export type With = 'makers' | 'the post' | 'suppliers' | 'open to makers' | 'lead';

type Act = 'draw' | 'release' | 'offer' | 'order' | 'inspect' | 'fit' | 'try' | 'do';

/** A step that waits for nothing but somebody's hands. There are thousands: what is only told is worked out when asked for. */
export class StartableStep {
  readonly #schedule: Schedule;
  readonly #nextFitUp: number;

  /**
   * @param at         its number in the network
   * @param act        what the lead is asked to do, in one word; null when it lies with somebody else
   * @param waiting    how many fit-ups and trials further on wait for it, directly or not
   * @param nextFitUp  the number of the nearest of them, -1 for none
   */
  constructor(
    schedule: Schedule,
    readonly at: number,
    readonly hands: With,
    readonly act: Act | null,
    readonly waiting: number,
    nextFitUp: number,
  ) {
    this.#schedule = schedule;
    this.#nextFitUp = nextFitUp;
  }

  get step(): DatedStep {
    return datedStep(this.#schedule, this.at);
  }

  /** the nearest fit-up or trial that waits for it */
  get nextFitUp(): string | null {
    return this.#nextFitUp === -1 ? null : this.#schedule.network.nodes[this.#nextFitUp]!.label;
  }
}

function placed({ kind, word, job }: Step): { with: With; act: Act | null } {
  switch (kind) {
    case 'make':
      return { with: 'makers', act: null };
    case 'post':
      return { with: word === 'travel' ? 'the post' : 'makers', act: null };
    case 'delivery':
      return { with: 'suppliers', act: null };
    case 'find':
      // An offer that is out waits for makers; one that is not out waits for the lead.
      return job?.offeredAt ? { with: 'open to makers', act: null } : { with: 'lead', act: 'offer' };
    case 'design':
      return { with: 'lead', act: 'draw' };
    case 'release':
      return { with: 'lead', act: 'release' };
    case 'order':
      return { with: 'lead', act: 'order' };
    case 'inspect':
      return { with: 'lead', act: 'inspect' };
    case 'fit-up':
      return { with: 'lead', act: 'fit' };
    case 'trial':
      return { with: 'lead', act: 'try' };
    default:
      return { with: 'lead', act: 'do' };
  }
}

/**
 * The steps that can go on now: nothing in the network stands before them. Marks are none.
 *
 * Linear in the network, and for each of these steps in what lies behind it.
 */
export function startableSteps(schedule: Schedule): StartableStep[] {
  const { nodes, links } = schedule.network;
  const before = new Uint8Array(nodes.length);
  const firstLink = new Int32Array(nodes.length + 1);
  for (const { from, to } of links) {
    before[to] = 1;
    firstLink[from + 1]! += 1;
  }
  for (let at = 0; at < nodes.length; at += 1) firstLink[at + 1]! += firstLink[at]!;
  const targets = new Int32Array(links.length);
  const fill = firstLink.slice();
  for (const { from, to } of links) {
    targets[fill[from]!] = to;
    fill[from]! += 1;
  }

  const seen = new Int32Array(nodes.length).fill(-1);
  const queue = new Int32Array(nodes.length);
  const isFitting = Uint8Array.from(nodes, ({ kind }) => (kind === 'fit-up' || kind === 'trial' ? 1 : 0));
  const found: StartableStep[] = [];
  for (let start = 0; start < nodes.length; start += 1) {
    const node = nodes[start]!;
    if (before[start] || node.kind === 'mark' || node.notBefore > 0) continue;
    // Breadth first, so that the first fit-up met is the nearest.
    let waiting = 0;
    let nextFitUp = -1;
    let end = 1;
    queue[0] = start;
    seen[start] = start;
    for (let head = 0; head < end; head += 1) {
      const at = queue[head]!;
      for (let link = firstLink[at]!; link < firstLink[at + 1]!; link += 1) {
        const to = targets[link]!;
        if (seen[to] === start) continue;
        seen[to] = start;
        queue[end++] = to;
        if (!isFitting[to]) continue;
        waiting += 1;
        if (nextFitUp === -1) nextFitUp = to;
      }
    }
    const { with: hands, act } = placed(node);
    found.push(new StartableStep(schedule, start, hands, act, waiting, nextFitUp));
  }
  return found;
}

export interface Spread {
  total: number;
  parts: { with: With; n: number }[];
  /** of what waits for the lead, how much of each kind */
  lead: { act: Act; n: number }[];
}

/** How the steps that can go on now are spread over hands. */
export function spreadOf(startable: readonly StartableStep[]): Spread {
  const hands: With[] = ['makers', 'the post', 'suppliers', 'open to makers', 'lead'];
  const acts = ['draw', 'release', 'offer', 'order', 'inspect', 'fit', 'try', 'do'] as const;
  return {
    total: startable.length,
    parts: hands.map((hand) => ({ with: hand, n: startable.filter((one) => one.hands === hand).length })),
    lead: acts
      .map((act) => ({ act, n: startable.filter((one) => one.act === act).length }))
      .filter(({ n }) => n > 0),
  };
}
