import type { Database } from '../platform/database.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { cautionsFor, materialEntry, valueSource } from '../specs/index.ts';
import { type GrowthLine, growthLines, swellingText, WARMER_BY } from './growth-lines.ts';
import { compareRevisionLetters } from './revision-letter.ts';

/** What a part is made of and how, with what follows from it; views/shared/made-of.njk shows it. */
export interface MadeOf {
  /** which drawing says so; a suggestion where none does */
  from: string;
  material: { name: string; href: string; removed: boolean } | null;
  process: { name: string; href: string; removed: boolean } | null;
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
    include: { characteristics: { where: { removedAt: null }, orderBy: { position: 'asc' } } },
  });
  const newestFirst = revisions.sort((a, b) => compareRevisionLetters(b.letter, a.letter));
  const drawing = newestFirst.find(({ state }) => state === 'released') ?? newestFirst[0] ?? null;
  const materialId = drawing?.materialId ?? part.materialId;
  const processId = drawing?.processId ?? part.processId;
  const row = materialId === null ? null : await db.read.material.findUnique({ where: { id: materialId } });
  const material = row && materialEntry(row);
  const process = processId === null ? null : await db.read.process.findUnique({ where: { id: processId } });
  const { cautions, closing } = await cautionsFor(db, {
    materialId,
    processId,
    words: [part.name, drawing?.finish, drawing?.notes, drawing?.materialNote].filter(Boolean).join(' '),
    massKg: part.massGrams === null ? null : part.massGrams / 1000,
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
    warmerBy: WARMER_BY,
    growth: growthLines(material, drawing?.characteristics ?? [], lengthUnit),
    growthSource: expansion ? valueSource('expansion', expansion) : '',
    swelling: swellingText(material, lengthUnit),
    swellingSource: swelling ? valueSource('swelling', swelling) : '',
    cautions: cautions.map(({ text }) => text),
    closing,
  };
}
