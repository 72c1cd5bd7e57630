import { NotComputable } from '../platform/not-computable.ts';
import { type ChainVerdict, chainVerdict, type Link } from './chain-verdict.ts';
import {
  isOwn,
  type OwnSurroundings,
  type Surroundings,
  sameSurroundings,
  surroundingsOf,
  surroundingsWords,
} from './conditions.ts';
import { changeSentence, type FitReading, type FitRow, type Judged, readFitting } from './fit-reading.ts';
import {
  type Reader,
  type Side,
  type SideAt,
  type SideRef,
  type SideSources,
  sideOf,
  sideSources,
} from './side-store.ts';
import type { Gap } from './wanted.ts';

/** A link as it is stored. */
export interface LinkRow {
  id: number;
  position: number;
  partId: number | null;
  characteristicPosition: number | null;
  text: string;
  fitId: number | null;
  label: string;
  direction: number;
  expansion: number | null;
  dry: number;
  damp: number;
  growth: string;
}

export interface ChainRow extends OwnSurroundings {
  id: number;
  title: string;
  wantedMin: number;
  wantedMax: number;
  note: string;
  version: number;
  links: LinkRow[];
}

/** A link with what it stands for today. */
export interface LinkReading {
  row: LinkRow;
  label: string;
  side: Side | null;
  fit: FitReading | null;
}

export type JudgedChain =
  | { known: true; links: Link[]; verdict: ChainVerdict }
  | { known: false; sentence: string };

export interface ChainReading {
  row: ChainRow;
  wanted: Gap;
  range: Surroundings;
  ownRange: boolean;
  links: LinkReading[];
  current: JudgedChain;
  /** with the drafts, where a part has one beside a released revision */
  draft: JudgedChain | null;
  /** what the newest revisions changed, in sentences */
  changes: string[];
}

/** Which revisions a chain is added up from. */
interface Revisions {
  side(side: Side): SideAt | null;
  fit(fit: FitReading): Judged;
}

const CURRENT: Revisions = { side: (side) => side.current, fit: (fit) => fit.current };
const WITH_DRAFTS: Revisions = {
  side: (side) => side.draft ?? side.current,
  fit: (fit) => fit.draft ?? fit.current,
};

/** As it was before the newest revision of one part. */
const before = (partId: number): Revisions => ({
  side: (side) => (side.part?.id === partId ? (side.previous ?? side.current) : side.current),
  fit: (fit) => fit.before.find(({ side }) => side.part?.id === partId)?.judged ?? fit.current,
});

const linkRef = (row: LinkRow): SideRef => ({
  partId: row.partId,
  position: row.characteristicPosition,
  text: row.text,
  expansion: row.expansion,
  dry: row.dry,
  damp: row.damp,
  growth: row.growth,
});

/** What a link says to the sum; or why it says nothing. */
function linkOf({ row, label, side, fit }: LinkReading, pick: Revisions, range: Surroundings): Link | string {
  if (fit) {
    const judged = pick.fit(fit);
    if (!judged.known) return `${label}: ${judged.sentence}`;
    if (!sameSurroundings(fit.range, range)) {
      return `${label}: the fit is looked at from ${surroundingsWords(fit.range)}; give the chain the same.`;
    }
    return { kind: 'play', label, fit: judged.verdict };
  }
  const at = side && pick.side(side);
  if (side?.part?.removed) return `${side.part.number} is taken out of the build.`;
  if (!at) return `${label} has no released revision and no draft: draw it first.`;
  if (!at.read.ok) return `${label}: ${at.read.sentence}`;
  return {
    kind: 'size',
    label,
    size: at.read.size,
    movement: at.movement,
    direction: row.direction === -1 ? -1 : 1,
  };
}

function judge(
  { links: readings, wanted, range }: Pick<ChainReading, 'links' | 'wanted' | 'range'>,
  pick: Revisions,
): JudgedChain {
  if (readings.length === 0) return { known: false, sentence: 'It has no links yet.' };
  const links: Link[] = [];
  for (const one of readings) {
    const link = linkOf(one, pick, range);
    if (typeof link === 'string') return { known: false, sentence: link };
    links.push(link);
  }
  try {
    return { known: true, links, verdict: chainVerdict(links, wanted, range) };
  } catch (fault) {
    if (fault instanceof NotComputable) return { known: false, sentence: `${fault.message}.` };
    throw fault;
  }
}

const wordOf = (judged: JudgedChain) => (judged.known ? judged.verdict.verdict : 'not known');

/** A stored chain as it stands today, and as the open drafts would make it. */
export function readChaining(
  row: ChainRow,
  sources: SideSources,
  fits: ReadonlyMap<number, FitRow>,
): ChainReading {
  const range = surroundingsOf(row, sources.machine);
  const links = row.links.map((link): LinkReading => {
    const fitRow = link.fitId === null ? undefined : fits.get(link.fitId);
    const fit = fitRow ? readFitting(fitRow, sources) : null;
    const side = fit ? null : sideOf(sources, linkRef(link), 'any', range);
    const label = [side?.part?.number, link.label || (fit ? `play of ${fit.name}` : link.text)]
      .filter(Boolean)
      .join(' ');
    return { row: link, label: label || `link ${link.position}`, side, fit };
  });
  const reading = {
    row,
    wanted: { min: row.wantedMin, max: row.wantedMax },
    range,
    ownRange: isOwn(row),
    links,
  };
  const current = judge(reading, CURRENT);
  const withDraft = links.some(({ side, fit }) => side?.draft || fit?.draft);
  const newer = new Map(
    links
      .flatMap(({ side, fit }) => [...(side ? [side] : []), ...(fit ? [fit.hole, fit.shaft] : [])])
      .flatMap((side) => (side.previous && side.part ? [[side.part.id, side] as const] : [])),
  );
  const changes = [...newer].flatMap(
    ([partId, side]) => changeSentence(side, wordOf(judge(reading, before(partId))), wordOf(current)) ?? [],
  );
  return { ...reading, current, draft: withDraft ? judge(reading, WITH_DRAFTS) : null, changes };
}

/** All that chains rest on: the parts of their links and of the fits among them. */
export async function chainSources(reader: Reader, chains: readonly ChainRow[]) {
  const links = chains.flatMap((row) => row.links);
  const fitIds = links.flatMap(({ fitId }) => (fitId === null ? [] : [fitId]));
  const fits = fitIds.length ? await reader.fit.findMany({ where: { id: { in: fitIds } } }) : [];
  const sources = await sideSources(reader, [
    ...links,
    ...fits.flatMap(({ holePartId, shaftPartId }) => [{ partId: holePartId }, { partId: shaftPartId }]),
  ]);
  return { sources, fits: new Map<number, FitRow>(fits.map((fit) => [fit.id, fit])) };
}
