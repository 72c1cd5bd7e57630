import type { Database, Tx } from '../platform/database.ts';
import { CAUTIONS_CLOSING, cautionsFor as usualCautions } from './cautions.ts';

/** What a route card or a drawing says about safety. */
export interface WorkCautions {
  cautions: { about: string; text: string }[];
  /** stands under every list: local codes, the product's data sheet and licensed practice come first */
  closing: string;
}

/**
 * The usual cautions for work with a material by a process, each once.
 *
 * @param work.words   finish, notes and title as written: words in them call for the cautions of coatings, mains and so on
 * @param work.massKg  of one piece
 */
export async function cautionsFor(
  db: Pick<Database, 'read'>,
  work: { materialId: number | null; processId: number | null; words?: string; massKg?: number | null },
): Promise<WorkCautions> {
  const { materialId, processId, words, massKg } = work;
  const material =
    materialId === null ? null : await db.read.material.findUnique({ where: { id: materialId } });
  const process = processId === null ? null : await db.read.process.findUnique({ where: { id: processId } });
  const asked = (entry: { name: string; cautions: string } | null) =>
    entry && { name: entry.name, cautions: JSON.parse(entry.cautions) as string[] };
  return {
    cautions: usualCautions({ material: asked(material), process: asked(process), words, massKg }),
    closing: CAUTIONS_CLOSING,
  };
}

export interface Choice {
  value: number;
  label: string;
  group?: string;
}

/** Materials to choose from in a form, by family; a removed one only where it is chosen already. */
export async function materialChoices(
  tx: Pick<Tx, 'material'>,
  chosenId: number | null = null,
): Promise<Choice[]> {
  const rows = await tx.material.findMany({
    where: { OR: [{ removedAt: null }, ...(chosenId === null ? [] : [{ id: chosenId }])] },
    select: { id: true, name: true, family: true },
    orderBy: [{ family: 'asc' }, { name: 'asc' }],
  });
  return rows.map(({ id, name, family }) => ({ value: id, label: name, group: family || 'other' }));
}

/** Processes to choose from in a form; a removed one only where it is chosen already. */
export async function processChoices(
  tx: Pick<Tx, 'process'>,
  chosenId: number | null = null,
): Promise<Choice[]> {
  const rows = await tx.process.findMany({
    where: { OR: [{ removedAt: null }, ...(chosenId === null ? [] : [{ id: chosenId }])] },
    select: { id: true, name: true },
    orderBy: { name: 'asc' },
  });
  return rows.map(({ id, name }) => ({ value: id, label: name }));
}
