import { type Characteristic, characteristicText, parseCharacteristic, plainNumber } from '../specs/index.ts';
import { chainSources, readChaining } from './chain-reading.ts';
import { readFitting } from './fit-reading.ts';
import { type Reader, type SideSources, sideSources } from './side-store.ts';

/** How many steps coarser are tried: grades, or doublings of the band. */
const STEPS = 3;

/** A size that takes part in fits or chains. */
export interface UsedSize {
  partId: number;
  position: number;
  /** what it is in, in words */
  uses: { href: string; name: string }[];
  /** the coarsest text with which all of them still fit; null where none coarser does, or one does not fit now */
  looser: { text: string; by: string } | null;
}

/** A wider tolerance: the same letter some grades coarser, or twice the band about the same middle. Widest last. */
export function wider(text: string): { text: string; by: string }[] {
  const reading = parseCharacteristic(text);
  if (!reading.ok || reading.characteristic.kind !== 'size') return [];
  const { characteristic } = reading;
  const { tolerance } = characteristic;
  const as = (wide: typeof tolerance): string =>
    characteristicText({ ...characteristic, tolerance: wide } satisfies Characteristic);
  if (tolerance.by === 'general') return [];
  if (tolerance.by === 'zone') {
    const [, letter = '', grade = ''] = /^(\D+)(\d+)$/.exec(tolerance.zone) ?? [];
    return Array.from({ length: STEPS }, (_, step) => ({
      text: as({ by: 'zone', zone: `${letter}${Number(grade) + step + 1}` }),
      by: step === 0 ? 'one grade' : `${step + 1} grades`,
    }));
  }
  const middle = (tolerance.upper + tolerance.lower) / 2;
  const half = (tolerance.upper - tolerance.lower) / 2;
  return Array.from({ length: STEPS }, (_, step) => {
    const times = 2 ** (step + 1);
    const round = (value: number) => Number(value.toFixed(9));
    return {
      text: as({
        by: 'deviation',
        upper: round(middle + half * times),
        lower: round(middle - half * times),
      }),
      by: `${plainNumber(times)} times the band`,
    };
  });
}

/** The sources as they would be if the drawing that counts said another text at a position. */
function withText(sources: SideSources, partId: number, position: number, text: string): SideSources {
  const part = sources.parts.get(partId);
  if (!part) return sources;
  const isReleased = part.revisions.some(({ state }) => state === 'released');
  const revisions = part.revisions.map((revision) =>
    revision.state === (isReleased ? 'released' : 'draft')
      ? {
          ...revision,
          characteristics: revision.characteristics.map((one) =>
            one.position === position ? { ...one, text } : one,
          ),
        }
      : revision,
  );
  return { ...sources, parts: new Map(sources.parts).set(partId, { ...part, revisions }) };
}

/**
 * Every size of a drawing that takes part in a fit or a chain, and how much coarser it could be with all of them still
 * fitting, one size at a time.
 */
export async function usedSizes(reader: Reader): Promise<UsedSize[]> {
  const fitRows = await reader.fit.findMany({ where: { removedAt: null }, orderBy: { id: 'asc' } });
  const chainRows = await reader.chain.findMany({
    where: { removedAt: null },
    include: { links: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
    orderBy: { id: 'asc' },
  });
  const fits = new Map(fitRows.map((row) => [row.id, row]));
  const { sources: ofChains } = await chainSources(reader, chainRows);
  const ofFits = await sideSources(
    reader,
    fitRows.flatMap(({ holePartId, shaftPartId }) => [{ partId: holePartId }, { partId: shaftPartId }]),
  );
  const all: SideSources = { ...ofFits, parts: new Map([...ofFits.parts, ...ofChains.parts]) };

  interface Use {
    href: string;
    name: string;
    fits(sources: SideSources): boolean;
  }
  const bySize = new Map<string, Use[]>();
  const note = (partId: number | null, position: number | null, use: Use) => {
    if (partId === null || position === null) return;
    const key = `${partId}-${position}`;
    const uses = bySize.get(key) ?? [];
    if (!uses.some(({ href }) => href === use.href)) bySize.set(key, [...uses, use]);
  };
  for (const row of fitRows) {
    const use: Use = {
      href: `/fits/${row.id}`,
      name: readFitting(row, all).name,
      fits(sources) {
        const { current } = readFitting(row, sources);
        return current.known && current.verdict.verdict === 'fits';
      },
    };
    note(row.holePartId, row.holePosition, use);
    note(row.shaftPartId, row.shaftPosition, use);
  }
  for (const row of chainRows) {
    const use: Use = {
      href: `/chains/${row.id}`,
      name: row.title,
      fits(sources) {
        const { current } = readChaining(row, sources, fits);
        return current.known && current.verdict.verdict === 'fits';
      },
    };
    for (const link of row.links) {
      note(link.partId, link.characteristicPosition, use);
      const fit = link.fitId === null ? undefined : fits.get(link.fitId);
      if (!fit) continue;
      note(fit.holePartId, fit.holePosition, use);
      note(fit.shaftPartId, fit.shaftPosition, use);
    }
  }
  return [...bySize].map(([key, uses]): UsedSize => {
    const [partId = 0, position = 0] = key.split('-').map(Number);
    return {
      partId,
      position,
      uses: uses.map(({ href, name }) => ({ href, name })),
      looser: looserFor(all, partId, position, uses),
    };
  });
}

function looserFor(
  all: SideSources,
  partId: number,
  position: number,
  uses: readonly { fits(sources: SideSources): boolean }[],
): UsedSize['looser'] {
  const part = all.parts.get(partId);
  const revision =
    part?.revisions.find(({ state }) => state === 'released') ??
    part?.revisions.find(({ state }) => state === 'draft');
  const kept = revision?.characteristics.find((one) => one.position === position);
  if (!part || !kept || part.kind === 'bought' || part.kind === 'stock') return null;
  if (!uses.every((use) => use.fits(all))) return null;
  let found: UsedSize['looser'] = null;
  for (const step of wider(kept.text)) {
    if (!uses.every((use) => use.fits(withText(all, partId, position, step.text)))) break;
    found = step;
  }
  return found;
}
