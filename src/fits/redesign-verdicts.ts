import { chainVerdictLine } from './chain-list.ts';
import { type ChainRow, chainSources, type JudgedChain, readChaining } from './chain-reading.ts';
import { type FitRow, type Judged, readFitting } from './fit-reading.ts';
import { verdictLine } from './fit-view.ts';
import { type Reader, type SideSources, sideSources } from './side-store.ts';
import type { Verdict } from './verdict.ts';

/** A part that goes from one revision to another; null where there is none before, or none begun yet. */
export interface RevisionStep {
  partId: number;
  fromId: number | null;
  toId: number | null;
}

export interface VerdictLine {
  word: Verdict;
  line: string;
  text: string;
  /** the least there is to spare, in mm, below 0 what is missing; null when not known */
  margin: number | null;
}

/** A fit or a chain that changed parts take part in, with the verdict before and after. */
export interface VerdictStep {
  kind: 'fit' | 'chain';
  href: string;
  name: string;
  /** those of the changed parts that take part in it, by id */
  partIds: number[];
  was: VerdictLine;
  /** null while none of their new revisions is begun */
  is: VerdictLine | null;
  /** whether the word gets worse or better */
  turn: 'worse' | 'better' | 'same';
}

const LINKS = { links: { where: { removedAt: null }, orderBy: { position: 'asc' } } } as const;

/** From good to bad: what is not known is feared more than what rarely fails. */
const RANKS: Record<Verdict, number> = { fits: 0, 'may fail': 1, 'not known': 2, 'does not fit': 3 };

/** Whether one verdict is worse or better than another. */
export function turnOf(was: Verdict, is: Verdict): VerdictStep['turn'] {
  return RANKS[is] > RANKS[was] ? 'worse' : RANKS[is] < RANKS[was] ? 'better' : 'same';
}

/**
 * What becomes of fits and chains when several parts change together: all new revisions are put in at once, so that a
 * hole and its shaft that both change are judged as they will meet. Parts beside them stay as they are released;
 * their own drafts are left out.
 *
 * @returns  those that get worse first, of these the least to spare first; then those that get better, then the rest
 */
export async function verdictSteps(reader: Reader, steps: readonly RevisionStep[]): Promise<VerdictStep[]> {
  const partIds = steps.map(({ partId }) => partId);
  const fitRows: FitRow[] = await reader.fit.findMany({
    where: { removedAt: null, OR: [{ holePartId: { in: partIds } }, { shaftPartId: { in: partIds } }] },
    orderBy: { id: 'asc' },
  });
  const fitIds = fitRows.map(({ id }) => id);
  const chainRows: ChainRow[] = await reader.chain.findMany({
    where: {
      removedAt: null,
      links: { some: { removedAt: null, OR: [{ partId: { in: partIds } }, { fitId: { in: fitIds } }] } },
    },
    include: LINKS,
    orderBy: { id: 'asc' },
  });
  if (fitRows.length + chainRows.length === 0) return [];
  const refs = fitRows.flatMap((row) => [{ partId: row.holePartId }, { partId: row.shaftPartId }]);
  const sides = stepping(await sideSources(reader, refs), steps);
  const { sources, fits } = await chainSources(reader, chainRows);
  const links = stepping(sources, steps);
  const own = (ids: readonly (number | null)[]) => partIds.filter((id) => ids.includes(id));
  const ofFits = fitRows.map((row) => {
    const { name, current, draft } = readFitting(row, sides);
    const touched = own([row.holePartId, row.shaftPartId]);
    const was = { ...verdictLine(current), margin: marginOf(current) };
    const is = draft && { ...verdictLine(draft), margin: marginOf(draft) };
    return stepOf({ kind: 'fit', href: `/fits/${row.id}`, name, partIds: touched, was, is });
  });
  const ofChains = chainRows.map((row) => {
    const { current, draft, links: read } = readChaining(row, links, fits);
    const touched = own(
      read.flatMap(({ side, fit }) =>
        fit ? [fit.row.holePartId, fit.row.shaftPartId] : [side?.part?.id ?? null],
      ),
    );
    const was = { ...chainVerdictLine(current), margin: marginOf(current) };
    const is = draft && { ...chainVerdictLine(draft), margin: marginOf(draft) };
    return stepOf({ kind: 'chain', href: `/chains/${row.id}`, name: row.title, partIds: touched, was, is });
  });
  return [...ofFits, ...ofChains].sort(byWeight);
}

function stepOf(step: Omit<VerdictStep, 'turn'>): VerdictStep {
  return { ...step, turn: step.is ? turnOf(step.was.word, step.is.word) : 'same' };
}

const marginOf = (judged: Judged | JudgedChain) => (judged.known ? judged.verdict.margin : null);

const TURNS = ['worse', 'better', 'same'];

function byWeight(a: VerdictStep, b: VerdictStep): number {
  const turn = TURNS.indexOf(a.turn) - TURNS.indexOf(b.turn);
  if (turn !== 0) return turn;
  const least = ({ is, was }: VerdictStep) => (is ?? was).margin ?? Number.NEGATIVE_INFINITY;
  return least(a) < least(b) ? -1 : least(a) > least(b) ? 1 : 0;
}

/** What sides are read from, with the steps put as a released revision and its draft, and all other drafts left out. */
function stepping(sources: SideSources, steps: readonly RevisionStep[]): SideSources {
  const parts: SideSources['parts'] = new Map();
  for (const [id, part] of sources.parts) {
    const { revisions } = part;
    const step = steps.find(({ partId }) => partId === id);
    const isReleased = revisions.some(({ state }) => state === 'released');
    const stands = revisions.filter(({ state }) => !isReleased || state !== 'draft');
    const inState = (revisionId: number | null, state: string) =>
      revisions.filter((revision) => revision.id === revisionId).map((revision) => ({ ...revision, state }));
    parts.set(id, {
      ...part,
      revisions: step ? [...inState(step.fromId, 'released'), ...inState(step.toId, 'draft')] : stands,
    });
  }
  return { ...sources, parts };
}
