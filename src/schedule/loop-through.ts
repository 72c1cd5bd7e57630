import type { BuildFacts, JobLinkFacts } from './build-facts.ts';
import { deriveNetwork } from './derive.ts';
import type { Step, StepLink } from './steps.ts';

/**
 * The loop that a link by hand would close in the network as it is derived: through steps of jobs, parts that wait for
 * what goes into them (whether or not there is a job for that yet), trials that wait for their part.
 *
 * @returns the loop in words, its first again at the end; null when the link closes none
 *
 * Example: a frame no job answers for, whose post is made by job 3 and which job 9 tries; the link from 9 to 3 gives
 * ['job 3', 'Post ready to fit', 'Fit up Frame', 'Frame ready to fit', 'job 9', 'job 3']
 */
export function loopThrough(facts: BuildFacts, added: JobLinkFacts): string[] | null {
  const { nodes, links } = deriveNetwork({ ...facts, links: [...facts.links, added] });
  const isAdded = ({ from, to, type, byHand }: StepLink) =>
    byHand && type === added.type && nodes[from]!.jobId === added.fromId && nodes[to]!.jobId === added.toId;
  const after = new Map<number, number[]>();
  const tails = new Set<number>();
  const heads = new Set<number>();
  for (const link of links) {
    if (isAdded(link)) {
      tails.add(link.from);
      heads.add(link.to);
      continue;
    }
    const list = after.get(link.from);
    if (list) list.push(link.to);
    else after.set(link.from, [link.to]);
  }
  const cameFrom = new Map<number, number>([...heads].map((head) => [head, -1]));
  // Breadth first: the shortest way back is the one named.
  const queue = [...heads];
  for (const at of queue) {
    if (tails.has(at)) return wayWords(nodes, cameFrom, at);
    for (const next of after.get(at) ?? []) {
      if (cameFrom.has(next)) continue;
      cameFrom.set(next, at);
      queue.push(next);
    }
  }
  return null;
}

function wayWords(nodes: readonly Step[], cameFrom: ReadonlyMap<number, number>, last: number): string[] {
  const words: string[] = [];
  for (let at = last; at !== -1; at = cameFrom.get(at)!) {
    const { jobId, label } = nodes[at]!;
    const word = jobId === null ? label : `job ${jobId}`;
    if (words[0] !== word) words.unshift(word);
  }
  return [...words, words[0]!];
}
