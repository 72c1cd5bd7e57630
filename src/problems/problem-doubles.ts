// Whether a problem was written down already: problems of the same part, or anywhere, whose title says nearly the same.
// Pure. Suggested only: who reads them knows better.

export interface TitledProblem {
  id: number;
  title: string;
  partId: number | null;
}

const MOST_DOUBLES = 3;

/** Words of a title that say something: small letters without marks, without the ends that grammar puts there. */
export function tellingWords(title: string): Set<string> {
  const words =
    title
      .normalize('NFKD')
      .replace(/\p{M}/gu, '')
      .toLowerCase()
      .match(/[\p{L}\p{N}]+/gu) ?? [];
  return new Set(words.filter((word) => word.length > 2 && !SMALL_WORDS.has(word)).map(stem));
}

const SMALL_WORDS = new Set(
  'the and are was has had not its with when from that this but for too one two out off all any can does into onto very'.split(
    ' ',
  ),
);

function stem(word: string): string {
  return word.length > 4 ? word.replace(/(?:ing|ed|es|s|y|ly)$/, '') : word.replace(/s$/, '');
}

/** Telling words that both titles have, and their share of the words of the shorter one, 0 to 1. */
export function likeness(one: string, other: string): { common: number; share: number } {
  const [a, b] = [tellingWords(one), tellingWords(other)];
  let common = 0;
  for (const word of a) if (b.has(word)) common += 1;
  return { common, share: common / Math.max(1, Math.min(a.size, b.size)) };
}

/**
 * The problems a new one is likely to be the same as, the likeliest first, three at most. Of the same part a third of
 * the telling words in common is enough; elsewhere two in three, and two words at least.
 *
 * @param known  problems still to be cured
 */
export function likelyDoubles<T extends TitledProblem>(
  typed: { title: string; partId: number | null; id?: number },
  known: readonly T[],
): T[] {
  return known
    .filter(({ id }) => id !== typed.id)
    .map((problem) => ({
      problem,
      samePart: typed.partId !== null && problem.partId === typed.partId,
      ...likeness(typed.title, problem.title),
    }))
    .filter(({ samePart, common, share }) => (samePart ? share >= 1 / 3 : share >= 2 / 3 && common > 1))
    .sort(
      (a, b) => Number(b.samePart) - Number(a.samePart) || b.share - a.share || a.problem.id - b.problem.id,
    )
    .slice(0, MOST_DOUBLES)
    .map(({ problem }) => problem);
}
