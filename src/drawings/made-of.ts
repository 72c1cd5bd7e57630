import { factsOfDocuments } from '../models/index.ts';
import { formatMass } from '../parts/index.ts';
import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { cautionsFor, massOf, materialEntry, plainNumber, valueSource } from '../specs/index.ts';
import { type GrowthLine, growthLines, swellingText, WARMER_BY } from './growth-lines.ts';
import { compareRevisionLetters } from './revision-letter.ts';

/** What a part is made of and how, with what follows from it; views/shared/made-of.njk shows it. */
export interface MadeOf {
  /** which drawing says so; a suggestion where none does */
  from: string;
  material: { name: string; href: string; removed: boolean } | null;
  process: { name: string; href: string; removed: boolean } | null;
  /** of one piece, by its model and by what was typed; empty where neither is known */
  masses: { text: string; source: string }[];
  /** kelvin that the growth is for */
  warmerBy: number;
  growth: GrowthLine[];
  /** where the expansion is from; empty where it is not known */
  growthSource: string;
  /** from dry air to damp; empty where it is not known */
  swelling: string;
  swellingSource: string;
  cautions: string[];
  closing: string;
}

const FAR_APART =
  ': far from that of the model; one of the two is wrong, or the model is not of the whole part';

interface PartMade {
  id: number;
  name: string;
  materialId: number | null;
  processId: number | null;
  massGrams: number | null;
}

/**
 * Material, process, growth and cautions of a part: as the released drawing says, else the newest draft (not for
 * makers), else as suggested for the part.
 */
export async function madeOf(
  db: Pick<Database, 'read'>,
  part: PartMade,
  { role, lengthUnit }: Pick<SignedIn, 'role' | 'lengthUnit'>,
): Promise<MadeOf> {
  const states = role === 'maker' ? ['released'] : ['released', 'draft'];
  const revisions = await db.read.revision.findMany({
    where: { partId: part.id, state: { in: states } },
    include: {
      characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } },
      documents: { where: { removedAt: null, kind: 'model' }, orderBy: { id: 'desc' } },
    },
  });
  const newestFirst = revisions.sort((a, b) => compareRevisionLetters(b.letter, a.letter));
  const drawing = newestFirst.find(({ state }) => state === 'released') ?? newestFirst[0] ?? null;
  const materialId = drawing?.materialId ?? part.materialId;
  const processId = drawing?.processId ?? part.processId;
  const row = materialId === null ? null : await db.read.material.findUnique({ where: { id: materialId } });
  const material = row && materialEntry(row);
  const process = processId === null ? null : await db.read.process.findUnique({ where: { id: processId } });
  const model = await newestModel(db, drawing?.documents ?? []);
  const { density = null } = material?.properties ?? {};
  const mass = massOf({
    typedGrams: part.massGrams,
    volumeMm3: model?.volume ?? null,
    density: density?.typical ?? null,
  });
  const { cautions, closing } = await cautionsFor(db, {
    materialId,
    processId,
    words: [part.name, drawing?.finish, drawing?.notes, drawing?.materialNote].filter(Boolean).join(' '),
    massKg: ((mass.typed ?? mass.model) || 0) / 1000,
  });
  const { expansion = null, swelling = null } = material?.properties ?? {};
  return {
    from:
      drawing?.materialId || drawing?.processId ? `drawing ${drawing.letter}, ${drawing.state}` : 'suggested',
    material: material && {
      name: material.name,
      href: `/materials/${material.id}`,
      removed: material.removed,
    },
    process: process && {
      name: process.name,
      href: `/processes/${process.id}`,
      removed: process.removedAt !== null,
    },
    masses: [
      ...(mass.model !== null && model && density
        ? [{ text: formatMass(mass.model), source: modelSource(model, valueSource('density', density)) }]
        : []),
      ...(mass.typed === null
        ? []
        : [
            {
              text: formatMass(mass.typed),
              source: `as typed for the part${mass.farApart ? FAR_APART : ''}`,
            },
          ]),
    ],
    warmerBy: WARMER_BY,
    growth: growthLines(material, drawing?.characteristics ?? [], model?.longestMm ?? null, lengthUnit),
    growthSource: expansion ? valueSource('expansion', expansion) : '',
    swelling: swellingText(material, lengthUnit),
    swellingSource: swelling ? valueSource('swelling', swelling) : '',
    cautions: cautions.map(({ text }) => text),
    closing,
  };
}

interface Model {
  name: string;
  /** mm3; null where its file has none that holds */
  volume: number | null;
  longestMm: number | null;
  /** an STL of which no unit was said */
  isGuess: boolean;
}

/** What is known of the newest model that has been read. */
async function newestModel(
  db: Pick<Database, 'read'>,
  newestFirst: readonly { id: number; name: string; sha256: string; unit: string }[],
): Promise<Model | null> {
  if (newestFirst.length === 0) return null;
  const known = await factsOfDocuments(db, newestFirst);
  for (const { id, name } of newestFirst) {
    const facts = known.get(id);
    if (facts?.state !== 'read') continue;
    const { volume, size, unit } = facts.facts;
    return {
      name,
      volume,
      longestMm: size && Math.max(size.x, size.y, size.z),
      isGuess: unit === null,
    };
  }
  return null;
}

function modelSource({ name, volume, isGuess }: Model, densitySource: string): string {
  const cm3 = plainNumber(Number(((volume ?? 0) / 1000).toPrecision(4)));
  const guess = isGuess ? ', which names no unit and is taken as mm' : '';
  return `${cm3} cm³ of ${name}${guess}, times ${densitySource}`;
}
