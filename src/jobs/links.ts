/** One job waits for another, whatever the type of the link. */
export interface Arrow {
  fromId: number;
  toId: number;
}

/** What a job is and what it is done on, as far as the waiting goes. */
export interface LinkedJob {
  id: number;
  kind: string;
  partId: number | null;
  /** what has begun waits for no design any more */
  begun?: boolean;
}

const MAKING = ['fabricate', 'purchase', 'fit-up'];

/**
 * The waiting that follows from the structure: a fit-up waits for all work on the parts that go into its assembly, what
 * makes a part (and has not begun) waits for its design, and a trial of a part for the part.
 *
 * Ways that lead through parts no job answers for are not seen here: the schedule knows them.
 */
export function impliedArrows(
  jobs: readonly LinkedJob[],
  uses: readonly { parentId: number; childId: number }[],
): Arrow[] {
  const byPart = new Map<number, LinkedJob[]>();
  for (const job of jobs) {
    if (job.partId === null) continue;
    const list = byPart.get(job.partId);
    if (list) list.push(job);
    else byPart.set(job.partId, [job]);
  }
  const arrows: Arrow[] = [];
  for (const list of byPart.values()) {
    for (const before of list) {
      for (const { id, kind, begun } of list) {
        const isDrawnFirst =
          before.kind === 'design' && (kind === 'trial' || MAKING.includes(kind)) && !begun;
        const isTried = MAKING.includes(before.kind) && kind === 'trial';
        if (isDrawnFirst || isTried) arrows.push({ fromId: before.id, toId: id });
      }
    }
  }
  for (const { parentId, childId } of uses) {
    for (const fitUp of byPart.get(parentId) ?? []) {
      if (fitUp.kind !== 'fit-up') continue;
      for (const { id, kind } of byPart.get(childId) ?? []) {
        if (kind !== 'trial' && kind !== 'other') arrows.push({ fromId: id, toId: fitUp.id });
      }
    }
  }
  return arrows;
}

/**
 * The loop that a new arrow would close: the shortest way from its head back to its tail, then the head again.
 *
 * Any circle of links counts, whatever their types: the network orders whole jobs.
 *
 * @returns null when it closes none
 *
 * Example: arrows 1 -> 2 and 2 -> 3, new 3 -> 1: [1, 2, 3, 1]
 */
export function loopOf(arrows: readonly Arrow[], added: Arrow): number[] | null {
  const next = new Map<number, number[]>();
  for (const { fromId, toId } of arrows) {
    const list = next.get(fromId);
    if (list) list.push(toId);
    else next.set(fromId, [toId]);
  }
  const cameFrom = new Map<number, number | null>([[added.toId, null]]);
  const queue = [added.toId];
  for (const job of queue) {
    if (job === added.fromId) {
      const way: number[] = [];
      for (let at: number | null = job; at !== null; at = cameFrom.get(at) ?? null) way.unshift(at);
      return [...way, added.toId];
    }
    for (const after of next.get(job) ?? []) {
      if (cameFrom.has(after)) continue;
      cameFrom.set(after, job);
      queue.push(after);
    }
  }
  return null;
}
