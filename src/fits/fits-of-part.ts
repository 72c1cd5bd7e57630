import { chainVerdictLine } from './chain-list.ts';
import { chainSources, readChaining } from './chain-reading.ts';
import { readFitting } from './fit-reading.ts';
import { verdictLine } from './fit-view.ts';
import { type Reader, sideSources } from './side-store.ts';

/** A fit or a chain that a part takes part in; views/shared/fits-of-part.njk shows it. */
export interface FitOfPart {
  href: string;
  name: string;
  /** what the part is in it: hole, shaft, link */
  as: string;
  verdict: { word: string; line: string; text: string };
  /** what the drafts would make of it, where that is another word */
  draft: { word: string; text: string } | null;
  changes: string[];
}

const LINKS = { links: { where: { removedAt: null }, orderBy: { position: 'asc' } } } as const;

/** The fits a part is a side of, and the chains it or such a fit is a link of. */
export async function fitsOfPart(reader: Reader, partId: number): Promise<FitOfPart[]> {
  const fitRows = await reader.fit.findMany({
    where: { removedAt: null, OR: [{ holePartId: partId }, { shaftPartId: partId }] },
    orderBy: { id: 'asc' },
  });
  const fitIds = fitRows.map(({ id }) => id);
  const chainRows = await reader.chain.findMany({
    where: {
      removedAt: null,
      links: { some: { removedAt: null, OR: [{ partId }, { fitId: { in: fitIds } }] } },
    },
    include: LINKS,
    orderBy: { id: 'asc' },
  });
  if (fitRows.length === 0 && chainRows.length === 0) return [];
  const sides = await sideSources(
    reader,
    fitRows.flatMap(({ holePartId, shaftPartId }) => [{ partId: holePartId }, { partId: shaftPartId }]),
  );
  const { sources, fits } = await chainSources(reader, chainRows);
  return [
    ...fitRows.map((row): FitOfPart => {
      const reading = readFitting(row, sides);
      const verdict = verdictLine(reading.current);
      const draft = reading.draft && verdictLine(reading.draft);
      return {
        href: `/fits/${row.id}`,
        name: reading.name,
        as: row.holePartId === partId ? 'hole' : 'shaft',
        verdict,
        draft: draft && draft.word !== verdict.word ? draft : null,
        changes: reading.changes,
      };
    }),
    ...chainRows.map((row): FitOfPart => {
      const reading = readChaining(row, sources, fits);
      const verdict = chainVerdictLine(reading.current);
      const draft = reading.draft && chainVerdictLine(reading.draft);
      return {
        href: `/chains/${row.id}`,
        name: row.title,
        as: 'link',
        verdict,
        draft: draft && draft.word !== verdict.word ? draft : null,
        changes: reading.changes,
      };
    }),
  ];
}
