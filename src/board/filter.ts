import { z } from 'zod';
import { JOB_KINDS, type JobCard, type JobFacts } from '../jobs/index.ts';
import type { Structure } from '../parts/index.ts';
import { STAGES } from './zones.ts';

const id = z.coerce.number().int().min(1).max(999_999_999).nullable().catch(null);
const tick = z
  .literal('yes')
  .transform(() => true)
  .catch(false);

/** What the board is asked to show, as it stands in the address. What can't be read is not asked. */
export const BoardAddress = z.object({
  assembly: id,
  maker: id,
  kind: z.enum(JOB_KINDS).nullable().catch(null),
  process: z.string().trim().min(1).max(120).nullable().catch(null),
  words: z.string().trim().max(80).catch(''),
  drives: tick,
  mine: tick,
  stage: z.enum(STAGES).nullable().catch(null),
  page: z.coerce.number().int().min(1).max(10_000).catch(1),
});
export type BoardFilter = z.output<typeof BoardAddress>;

/** The address of the board with these filters; one that asks for nothing is left out. */
export function boardPath(filter: Partial<BoardFilter>): string {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(filter)) {
    if (value === null || value === '' || value === false || (name === 'page' && value === 1)) continue;
    query.set(name, value === true ? 'yes' : String(value));
  }
  const text = query.toString();
  return text ? `/board?${text}` : '/board';
}

/** A part and everything that goes into it at any depth, by id. Nothing for a part the structure does not hold. */
export function partAndBelow(structure: Structure, partId: number): Set<number> {
  const start = structure.places.get(partId);
  const found = new Set<number>();
  if (start === undefined) return found;
  const seen = new Uint8Array(structure.ids.length);
  const stack = [start];
  seen[start] = 1;
  for (let place = stack.pop(); place !== undefined; place = stack.pop()) {
    found.add(structure.ids[place]!);
    for (let use = structure.firstChild[place]!; use < structure.firstChild[place + 1]!; use++) {
      const child = structure.childTargets[use]!;
      if (seen[child]) continue;
      seen[child] = 1;
      stack.push(child);
    }
  }
  return found;
}

/** Whether a job is asked for. `below` holds the parts of the assembly asked for; null when none is. */
export function isAskedFor(
  card: JobCard,
  job: Pick<JobFacts, 'partId'>,
  filter: BoardFilter,
  below: ReadonlySet<number> | null,
): boolean {
  const { maker, kind, process, words, drives, mine, stage } = filter;
  if (below && (job.partId === null || !below.has(job.partId))) return false;
  if (maker !== null && !card.who.some(({ personId }) => personId === maker)) return false;
  if (kind !== null && card.kind !== kind) return false;
  if (process !== null && card.process !== process) return false;
  if (drives && !card.critical) return false;
  if (mine && card.ask?.whom !== 'you') return false;
  if (stage !== null && card.stage !== stage) return false;
  if (words === '') return true;
  const text = `${card.title} ${card.partNumber ?? ''} ${card.number}`.toLowerCase();
  return words
    .toLowerCase()
    .split(/\s+/)
    .every((word) => text.includes(word));
}
