import type { JudgedChain } from './chain-reading.ts';
import { chainSources, readChaining } from './chain-reading.ts';
import { lineOf, marginWords, mmWords } from './fit-view.ts';
import type { Reader } from './side-store.ts';

/** A chain's verdict as pages show it. */
export function chainVerdictLine(judged: JudgedChain) {
  if (!judged.known) return { word: 'not known' as const, line: lineOf('not known'), text: judged.sentence };
  const { verdict } = judged.verdict;
  return { word: verdict, line: lineOf(verdict), text: marginWords(judged.verdict) };
}

/** Every chain of the build with its verdict. */
export async function readChainList(reader: Reader) {
  const rows = await reader.chain.findMany({
    where: { removedAt: null },
    orderBy: { id: 'asc' },
    include: { links: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
  });
  const { sources, fits } = await chainSources(reader, rows);
  return rows.map((row) => {
    const reading = readChaining(row, sources, fits);
    return {
      href: `/chains/${row.id}`,
      title: row.title,
      wanted: `${mmWords(row.wantedMin)} to ${mmWords(row.wantedMax)} mm`,
      links: row.links.length,
      parts: reading.links.map(({ label }) => label),
      verdict: chainVerdictLine(reading.current),
      changed: reading.changes.length > 0,
      draft: reading.draft && chainVerdictLine(reading.draft),
    };
  });
}
