import type { JobFacts } from '../jobs/index.ts';
import { type DatedStep, datedStep, type Schedule } from './schedule.ts';

/** Who a step that can go on now lies with. */
export type With = 'makers' | 'the post' | 'suppliers' | 'open to makers' | 'lead';

/** A step that waits for nothing but somebody's hands. */
export interface StartableStep {
  step: DatedStep;
  with: With;
  /** what the lead is asked to do, in one word; null when it lies with somebody else */
  act: 'draw' | 'release' | 'offer' | 'order' | 'inspect' | 'fit' | 'try' | 'do' | null;
  /** how many parts and fit-ups further on wait for it, directly or not */
  waiting: number;
  /** the nearest fit-up that waits for it */
  nextFitUp: string | null;
}

function placed(step: DatedStep, job: JobFacts | undefined): Pick<StartableStep, 'with' | 'act'> {
  switch (step.kind) {
    case 'make':
      return { with: 'makers', act: null };
    case 'post':
      return { with: step.key.endsWith('-travel') ? 'the post' : 'makers', act: null };
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
  const { nodes, links, openJobs } = schedule.network;
  const jobs = new Map(openJobs.map((job) => [job.id, job]));
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
  const behind = (start: number): { waiting: number; nextFitUp: string | null } => {
    // Breadth first, so that the first fit-up met is the nearest.
    const queue = [start];
    seen[start] = start;
    let waiting = 0;
    let nextFitUp: string | null = null;
    for (let head = 0; head < queue.length; head += 1) {
      const at = queue[head]!;
      for (let link = firstLink[at]!; link < firstLink[at + 1]!; link += 1) {
        const to = targets[link]!;
        if (seen[to] === start) continue;
        seen[to] = start;
        queue.push(to);
        const { kind, label } = nodes[to]!;
        if (kind === 'fit-up' || kind === 'trial') {
          waiting += 1;
          nextFitUp ??= label;
        }
      }
    }
    return { waiting, nextFitUp };
  };

  const found: StartableStep[] = [];
  for (let at = 0; at < nodes.length; at += 1) {
    const node = nodes[at]!;
    if (before[at] || node.kind === 'mark' || node.notBefore > 0) continue;
    const step = datedStep(schedule, at);
    const job = node.jobId === null ? undefined : jobs.get(node.jobId);
    found.push({ step, ...placed(step, job), ...behind(at) });
  }
  return found;
}

export interface Spread {
  total: number;
  parts: { with: With; n: number }[];
  /** of what waits for the lead, how much of each kind */
  lead: { act: NonNullable<StartableStep['act']>; n: number }[];
}

/** How the steps that can go on now are spread over hands. */
export function spreadOf(startable: readonly StartableStep[]): Spread {
  const hands: With[] = ['makers', 'the post', 'suppliers', 'open to makers', 'lead'];
  const acts = ['draw', 'release', 'offer', 'order', 'inspect', 'fit', 'try', 'do'] as const;
  return {
    total: startable.length,
    parts: hands.map((hand) => ({ with: hand, n: startable.filter((one) => one.with === hand).length })),
    lead: acts
      .map((act) => ({ act, n: startable.filter((one) => one.act === act).length }))
      .filter(({ n }) => n > 0),
  };
}
