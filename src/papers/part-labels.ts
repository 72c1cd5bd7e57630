import { type PartsGraph, structureGraph } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import { found, refuse } from '../platform/refusal.ts';
import type { UnitLabel } from './labels.ts';
import { MOST_LABELS } from './paper.ts';

/** The parts a sheet of labels is for, in the order of the structure, each once. Pure. */
export function labelledParts(graph: PartsGraph, partId: number, deep: boolean): number[] {
  const { ids, places, firstChild, childTargets } = graph.structure;
  const seen = new Set([partId]);
  const waiting = [partId];
  for (let id = waiting.shift(); id !== undefined; id = waiting.shift()) {
    const place = places.get(id)!;
    for (let use = firstChild[place]!; use < firstChild[place + 1]!; use++) {
      const child = ids[childTargets[use]!]!;
      if (seen.has(child)) continue;
      seen.add(child);
      if (deep) waiting.push(child);
    }
  }
  // What lies in stock has no place of its own to stick a label on: screws, wire, glue.
  return [...seen].filter((id) => id === partId || graph.parts.get(id)!.kind !== 'stock');
}

/**
 * Labels for the machine: one for a part or assembly, and one for each part that goes into it. The code on each opens
 * the form for a problem with the place filled in.
 *
 * @param deep  for everything below as well, not only for what goes straight into it
 * @param from  the first label, counted from 1; MOST_LABELS at most follow
 * @throws NotFound  no such part in the build
 * @throws Refused   no label has that number
 */
export async function readPartLabels(
  db: Pick<Database, 'read' | 'hot'>,
  number: string,
  { deep, from, baseUrl }: { deep: boolean; from: number; baseUrl: string },
): Promise<{ labels: UnitLabel[]; title: string; country: string }> {
  const graph = structureGraph(db.hot);
  const part = found(graph.byNumber(number), 'There is no part of this number in the build.');
  const all = labelledParts(graph, part.id, deep);
  const first = Math.max(1, from);
  if (first > all.length) refuse('no-label', `There are ${all.length} labels: none is number ${first}.`);
  const build = await db.read.build.findUniqueOrThrow({ where: { id: 1 }, select: { country: true } });
  const { ids, places, firstParent, parentSources } = graph.structure;
  return {
    labels: all.slice(first - 1, first - 1 + MOST_LABELS).map((id) => {
      const { number: own, name } = graph.parts.get(id)!;
      const place = places.get(id)!;
      const parents = new Set(Array.from(parentSources.slice(firstParent[place]!, firstParent[place + 1]!)));
      const into = [...parents].map((source) => graph.parts.get(ids[source]!)!.number);
      return {
        heading: own,
        lines: [
          name,
          into.length === 0
            ? ''
            : `goes into ${into.length > 2 ? `${into.length} assemblies` : into.join(', ')}`,
          'Something wrong? Read the code.',
        ].filter(Boolean),
        link: `${baseUrl}/problems/new?part=${encodeURIComponent(own)}`,
      };
    }),
    title: `${part.number} labels`,
    country: build.country,
  };
}
