import { plainNumber } from '../specs/index.ts';
import { conditionWords, surroundingsWords } from './conditions.ts';
import { fitDrawing } from './fit-drawing.ts';
import type { FitReading, Judged } from './fit-reading.ts';
import type { FitVerdict } from './fit-verdict.ts';
import type { Side, SideAt } from './side-store.ts';
import type { Verdict } from './verdict.ts';
import { type PairSide, type Room, roomFor, type ZonePair, zonePairs } from './zone-pairs.ts';

/** Line of ISO 128 that tells a verdict beside its word. */
const LINES: Record<Verdict, string> = {
  fits: 'double',
  'may fail': 'chain',
  'does not fit': 'struck',
  'not known': 'dotted',
};

/** A length in mm, to a tenth of a micrometre, with the sign of print. */
export function mmWords(value: number): string {
  return plainNumber(Number(value.toFixed(4))).replace('-', '−');
}

/** A share from 0 to 1 in words that promise no more than the figures know. */
export function chanceWords(share: number): string {
  if (share <= 0.00005) return 'under 1 in 10,000';
  if (share >= 0.99995) return 'over 9999 in 10,000';
  return `${plainNumber(Number((share * 100).toFixed(share > 0.99 || share < 0.01 ? 2 : 1)))} %`;
}

/** What there is to spare, or missing, and where. */
export function marginWords(verdict: Pick<FitVerdict, 'margin' | 'worst' | 'notKnownAt'>): string {
  const { margin, worst, notKnownAt } = verdict;
  if (margin === null || !worst) return '';
  const end = worst.end === 'tight' ? 'tight' : 'loose';
  const at = conditionWords(worst.at);
  const figure =
    margin >= 0
      ? `${mmWords(margin)} mm to spare, at the ${end} end, at ${at}`
      : `${mmWords(-margin)} mm too ${end}, at ${at}`;
  return notKnownAt.length ? `${figure}; not known at ${notKnownAt.join(', ')}` : figure;
}

/** A verdict as pages show it. */
export function verdictLine(judged: Judged | { known: true; verdict: FitVerdict }) {
  if (!judged.known) return { word: 'not known' as Verdict, line: LINES['not known'], text: judged.sentence };
  const { verdict } = judged.verdict;
  return { word: verdict, line: LINES[verdict], text: marginWords(judged.verdict) };
}

export const lineOf = (verdict: Verdict) => LINES[verdict];

function sideLine(side: Side, at: SideAt | null, word: string) {
  return {
    word,
    name: side.name,
    part: side.part,
    position: side.position,
    text: at?.read.ok ? at.read.size.text : '',
    limits: at?.read.ok ? `${mmWords(at.read.size.lower)} to ${mmWords(at.read.size.upper)} mm` : '',
    inches: at?.read.ok ? at.read.size.unit === 'in' : false,
    missing: at && !at.read.ok ? at.read.sentence : '',
    revision: at?.letter ? `${at.letter}, ${at.state}${at.releasedOn ? ` ${at.releasedOn}` : ''}` : '',
    href: at?.revisionId ? `/revisions/${at.revisionId}` : '',
    material: at?.material ?? '',
    expansion: at && at.movement.expansion !== null ? String(at.movement.expansion) : '',
    expansionSource: at?.expansionSource ?? '',
    growth: at ? growthWords(at) : '',
    growthSource: at?.swellingSource ?? '',
    waterNote: at?.waterNote ?? '',
    process: at?.process ?? '',
    grades:
      at && (at.grades.usual !== null || at.grades.best !== null)
        ? `usually IT${at.grades.usual ?? '?'}, at best IT${at.grades.best ?? '?'}`
        : '',
  };
}

/** How much longer in the driest and dampest air; empty where it does not move. */
export function growthWords({ movement: { dry, damp } }: SideAt): string {
  if (dry === 0 && damp === 0) return '';
  return `${plainNumber(dry)} % at the driest, ${plainNumber(damp)} % at the dampest`.replaceAll('-', '−');
}

const HELD_WORDS = {
  usual: 'both processes usually hold it',
  best: 'only at a process’s best',
  'not known': 'what a process holds is not known',
} as const;

function pairLine({ hole, shaft, verdict, held, common }: ZonePair) {
  return {
    hole,
    shaft,
    common,
    held: HELD_WORDS[held],
    margin: marginWords(verdict),
    ends: verdict.rows[0] ? `${mmWords(verdict.rows[0].min)} to ${mmWords(verdict.rows[0].max)} mm` : '',
  };
}

function roomSentence({ wide, taken, needed }: Room): string {
  const left = wide - taken;
  const begins = `What is wanted is ${mmWords(wide)} mm wide${taken > 0 ? `, and the parts growing differently take ${mmWords(taken)} mm of it` : ''}.`;
  if (left <= 0)
    return `${begins} No tolerance is left: take materials that grow alike, keep the machine’s temperature narrower, or want less.`;
  if (needed === null)
    return `${begins} What the processes hold is not known: name a process with its grades on the revision.`;
  if (needed > left)
    return `${begins} The two processes’ usual grades need ${mmWords(needed)} mm together: take a finer process for one side, match the parts to each other one by one, or want less.`;
  return `${begins} The two processes’ usual grades need ${mmWords(needed)} mm together, so it can be done by limits of their own, away from the standard zones.`;
}

/** What to change where a fit fails: zones, or what stands in the way. */
function advice(reading: FitReading) {
  const { current, hole, shaft, range } = reading;
  if (!current.known || current.verdict.verdict === 'fits') return null;
  if (!hole.current || !shaft.current) return null;
  const bothBought = hole.bought && shaft.bought;
  const side = (of: Side, at: SideAt, size: PairSide['size']): PairSide => ({
    size,
    movement: at.movement,
    grades: at.grades,
    // where both sides were only typed, both may still be chosen
    bought: of.bought && !bothBought,
  });
  const holeSide = side(hole, hole.current, current.hole);
  const shaftSide = side(shaft, shaft.current, current.shaft);
  const pairs = zonePairs(holeSide, shaftSide, current.wanted, range);
  return {
    pairs: pairs.map(pairLine),
    bought: bothBought ? '' : hole.bought ? 'hole' : shaft.bought ? 'shaft' : '',
    sentence: pairs.length ? '' : roomSentence(roomFor(holeSide, shaftSide, current.wanted, current.verdict)),
  };
}

/** A fit in the list. */
export function fitListLine(reading: FitReading) {
  return {
    href: `/fits/${reading.row.id}`,
    name: reading.name,
    hole: { name: reading.hole.name, href: reading.hole.part?.href ?? '' },
    shaft: { name: reading.shaft.name, href: reading.shaft.part?.href ?? '' },
    wanted: reading.row.wanted,
    verdict: verdictLine(reading.current),
    draft: reading.draft && verdictLine(reading.draft),
    changed: reading.changes.length > 0,
  };
}

/** Everything the page of a fit shows. */
export function fitView(reading: FitReading) {
  const { current, draft, hole, shaft, row } = reading;
  return {
    id: row.id,
    version: row.version,
    name: reading.name,
    note: row.note,
    verdict: verdictLine(current),
    changes: reading.changes,
    draft: draft && {
      verdict: verdictLine(draft),
      sides: [hole, shaft]
        .filter((side) => side.draft)
        .map((side) => `${side.part?.number} ${side.draft?.letter}`),
    },
    sides: [sideLine(hole, hole.current, 'Hole'), sideLine(shaft, shaft.current, 'Shaft')],
    range: surroundingsWords(reading.range),
    ownRange: reading.ownRange,
    wanted: current.known && {
      word: row.wanted,
      ends: `${mmWords(current.wanted.min)} to ${mmWords(current.wanted.max)} mm`,
      source: current.wanted.source,
    },
    rows: current.known
      ? current.verdict.rows.map((at) => ({
          condition: conditionWords(at.condition),
          min: mmWords(at.min),
          max: mmWords(at.max),
          character: at.character,
          interference: chanceWords(at.chanceOfInterference),
          inside: chanceWords(at.chanceInside),
          met: at.spareTight >= 0 && at.spareLoose >= 0,
        }))
      : [],
    drawing: current.known ? fitDrawing(current.hole, current.shaft) : null,
    advice: advice(reading),
  };
}
