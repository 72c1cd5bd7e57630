import { compareRevisionLetters } from '../drawings/index.ts';
import { partPath } from '../parts/index.ts';
import type { Tx } from '../platform/database.ts';
import { dayIn, dayWords } from '../platform/day.ts';
import { type GeneralClass, materialEntry, plainNumber } from '../specs/index.ts';
import type { Movement, Surroundings } from './conditions.ts';
import { type Feature, type ReadSize, sizeOf } from './size.ts';
import { type HumidityRange, swellingIn } from './swelling.ts';
import type { HeldGrades } from './zone-pairs.ts';

/** Where rows may be read: the open transaction of an act, or what is committed (db.read). */
export type Reader = Pick<Tx, 'part' | 'material' | 'process' | 'build' | 'fit' | 'chain' | 'chainLink'>;

/** Which values of its material a side goes by: those along the stock, those across it, or those typed. */
export const GROWTHS = ['', 'across', 'typed'] as const;
export type GrowthBy = (typeof GROWTHS)[number];

/** A side as it is stored: a characteristic of a part by its position, or a size typed (of a part, or of none). */
export interface SideRef {
  partId: number | null;
  position: number | null;
  text: string;
  expansion: number | null;
  dry: number;
  damp: number;
  growth: string;
}

/** What one revision of the part says of a side; or what was typed. */
export interface SideAt {
  /** null for what was typed */
  letter: string | null;
  state: string;
  revisionId: number | null;
  releasedOn: string | null;
  /** where on the drawing */
  label: string;
  read: ReadSize;
  movement: Movement;
  material: string | null;
  /** where the expansion is from, in words */
  expansionSource: string;
  /** where the growth in damp air is from, in words */
  swellingSource: string;
  /** what is known of how its material takes up water */
  waterNote: string | null;
  process: string | null;
  grades: HeldGrades;
}

export interface Side {
  part: { id: number; number: string; name: string; href: string; removed: boolean } | null;
  position: number | null;
  /** bought or typed: its limits are not ours to change */
  bought: boolean;
  /** the released revision, or the draft where none is released; null where neither has the characteristic's part */
  current: SideAt | null;
  /** a draft beside a released revision */
  draft: SideAt | null;
  /** the superseded revision before the current one */
  previous: SideAt | null;
  /** a bare word for lists: TB-0004 25 H7 */
  name: string;
}

const NO_GRADES: HeldGrades = { usual: null, best: null };

/** Everything that sides are read from, gathered once for a list of them. */
export async function sideSources(reader: Reader, refs: readonly Pick<SideRef, 'partId'>[]) {
  const partIds = [...new Set(refs.flatMap(({ partId }) => (partId === null ? [] : [partId])))];
  const parts = await reader.part.findMany({
    where: { id: { in: partIds } },
    include: { revisions: { include: { characteristics: { where: { removedAt: null } } } } },
  });
  const [materials, processes, build] = [
    await reader.material.findMany(),
    await reader.process.findMany(),
    await reader.build.findUniqueOrThrow({
      where: { id: 1 },
      select: {
        timeZone: true,
        lowCelsius: true,
        highCelsius: true,
        lowHumidity: true,
        highHumidity: true,
      },
    }),
  ];
  const { lowHumidity, highHumidity } = build;
  const humidity =
    lowHumidity === null || highHumidity === null ? null : { low: lowHumidity, high: highHumidity };
  return {
    parts: new Map(parts.map((part) => [part.id, part])),
    materials: new Map(materials.map((material) => [material.id, material])),
    processes: new Map(processes.map((process) => [process.id, process])),
    timeZone: build.timeZone,
    machine: { low: build.lowCelsius, high: build.highCelsius, humidity } satisfies Surroundings,
  };
}

export type SideSources = Awaited<ReturnType<typeof sideSources>>;

/** A value of the list of materials for the way the size lies in its stock. */
function valueFor(
  kept: { typical: number; direction?: string; across?: number; source: string } | null,
  across: boolean,
): { value: number; words: string } | null {
  if (!kept) return null;
  const value = across && kept.across !== undefined ? kept.across : kept.typical;
  if (across) {
    const words = kept.across === undefined ? 'no value of its own across' : 'across';
    return { value, words: `${words}; ${kept.source}` };
  }
  return { value, words: `${kept.direction ? `${kept.direction}; ` : ''}${kept.source}` };
}

function materialFacts(
  sources: SideSources,
  ref: SideRef,
  materialId: number | null,
  humidity: HumidityRange | null,
) {
  const row = materialId === null ? undefined : sources.materials.get(materialId);
  const entry = row ? materialEntry(row) : null;
  const across = ref.growth === 'across';
  const expansion = valueFor(entry?.properties.expansion ?? null, across);
  const swelling = valueFor(entry?.properties.swelling ?? null, across);
  const isTyped = ref.growth === 'typed' || ref.dry !== 0 || ref.damp !== 0;
  const air = !isTyped && swelling && humidity ? swellingIn(swelling.value, humidity) : null;
  const name = entry?.name ?? '';
  return {
    movement: {
      expansion: ref.expansion ?? expansion?.value ?? null,
      dry: air?.dry ?? ref.dry,
      damp: air?.damp ?? ref.damp,
    } satisfies Movement,
    material: entry?.name ?? null,
    expansionSource:
      ref.expansion !== null
        ? 'typed'
        : expansion
          ? `${name}, ${expansion.words || entry?.source || 'the list of materials'}`
          : 'not known: name a material on the revision, or type it',
    swellingSource: isTyped
      ? 'typed'
      : !humidity || swelling?.value === 0 || (!entry && ref.expansion !== null)
        ? ''
        : swelling
          ? `${name}, ${plainNumber(swelling.value)} % from air of 30 % to air of 80 %, ${swelling.words}`
          : entry
            ? `${name}: its swelling is not on the list, and is taken as none`
            : 'no material named: its swelling is taken as none',
    waterNote: entry?.water?.note ?? null,
  };
}

/** A stored side with what the part's revisions say of it now. */
export function sideOf(
  sources: SideSources,
  ref: SideRef,
  feature: Feature,
  { humidity }: Pick<Surroundings, 'humidity'>,
): Side {
  const part = ref.partId === null ? undefined : sources.parts.get(ref.partId);
  const partLine = part
    ? {
        id: part.id,
        number: part.number,
        name: part.name,
        href: partPath(part.number),
        removed: part.removedAt !== null,
      }
    : null;
  if (!part || ref.position === null) {
    const typed: SideAt = {
      letter: null,
      state: 'typed',
      revisionId: null,
      releasedOn: null,
      label: '',
      read: sizeOf(ref.text, null, feature),
      ...materialFacts(sources, ref, part?.materialId ?? null, humidity),
      process: null,
      grades: NO_GRADES,
    };
    return {
      part: partLine,
      position: null,
      bought: true,
      current: typed,
      draft: null,
      previous: null,
      name: [part?.number, ref.text].filter(Boolean).join(' '),
    };
  }
  const { position } = ref;
  const revisions = [...part.revisions].sort((a, b) => compareRevisionLetters(b.letter, a.letter));
  const at = (revision: (typeof revisions)[number] | undefined): SideAt | null => {
    if (!revision) return null;
    const characteristic = revision.characteristics.find((one) => one.position === position);
    const process = revision.processId === null ? undefined : sources.processes.get(revision.processId);
    return {
      letter: revision.letter,
      state: revision.state,
      revisionId: revision.id,
      releasedOn: revision.releasedAt && dayWords(dayIn(sources.timeZone, revision.releasedAt)),
      label: characteristic?.label ?? '',
      read: characteristic
        ? sizeOf(characteristic.text, (revision.generalTolerance || null) as GeneralClass | null, feature)
        : { ok: false, sentence: `Revision ${revision.letter} has no characteristic ${position} any more.` },
      ...materialFacts(sources, ref, revision.materialId, humidity),
      process: process?.name ?? null,
      grades: process ? { usual: process.gradeUsual, best: process.gradeBest } : NO_GRADES,
    };
  };
  const released = revisions.find(({ state }) => state === 'released');
  const draft = revisions.find(({ state }) => state === 'draft');
  const before = revisions.find(
    ({ state, letter }) =>
      state === 'superseded' && released && compareRevisionLetters(letter, released.letter) < 0,
  );
  const current = at(released ?? draft);
  const text = current?.read.ok ? current.read.size.text : `characteristic ${position}`;
  return {
    part: partLine,
    position,
    bought: part.kind === 'bought' || part.kind === 'stock',
    current,
    draft: released ? at(draft) : null,
    previous: at(before),
    name: `${part.number} ${text}`,
  };
}

/** A characteristic to choose from. */
export interface SizeChoice {
  value: string;
  label: string;
}

/** The sizes of a part's released revision and draft, by position; what the draft says stands beside it. */
export async function sizeChoices(reader: Reader, partId: number): Promise<SizeChoice[]> {
  const part = await reader.part.findUniqueOrThrow({
    where: { id: partId },
    include: {
      revisions: {
        where: { state: { in: ['released', 'draft'] } },
        include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
        orderBy: { id: 'asc' },
      },
    },
  });
  const byPosition = new Map<number, { label: string; texts: string[] }>();
  for (const revision of part.revisions) {
    for (const { position, label, text } of revision.characteristics) {
      if (!sizeOf(text, (revision.generalTolerance || null) as GeneralClass | null, 'any').ok) continue;
      const line = byPosition.get(position) ?? { label, texts: [] };
      const said = `${text} in ${revision.letter}`;
      byPosition.set(position, { label: label || line.label, texts: [...line.texts, said] });
    }
  }
  return [...byPosition]
    .sort(([a], [b]) => a - b)
    .map(([position, { label, texts }]) => ({
      value: String(position),
      label: `${position} · ${texts.join(', ')}${label ? ` · ${label}` : ''}`,
    }));
}
