import { NotComputable } from '../platform/not-computable.ts';
import { isOwn, type OwnSurroundings, type Surroundings, surroundingsOf } from './conditions.ts';
import { type FitVerdict, fitVerdict } from './fit-verdict.ts';
import type { Side, SideAt, SideRef, SideSources } from './side-store.ts';
import { sideOf } from './side-store.ts';
import type { Size } from './size.ts';
import { type Wanted, type Wish, wantedGap } from './wanted.ts';

/** A fit as it is stored. */
export interface FitRow extends OwnSurroundings {
  id: number;
  name: string;
  holePartId: number | null;
  holePosition: number | null;
  holeText: string;
  holeExpansion: number | null;
  holeDry: number;
  holeDamp: number;
  holeGrowth: string;
  shaftPartId: number | null;
  shaftPosition: number | null;
  shaftText: string;
  shaftExpansion: number | null;
  shaftDry: number;
  shaftDamp: number;
  shaftGrowth: string;
  wanted: string;
  wantedMin: number | null;
  wantedMax: number | null;
  note: string;
  version: number;
  removedAt: Date | null;
}

/** The verdict on one hole and one shaft, or the sentence that says why there is none. */
export type Judged =
  | { known: true; hole: Size; shaft: Size; wanted: Wanted; verdict: FitVerdict }
  | { known: false; sentence: string };

export interface FitReading {
  row: FitRow;
  name: string;
  hole: Side;
  shaft: Side;
  range: Surroundings;
  /** whether any end of the range is the fit's own */
  ownRange: boolean;
  current: Judged;
  /** with the drafts, where a side has one beside a released revision */
  draft: Judged | null;
  /** what it was before the newest revision of a side's part */
  before: { side: Side; judged: Judged }[];
  /** what the newest revisions changed, in sentences */
  changes: string[];
}

/**
 * Whether the newest revision of a part changed a verdict, in a sentence; null where it did not.
 *
 * @param was, is  verdicts in a word
 */
export function changeSentence(
  { part, current }: Pick<Side, 'part' | 'current'>,
  was: string,
  is: string,
): string | null {
  if (was === is || !part || !current?.letter) return null;
  const released = current.releasedOn ? `, released ${current.releasedOn},` : '';
  return `Revision ${current.letter} of ${part.number}${released} changed this from "${was}" to "${is}".`;
}

export const holeRef = (row: FitRow): SideRef => ({
  partId: row.holePartId,
  position: row.holePosition,
  text: row.holeText,
  expansion: row.holeExpansion,
  dry: row.holeDry,
  damp: row.holeDamp,
  growth: row.holeGrowth,
});

export const shaftRef = (row: FitRow): SideRef => ({
  partId: row.shaftPartId,
  position: row.shaftPosition,
  text: row.shaftText,
  expansion: row.shaftExpansion,
  dry: row.shaftDry,
  damp: row.shaftDamp,
  growth: row.shaftGrowth,
});

const NO_REVISION = 'has no released revision and no draft: draw it first.';

function judge(
  row: FitRow,
  sides: { hole: Side; shaft: Side },
  hole: SideAt | null,
  shaft: SideAt | null,
  range: Surroundings,
): Judged {
  for (const [at, side, word] of [
    [hole, sides.hole, 'hole'],
    [shaft, sides.shaft, 'shaft'],
  ] as const) {
    if (side.part?.removed)
      return { known: false, sentence: `${side.part.number} is taken out of the build.` };
    if (!at) return { known: false, sentence: `${side.part?.number ?? `The ${word}`} ${NO_REVISION}` };
    if (!at.read.ok) return { known: false, sentence: `The ${word}: ${at.read.sentence}` };
  }
  if (!hole?.read.ok || !shaft?.read.ok) return { known: false, sentence: 'A side is not known.' };
  const figures =
    row.wantedMin !== null && row.wantedMax !== null ? { min: row.wantedMin, max: row.wantedMax } : null;
  try {
    const wanted = wantedGap(row.wanted as Wish, hole.read.size.nominal, figures);
    const verdict = fitVerdict(
      { size: hole.read.size, movement: hole.movement },
      { size: shaft.read.size, movement: shaft.movement },
      wanted,
      range,
    );
    return { known: true, hole: hole.read.size, shaft: shaft.read.size, wanted, verdict };
  } catch (fault) {
    if (fault instanceof NotComputable) return { known: false, sentence: `${fault.message}.` };
    throw fault;
  }
}

/** One word for a judgement. */
export const verdictWord = (judged: Judged) => (judged.known ? judged.verdict.verdict : 'not known');

/**
 * A stored fit as it stands today: what the released revisions (or drafts, where none is released) say, what the open
 * drafts would make of it, and whether the newest revision of a side changed the verdict.
 */
export function readFitting(row: FitRow, sources: SideSources): FitReading {
  const range = surroundingsOf(row, sources.machine);
  const hole = sideOf(sources, holeRef(row), 'hole', range);
  const shaft = sideOf(sources, shaftRef(row), 'shaft', range);
  const by = (h: SideAt | null, s: SideAt | null) => judge(row, { hole, shaft }, h, s, range);
  const current = by(hole.current, shaft.current);
  const before = [hole, shaft].flatMap((side) => {
    if (!side.previous) return [];
    // one part may be on both sides
    const [h, s] = [hole, shaft].map((of) => (of.part?.id === side.part?.id ? of.previous : of.current));
    return [{ side, judged: by(h ?? null, s ?? null) }];
  });
  const changes = before.flatMap(
    ({ side, judged }) => changeSentence(side, verdictWord(judged), verdictWord(current)) ?? [],
  );
  return {
    row,
    name: row.name || `${shaft.name} in ${hole.name}`,
    hole,
    shaft,
    range,
    ownRange: isOwn(row),
    current,
    draft: hole.draft || shaft.draft ? by(hole.draft ?? hole.current, shaft.draft ?? shaft.current) : null,
    before,
    changes: [...new Set(changes)],
  };
}
